"""Answers on a fingerboard, a MIDI keyboard and to the microphone in JupyterLab, by mouse and from the computer keyboard alone.

Open strings of the bass guitar E1 A1 D2 G2, of the violin G3 D4 A4 E5 (handbooks of orchestration, from memory); a fret is a
half step. Key behaviour follows the ARIA Authoring Practices Guide of the W3C (one Tab stop for a group).
The microphone of this browser is not a real one: it plays a file, E4 of 329.63 Hz (ISO 16: A4 = 440 Hz; MIDI number 64).
Messages of the MIDI keyboard: 0x9n note-on with key and velocity, 0x8n note-off, velocity 0 is off (MIDI 1.0).
"""

import re

import pytest
from playwright.sync_api import expect

from musictheory_nb.media.tone import TIMBRES, tone
from musictheory_nb.media.wav import wav_bytes

SET_UP = """
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.practice.response import *
from musictheory_nb.widgets.fingerboard import Fingerboard
from musictheory_nb.widgets.microphone import Microphone
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.staff_entry import StaffEntry
bass = ("E1", "A1", "D2", "G2")
"""
CELLS = (
    SET_UP,
    "board = Fingerboard(FingerboardInput(bass, count=3, given=((0, 1),)), label='Press a triad.'); board",
    "violin = Fingerboard(FingerboardInput(('G3', 'D4', 'A4', 'E5'), fretted=False), label='Find it.'); violin",
    "Fingerboard.showing(finger_line('G1 B1', 1, 'bass guitar', open_strings='never'), label='A third')",
    "sung = Microphone(SungInput(), label='Sing E.', offers_keeping=True); sung",
    "piano = PianoKeyboard(48, 72, count=3, label='Play a triad.'); piano",
    "staff = StaffEntry(StaffInput(fifths=-3, measures=2), label='Write it.'); staff",
    "chord = StaffEntry(StaffInput('bass', pitches_only=True, chords=True), label='Spell it.'); chord",
)
BOARD, VIOLIN, FINGERING, SUNG, PIANO, STAFF, CHORD = range(1, 8)
RATE, E4 = 48_000, 64


@pytest.fixture(scope="module")
def browser_arguments(tmp_path_factory):
    """A microphone that plays a file, and a browser that lets it be used where the context says so."""
    heard = tmp_path_factory.mktemp("microphone") / "e4.wav"
    wave = tone(E4, 60 * RATE, TIMBRES["held"], RATE)
    heard.write_bytes(wav_bytes(0.3 * wave / abs(wave).max(), RATE))
    return ("--use-fake-device-for-media-stream", f"--use-file-for-fake-audio-capture={heard}")


@pytest.fixture(scope="module")
def page(notebook):
    return notebook(CELLS, permissions=["microphone"])


@pytest.fixture(autouse=True)
def _fresh_and_nothing_leaks_to_jupyterlab(page):
    """Every test begins with empty widgets; no key may become a command of JupyterLab; no script may fail."""
    for name in ("board", "violin", "sung", "piano", "staff", "chord"):
        page.do(f"{name}.locked = False; {name}.right = []; {name}.value = []")
    before = page.cell_count
    yield
    assert page.cell_count == before
    assert page.console == []


def place(page, cell, name):
    """The place of that name (string and fret), whatever is told of it behind."""
    return page.output(cell).get_by_role("button", name=re.compile(rf"^{re.escape(name)}(;|$)"))


def press(page, *keys):
    for key in keys:
        page.page.keyboard.press(key)


def test_places_by_mouse_in_order(page):
    place(page, BOARD, "A string (string 3), fret 3").click()
    page.until("board.value", [[1, 3]])
    expect(place(page, BOARD, "A string (string 3), fret 3")).to_have_accessible_name(
        "A string (string 3), fret 3; C2; pressed as note 1"
    )
    place(page, BOARD, "D string (string 2), fret 2").click()
    place(page, BOARD, "G string (string 1), open").click()
    page.until("board.value", [[1, 3], [2, 2], [3, 0]])
    expect(page.output(BOARD).get_by_role("status")).to_have_text(
        "Given: F1 (E string, fret 1). Pressed: 1. C2 (A string, fret 3), 2. E2 (D string, fret 2), 3. G2 (G string, open) "
        "(3 of 3)."
    )
    place(page, BOARD, "G string (string 1), fret 1").click()
    expect(page.output(BOARD).get_by_role("alert")).to_contain_text("All 3 notes are pressed")
    page.output(BOARD).get_by_role("button", name="Undo").click()
    page.until("board.value", [[1, 3], [2, 2]])
    page.output(BOARD).get_by_role("button", name="Clear").click()
    page.until("board.value", [])


