"""Listening controls in JupyterLab: what sounds, when, and what the student is told.

Levels are read from the page's own audio graph; frequencies are compared with those written into the clips, and the
piano's with ISO 16 (A4 = 440 Hz) and twelve-tone equal temperament.
"""

import re

from playwright.sync_api import expect

SET_UP = """
import io, math, struct, wave
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.section_strip import SectionStrip
def tone(hz, seconds):
    out = io.BytesIO()
    with wave.open(out, "wb") as file:
        file.setnchannels(1); file.setsampwidth(2); file.setframerate(22050)
        file.writeframes(b"".join(struct.pack("<h", int(6000 * math.sin(2 * math.pi * hz * at / 22050)))
                                  for at in range(int(seconds * 22050))))
    return out.getvalue()
class Clip:
    def __init__(self, first, last):
        asked.append((first, last))
        if first == 13: raise ValueError("measure 13 is torn")
        self.wav = tone(300 + 100 * first, 0.8 * (last - first + 1))
        self.measure_starts_s = [0.8 * at for at in range(last - first + 1)]
asked = []
"""
LOW, HIGH = (
    "low = Listening(tone(440, 30), label='Low', lesson='one'); low",
    "high = Listening(tone(1000, 30), label='High', lesson='one'); high",
)
CHOSEN = (
    "chosen = Listening(sound=Clip, measures=[str(n) for n in range(16)], choose_measures=True, first=1, last=2,\n"
    "                   label='The piece', lesson='one'); chosen"
)


def go_on(page, cell=1):
    """Read the hearing caution of the first listening and go on."""
    page.output(cell).get_by_role("button", name="The volume is right: go on").click()


def hz(page):
    return page.page.evaluate("() => heard.hz()")


def wait_for_hz(page, wanted):
    """Wait until the strongest frequency is `wanted`, within a bin of the analysis (2.7 Hz at 44.1 kHz)."""
    page.page.wait_for_function("(wanted) => Math.abs(heard.hz() - wanted) < 4 && heard.peak() > 0.005", arg=wanted)


def wait_for_silence(page):
    page.page.wait_for_function("() => heard.peak() < 1e-4")


def status(page, cell):
    return page.output(cell).get_by_role("status")


def test_nothing_sounds_before_a_click_and_the_first_click_shows_the_caution(notebook):
    page = notebook([SET_UP, LOW, HIGH, CHOSEN])
    expect(status(page, 1)).to_have_text("Not heard yet.")
    page.do("chosen.play(0, 0)")  # Python alone may not start a sound either
    expect(page.output(3).get_by_role("group", name="Sound check")).to_be_visible()
    assert page.page.evaluate("() => [heard.contexts, heard.starts, document.querySelectorAll('audio').length]") == [
        0,
        0,
        0,
    ]
    page.output(1).get_by_role("button", name="Play: Low", exact=True).click()
    check = page.output(1).get_by_role("group", name="Sound check")
    expect(check).to_be_focused()
    expect(check).to_have_accessible_description(
        "Start with the volume low and raise it until the test tone is comfortable. Trouble hearing, or ringing in your "
        "ears? Ask a health professional before you listen."
    )
    assert page.page.evaluate("() => heard.starts") == 0
    assert page.python("low.plays") == 0  # a question is not heard because a button was pressed
    check.get_by_role("button", name="Play the test tone").click()
    wait_for_hz(page, 440)  # A4, ISO 16
    go_on(page)
    page.until("low.plays", 1)
    expect(check).to_be_hidden()
    expect(page.output(3).get_by_role("group", name="Sound check")).to_be_hidden()  # once for the lesson
    page.output(2).get_by_role("button", name="Play: High", exact=True).click()
    page.until("high.plays", 1)
    wait_for_hz(page, 1000)
    assert page.page.evaluate("() => heard.contexts") == 1
    assert page.console == []