def test_places_by_computer_keyboard(page):
    start = page.output(BOARD).locator(".mtnb-place[tabindex='0']")
    expect(start).to_have_count(1)  # one Tab stop
    place(page, BOARD, "E string (string 4), fret 1").focus()
    for keys, name in (
        (["Home"], "E string (string 4), open"),
        (["ArrowLeft", "ArrowDown"], "E string (string 4), open"),  # the edges hold
        (["ArrowUp", "3"], "A string (string 3), fret 3"),
        (["ArrowRight", "ArrowUp"], "D string (string 2), fret 4"),
        (["End"], "D string (string 2), fret 12"),
        (["ArrowUp", "ArrowUp", "0"], "G string (string 1), open"),
    ):
        press(page, *keys)
        assert page.focused().startswith(name), keys
    press(page, "Enter", "ArrowRight", " ")
    page.until("board.value", [[3, 0], [3, 1]])
    press(page, "Backspace")
    page.until("board.value", [[3, 0]])
    press(page, "Delete")
    page.until("board.value", [])
    press(page, "Tab")
    assert not page.page.evaluate("() => document.activeElement.matches('.mtnb-place')")


def test_a_place_is_called_by_string_and_fret_and_its_note_only_once_pressed(page):
    names = (
        page.output(BOARD)
        .locator(".mtnb-place")
        .evaluate_all("(all) => all.map((one) => one.getAttribute('aria-label'))")
    )
    assert len(names) == len(set(names)) == 4 * 13
    told = [name for name in names if ";" in name]
    assert told == ["E string (string 4), fret 1; F1; given"]


def test_an_unfretted_board_counts_half_steps_and_the_last_place_counts(page):
    place(page, VIOLIN, "A string (string 2), 2 half steps up").click()
    page.until("violin.value", [[2, 2]])  # B4
    place(page, VIOLIN, "E string (string 1), 1 half step up").click()
    page.until("violin.value", [[3, 1]])
    expect(page.output(VIOLIN).get_by_role("status")).to_have_text("Pressed: F5 (E string, 1 half step up).")


def test_a_pressed_place_sounds_its_note(page):
    heard = page.page.evaluate("() => window.heard.starts")
    place(page, VIOLIN, "A string (string 2), open").click()
    page.page.wait_for_function("() => Math.abs(window.heard.hz() - 440) < 5")  # A4
    assert page.page.evaluate("() => window.heard.starts") == heard + 1
    page.output(VIOLIN).get_by_role("checkbox", name="Notes sound").uncheck()
    place(page, VIOLIN, "E string (string 1), open").click()
    page.until("violin.value", [[3, 0]])
    assert page.page.evaluate("() => window.heard.starts") == heard + 1
    page.output(VIOLIN).get_by_role("checkbox", name="Notes sound").check()


def test_marked_places_say_what_was_right_and_another_place_of_the_same_sound_is(page):
    """D2 is the open D string and the fifth fret of the A string."""
    page.do("board.value = [[0, 3], [1, 5], [1, 4]]; board.right = [[0, 3], [2, 0], [2, 2]]; board.locked = True")
    name = place(page, BOARD, "A string (string 3), fret 5")
    expect(name).to_have_accessible_name("A string (string 3), fret 5; D2; pressed as note 2, right")
    expect(place(page, BOARD, "D string (string 2), open")).to_have_accessible_name("D string (string 2), open")
    expect(place(page, BOARD, "A string (string 3), fret 4")).to_have_accessible_name(
        "A string (string 3), fret 4; C sharp 2 or D flat 2; pressed as note 3"
    )
    expect(place(page, BOARD, "D string (string 2), fret 2")).to_have_accessible_name(
        "D string (string 2), fret 2; E2; right answer"
    )
    place(page, BOARD, "G string (string 1), fret 1").click()
    press(page, "Backspace")
    assert page.python("board.value") == [[0, 3], [1, 5], [1, 4]]
    expect(page.output(BOARD).get_by_role("button", name="Undo")).to_be_hidden()


def test_a_shown_fingering_tells_fingers_and_the_caution(page):
    """One finger a fret, the first at the first fret (common practice)."""
    shown = place(page, FINGERING, "E string (string 4), fret 3")
    expect(shown).to_have_accessible_name("E string (string 4), fret 3; G1; finger 3")
    expect(page.output(FINGERING).get_by_role("status")).to_contain_text("2. B1 (A string, fret 2), finger 2.")
    expect(page.output(FINGERING).get_by_text("Playing should not hurt")).to_be_visible()


# -- microphone --------------------------------------------------------------------------------------------------


def microphones_on(page):
    """How many tracks of microphones the page has open."""
    return page.page.evaluate("() => (window.opened ?? []).filter((track) => track.readyState === 'live').length")


@pytest.fixture
def watched(page):
    """The page, which remembers the microphones that it opens."""
    page.page.evaluate(
        """() => { if (window.opened) return; window.opened = []; const media = navigator.mediaDevices;
        const open = media.getUserMedia.bind(media); window.asked = [];
        media.getUserMedia = async (what) => { window.asked.push(what); const stream = await open(what);
            window.opened.push(...stream.getTracks()); return stream; }; }"""
    )
    return page


def test_a_note_to_the_microphone_by_keyboard(watched):
    page, area = watched, watched.output(SUNG)
    expect(area.get_by_text("Nothing leaves the computer")).to_be_visible()
    assert microphones_on(page) == 0  # nothing is asked before the student presses
    area.get_by_role("button", name="Record").focus()
    press(page, "Enter")
    stop = area.get_by_role("button", name="Stop")
    expect(stop).to_be_focused()
    expect(area.get_by_text("Recording. Sing or play, then press Stop.")).to_be_visible()
    assert microphones_on(page) == 1
    page.page.wait_for_function(
        "(bar) => parseFloat(bar.style.width) > 20", arg=area.locator(".mtnb-microphone-level span").element_handle()
    )
    page.page.wait_for_timeout(700)
    press(page, "Enter")
    expect(area.get_by_text("Heard: E4")).to_be_visible()
    assert microphones_on(page) == 0
    (note,) = page.python("sung.value")
    assert abs(note - E4) < 0.05  # 5 cents
    assert page.page.evaluate("() => window.asked.at(-1).audio.autoGainControl") is False
    expect(area.get_by_role("button", name="Record again")).to_be_focused()
    keep = area.get_by_role("checkbox", name="My teacher may hear this recording")
    expect(keep).not_to_be_checked()
    keep.check()
    page.until("sung.kept_recording()[:4]", b"RIFF")
    started = page.page.evaluate("() => window.heard.starts")
    area.get_by_role("button", name="Hear my recording").click()
    page.page.wait_for_function("(before) => window.heard.starts > before", arg=started)
    page.page.wait_for_function("() => Math.abs(window.heard.hz() - 329.63) < 6")
    area.get_by_role("button", name="Clear").click()
    page.until("sung.value, sung.keep", ([], False))


@pytest.mark.parametrize(
    ("failure", "told"),
    [
        ("NotAllowedError", "The browser may not use the microphone."),
        ("NotFoundError", "No microphone was found."),
        ("NotReadableError", "Another program uses the microphone."),
    ],
)
def test_without_a_microphone_the_student_is_told_what_to_do(watched, failure, told):
    page, area = watched, watched.output(SUNG)
    page.page.evaluate(
        """(name) => { const media = navigator.mediaDevices; const open = media.getUserMedia;
        media.getUserMedia = async () => { media.getUserMedia = open; throw new DOMException("no", name); }; }""",
        failure,
    )
    area.get_by_role("button", name=re.compile("^Record")).click()
    expect(area.get_by_role("alert")).to_contain_text(told)
    expect(area.get_by_role("alert")).to_contain_text(re.compile("answer in another way|press the button again"))
    expect(area.get_by_role("button", name=re.compile("^Record"))).to_be_enabled()