def test_one_sound_at_a_time_stop_repeat_count(notebook):
    page = notebook([SET_UP, LOW, HIGH, "short = Listening(tone(600, 0.4), label='Short', lesson='one'); short"])
    play = [page.output(cell).get_by_role("button", name="Play") for cell in (1, 2, 3)]
    play[0].click()
    go_on(page)
    wait_for_hz(page, 440)
    expect(status(page, 1)).to_have_text("Playing.")
    play[1].click()
    wait_for_hz(page, 1000)
    expect(status(page, 1)).to_have_text("Stopped. Heard 1 time.")
    page.output(2).get_by_role("button", name="Stop").click()
    wait_for_silence(page)
    expect(status(page, 2)).to_have_text("Stopped. Heard 1 time.")
    play[2].click()
    expect(status(page, 3)).to_have_text("Heard 1 time.")
    play[2].click()
    expect(status(page, 3)).to_have_text("Heard 2 times.")
    assert page.python("(low.plays, high.plays, short.plays)") == (1, 1, 2)
    page.output(3).get_by_role("checkbox", name="Repeat").check()
    play[2].click()
    page.until("short.plays >= 5", True)  # it goes on by itself, and each round is counted
    page.output(3).get_by_role("checkbox", name="Repeat").uncheck()
    expect(status(page, 3)).to_contain_text("Heard ")
    assert page.console == []


def test_volume_starts_at_half_and_is_one_for_the_page(notebook):
    page = notebook([SET_UP, LOW, HIGH])
    sliders = [page.output(cell).get_by_role("slider", name="Volume") for cell in (1, 2)]
    for slider in sliders:
        expect(slider).to_have_value("50")
    page.output(1).get_by_role("button", name="Play").click()
    go_on(page)
    wait_for_hz(page, 440)
    # 6000 of 32767 full scale at half volume
    page.page.wait_for_function("() => Math.abs(heard.peak() - 0.5 * 6000 / 32767) < 0.005")
    sliders[0].focus()
    for _ in range(4):
        page.page.keyboard.press("ArrowLeft")
    expect(sliders[1]).to_have_value("30")
    page.page.wait_for_function("() => Math.abs(heard.peak() - 0.3 * 6000 / 32767) < 0.005")
    sliders[1].focus()
    page.page.keyboard.press("Home")
    wait_for_silence(page)
    expect(page.output(1).get_by_text("0 %", exact=True)).to_be_visible()


def test_all_by_keyboard_in_the_order_seen(notebook):
    page = notebook([SET_UP, CHOSEN])
    keys = page.page.keyboard
    page.output(1).get_by_role("button", name="Play").focus()
    order = [page.focused()]
    for _ in range(5):
        keys.press("Tab")
        order.append(page.focused())
    assert order == ["Play: The piece", "Stop: The piece", "Repeat", "Volume 50 %", "From measure", "To measure"]
    page.output(1).get_by_role("button", name="Play").focus()
    keys.press("Enter")
    expect(page.output(1).get_by_role("group", name="Sound check")).to_be_focused()
    keys.press("Tab")
    assert page.focused() == "Play the test tone"
    keys.press("Tab")
    keys.press("Enter")
    page.until("chosen.plays", 1)
    assert page.focused() == "Play: The piece"
    keys.press("Tab")
    keys.press(" ")
    wait_for_silence(page)
    assert page.cell_count == 2


def test_measures_are_made_when_chosen_and_named_while_they_sound(notebook):
    page = notebook([SET_UP, CHOSEN])
    assert page.python("asked") == []
    page.output(1).get_by_role("button", name="Play").click()
    go_on(page)
    page.until("asked", [(1, 2)])
    wait_for_hz(page, 400)
    expect(page.output(1).get_by_text("Now measure 1.")).to_be_visible()
    expect(page.output(1).get_by_text("Now measure 2.")).to_be_visible()
    page.output(1).get_by_label("To measure").select_option("5")
    page.output(1).get_by_label("From measure").select_option("4")
    expect(status(page, 1)).to_have_text("Measures 4 to 5 are ready: press Play.")
    page.output(1).get_by_role("button", name="Play").click()
    wait_for_hz(page, 700)
    expect(page.output(1).get_by_text("Now measure 5.")).to_be_visible()
    page.output(1).get_by_label("From measure").select_option("9")  # beyond "To measure", which follows
    expect(page.output(1).get_by_label("To measure")).to_have_value("9")
    page.until("asked[-1]", (9, 9))