def test_a_marked_recording_tells_both_and_takes_no_more(page):
    page.do("sung.value = [64.1]; sung.right = [62.0]; sung.locked = True")
    area = page.output(SUNG)
    expect(area.get_by_text("You sang or played: E4 (10 cents high).")).to_be_visible()
    expect(area.get_by_text("→ Right answer: D4.")).to_be_visible()
    expect(area.get_by_role("button", name=re.compile("^Record"))).to_have_count(0)


# -- MIDI keyboard -----------------------------------------------------------------------------------------------


@pytest.fixture
def midi(page):
    """Plays on a MIDI keyboard that the browser believes is there."""
    page.page.evaluate(
        """() => { if (window.midiInput) return; const input = { name: "Test keys", state: "connected", onmidimessage: null };
        window.midiInput = input; window.midiAccess = { inputs: new Map([["1", input]]), onstatechange: null };
        navigator.requestMIDIAccess = async () => window.midiAccess; }"""
    )
    return lambda *bytes: page.page.evaluate("(data) => window.midiInput.onmidimessage({ data })", list(bytes))


def connect(page, cell):
    button = page.output(cell).get_by_role("button", name=re.compile("MIDI keyboard"))
    if button.get_attribute("aria-pressed") != "true":
        button.click()
    expect(page.output(cell).get_by_text("What you play on Test keys is entered here.")).to_be_visible()
    return button


def test_a_midi_keyboard_plays_the_keys_on_the_screen(page, midi):
    button = connect(page, PIANO)
    for key in (60, 64):
        midi(0x90, key, 80)
        midi(0x80, key, 0)
    midi(0xB0, 64, 127)  # a pedal plays nothing
    midi(0x95, 67, 1)  # another channel, softly
    midi(0x95, 67, 0)
    page.until("piano.value", [60, 64, 67])
    page.output(PIANO).get_by_role("button", name="Clear").click()
    midi(0x90, 73, 80)
    midi(0x80, 73, 0)
    expect(page.output(PIANO).get_by_role("alert")).to_contain_text("is not on this keyboard: it goes from C3 to C5.")
    button.click()
    midi(0x90, 60, 80)
    midi(0x80, 60, 0)
    page.page.wait_for_timeout(100)
    assert page.python("piano.value") == []


def test_a_midi_keyboard_writes_on_the_staff_as_the_signature_has_it(page, midi):
    """Three flats: E flat and A flat belong to the key; 61 and 66 are written with flats, 71 is B natural (common practice)."""
    connect(page, STAFF)
    for key in (63, 68, 61, 71, 66):
        midi(0x90, key, 80)
        midi(0x80, key, 0)
    page.until("[row[0][0] for row in staff.value]", ["Eb4", "Ab4", "Db4", "B4", "Gb4"])


def test_keys_held_down_together_are_a_chord_and_the_keys_go_where_they_were_sent_last(page, midi):
    connect(page, STAFF)
    connect(page, CHORD)
    expect(page.output(STAFF).get_by_role("button", name="Use a MIDI keyboard")).to_be_visible()
    for key in (50, 54, 57):
        midi(0x90, key, 80)
    for key in (50, 54, 57):
        midi(0x80, key, 0)
    page.until("chord.value", [[["D3", "F#3", "A3"], "1", False]])
    assert page.python("staff.value") == []
    page.do("chord.locked = True")
    midi(0x90, 60, 80)
    midi(0x80, 60, 0)
    page.page.wait_for_timeout(100)
    assert page.python("chord.value") == [[["D3", "F#3", "A3"], "1", False]]


def test_a_browser_that_gives_no_midi_is_told(page, midi):
    page.page.evaluate(
        """() => { delete globalThis[Symbol.for("musictheory_nb.midi_stage")];
        navigator.requestMIDIAccess = async () => { throw new DOMException("no", "NotAllowedError"); }; }"""
    )
    page.run_cell(PIANO)
    page.output(PIANO).get_by_role("button", name="Use a MIDI keyboard").click()
    expect(page.output(PIANO).get_by_role("alert")).to_contain_text("does not give the MIDI keyboard to this page")
    page.page.evaluate(
        """() => { delete globalThis[Symbol.for("musictheory_nb.midi_stage")];
        navigator.requestMIDIAccess = async () => window.midiAccess; }"""
    )
    page.run_all()