def test_failure_to_make_a_sound_is_told_and_the_controls_go_on(notebook):
    page = notebook([SET_UP, CHOSEN, "broken = Listening(b'no sound at all', label='Broken', lesson='one'); broken"])
    page.output(1).get_by_role("button", name="Play").click()
    go_on(page)
    page.until("chosen.plays", 1)
    for _ in range(2):  # the second time the message is the same and must be told again
        page.output(1).get_by_label("To measure").select_option("13")
        page.output(1).get_by_label("From measure").select_option("13")
        expect(page.output(1).get_by_role("alert")).to_contain_text("ValueError: measure 13 is torn.")
        page.output(1).get_by_role("button", name="Play").click()
        expect(page.output(1).get_by_role("alert")).to_contain_text("ValueError: measure 13 is torn.")
        expect(status(page, 1)).to_have_text("Heard 1 time.")
    page.output(1).get_by_label("From measure").select_option("3")
    expect(page.output(1).get_by_role("alert")).to_be_empty()  # the new sound is there
    page.output(1).get_by_role("button", name="Play").click()
    page.until("chosen.plays", 2)
    expect(page.output(1).get_by_role("alert")).to_be_empty()
    page.output(2).get_by_role("button", name="Play").click()
    expect(page.output(2).get_by_role("alert")).to_contain_text("This sound could not be read.")
    assert page.python("broken.plays") == 0


def test_measures_selected_in_the_strip_are_heard_through_the_controls(notebook):
    strip = "strip = SectionStrip([str(n) for n in range(16)], label='Sections'); strip.on_hear(chosen.play); strip"
    page = notebook([SET_UP, CHOSEN, strip])
    page.output(2).get_by_role("button", name="Measure 3").click()
    page.output(2).get_by_role("button", name="Hear measure 3").click()
    expect(page.output(1).get_by_role("group", name="Sound check")).to_be_focused()
    go_on(page)
    wait_for_hz(page, 600)
    page.output(2).get_by_role("button", name="Measure 5").click()
    page.output(2).get_by_role("button", name="Hear measure 5").click()
    wait_for_hz(page, 800)
    expect(page.output(1).get_by_label("From measure")).to_have_value("5")


def test_running_the_cell_again_ends_its_sound(notebook):
    page = notebook([SET_UP, LOW])
    page.output(1).get_by_role("button", name="Play").click()
    go_on(page)
    wait_for_hz(page, 440)
    page.run_cell(1)
    wait_for_silence(page)
    expect(status(page, 1)).to_have_text("Not heard yet.")
    page.output(1).get_by_role("button", name="Play").click()  # the caution is remembered for the page
    page.until("low.plays", 1)


def test_piano_keys_sound_their_pitch_softly_and_can_be_silenced(notebook):
    page = notebook([SET_UP, "piano = PianoKeyboard(55, 79); piano"])
    assert page.page.evaluate("() => heard.contexts") == 0
    # Frequencies of twelve-tone equal temperament at A4 = 440 Hz (ISO 16): C4 = 261.63, E4 = 329.63.
    for name, wanted in (("A, octave 4", 440.0), ("C, octave 4, middle C", 261.63), ("E, octave 4", 329.63)):
        key = page.output(1).get_by_role("button", name=re.compile(f"^{name}(;|$)"))
        key.click()
        wait_for_hz(page, wanted)
        assert page.page.evaluate("() => heard.peak()") < 0.1
    wait_for_silence(page)
    page.output(1).get_by_role("checkbox", name="Keys sound").uncheck()
    starts = page.page.evaluate("() => heard.starts")
    page.output(1).get_by_role("button", name="Clear").click()
    key.click()
    page.until("len(piano.value)", 1)
    assert page.page.evaluate("() => heard.starts") == starts
