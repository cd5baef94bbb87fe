"""What the widgets hold and hand over, without a browser."""

import re
from fractions import Fraction
from html.parser import HTMLParser

import nbformat
import pytest
from nbclient import NotebookClient
from traitlets import TraitError

from musictheory_nb.errors import ExerciseError, MediaError
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.practice.response import (
    FingerboardInput,
    NumberInput,
    Option,
    RhythmInput,
    RolesInput,
    StaffInput,
    SungInput,
    SymbolInput,
    TextInput,
)
from musictheory_nb.widgets.choice_field import ChoiceField
from musictheory_nb.widgets.choice_row import ChoiceRow
from musictheory_nb.widgets.feedback import Feedback
from musictheory_nb.widgets.fingerboard import Fingerboard
from musictheory_nb.widgets.listening import Listening
from musictheory_nb.widgets.measure_range import MeasureRange
from musictheory_nb.widgets.microphone import Microphone
from musictheory_nb.widgets.notation_view import NotationView
from musictheory_nb.widgets.number_field import NumberField
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.rhythm_tap import RhythmTap
from musictheory_nb.widgets.role_strip import RoleStrip
from musictheory_nb.widgets.section_strip import SectionStrip
from musictheory_nb.widgets.staff_entry import StaffEntry
from musictheory_nb.widgets.symbol_field import SymbolField
from musictheory_nb.widgets.text_field import TextField

ROLES = (Option("ct", "chord tone"), Option("pt", "passing tone"))
BASS = ("E1", "A1", "D2", "G2")
MEASURES = [str(number) for number in range(12)]
SVG = '<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10"><path d="M0 0H10"/></svg>'


class Clip:
    """What media hands over: WAV bytes and where measures begin."""

    def __init__(self, first, last):
        self.wav = f"RIFF {first}-{last}".encode()
        self.measure_starts_s = (0.0, 1.5)


def every_widget():
    return {
        "choices": ChoiceRow([{"value": "a", "label": "<A>"}], label="Which?"),
        "field": ChoiceField(["the chord", "C Lydian"], label="Sound"),
        "piano": PianoKeyboard(60, 72, label="Play it"),
        "strip": SectionStrip(MEASURES, value=[[0, "A"], [4, "B"]], label="Where?"),
        "listening": Listening(b"RIFF", label="The interval"),
        "notation": NotationView(SVG, "B3, then F4", caption="Two notes"),
        "feedback": Feedback(verdict="right", headline="Right."),
        "staff": StaffEntry(StaffInput(), value=[[["F#4"], "1", False]], label="Write it"),
        "tapping": RhythmTap(RhythmInput(), value=[0, 750], label="Tap it"),
        "symbol": SymbolField(SymbolInput("chord"), value=["Bb7"], label="Name it"),
        "roles": RoleStrip.of(RolesInput(("C5", "D5"), ROLES), value=["ct", ""], label="Roles"),
        "span": MeasureRange(MEASURES, value=[[2, 4]], label="Where?"),
        "number": NumberField(NumberInput(0, 24, "semitones"), value=[7], label="How wide?"),
        "fingerboard": Fingerboard(FingerboardInput(BASS), value=[[1, 3]], label="Press it"),
        "fingering": Fingerboard.showing(finger_line("G1 B1", 1, "bass guitar"), label="A third"),
        "microphone": Microphone(SungInput(), value=[64.1], label="Sing it"),
        "text": TextField(TextInput(), value=["AABA"], label="Form"),
    }


# -- what a saved notebook keeps ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(every_widget()))
def test_stand_in_is_the_same_each_time_and_holds_no_address(name):
    first, second = every_widget()[name], every_widget()[name]
    data, other = first._repr_mimebundle_()[0], second._repr_mimebundle_()[0]
    assert data["text/plain"] == other["text/plain"] == repr(first)
    assert data["text/html"] == other["text/html"]
    assert not re.search(r"0x[0-9a-f]{4,}|object at", data["text/plain"] + data["text/html"])
    assert first.model_id not in data["text/plain"] + data["text/html"]
    assert data["application/vnd.jupyter.widget-view+json"]["model_id"] == first.model_id


@pytest.mark.parametrize("name", list(every_widget()))
def test_stand_in_says_the_words_of_the_widget_escaped(name):
    class Text(HTMLParser):
        said = ""

        def handle_data(self, data):
            self.said += data

    widget = every_widget()[name]
    text = Text()
    text.feed(widget._repr_mimebundle_()[0]["text/html"])
    assert text.said == widget.stand_in()
    wanted = {
        "choices": "Which?: <A>",
        "field": "Sound: the chord, C Lydian",
        "piano": "Play it",
        "strip": "B from measure 4",
        "listening": "The interval",
    }
    wanted |= {"notation": "Two notes: B3, then F4", "feedback": "Right."}
    wanted |= {"staff": "F♯4 quarter", "tapping": "Tap it", "symbol": "Name it", "roles": "chord tone", "span": "2"}
    wanted |= {"number": "7 semitones", "text": "AABA", "fingerboard": "C2 (string 3, fret 3)"}
    wanted |= {"microphone": "E4 (10 cents high)"}
    wanted |= {"fingering": "string 4, fret 3, finger 3"}
    assert wanted[name] in widget.stand_in()


def test_a_cell_that_shows_a_widget_has_the_same_text_in_two_runs(tmp_path):
    source = "from musictheory_nb.widgets.choice_row import ChoiceRow\nChoiceRow([{'value': 'a', 'label': 'A'}])"
    texts = []
    for _ in range(2):
        notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(source)])
        NotebookClient(
            notebook, timeout=120, kernel_name="python3", resources={"metadata": {"path": tmp_path}}
        ).execute()
        texts.append(notebook.cells[0].outputs[0].data["text/plain"])
    assert texts[0] == texts[1]
    assert "Run this cell" in texts[0]


# -- the browser's half ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", list(every_widget()))
def test_module_renders_and_every_name_it_calls_is_in_it(name):
    code = every_widget()[name]._esm
    assert code.count("export default { render };") == 1
    for called in ("lessonWidget", "rovingFocus", "soundStage", "soundProblem", "element", "follow", "focusOn"):
        if f"{called}(" in code:
            assert f"function {called}(" in code, f"{called} is called and not brought along"


@pytest.mark.parametrize("name", list(every_widget()))
def test_colours_and_type_come_from_the_theme(name):
    """House rule (design, section 5): colours and type only from ``--jp-…`` variables."""
    style = re.sub(r"/\*.*?\*/", "", every_widget()[name]._css, flags=re.DOTALL)
    assert not re.search(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", style)
    own = set(re.findall(r"(--mtnb-[a-z-]+):", style))
    for prop, value in re.findall(
        r"(?<![\w-])(color|background|border[a-z-]*color|font-family|outline)\s*:\s*([^;]+);", style
    ):
        words = set(re.sub(r"var\([^)]*\)", "", value).split())
        plain = {"inherit", "transparent", "none", "solid", "2px", "3px"}
        plain |= {"Canvas", "CanvasText", "currentColor", "!important"}  # the student's own colours
        assert words <= plain, f"{prop}: {value}"
    for variable in re.findall(r"var\((--[a-z0-9-]+)", style):
        assert (
            variable.startswith("--jp-") or variable in own or variable in {"--columns", "--at", "--whites", "--thick"}
        ), variable


@pytest.mark.parametrize("name", list(every_widget()))
def test_nothing_moves_by_itself(name):
    assert not re.search(r"\b(animation|transition)\b", every_widget()[name]._css)


# -- choices -----------------------------------------------------------------------------------------------------


def test_choice_row_tells_its_value():
    row = ChoiceRow([{"value": "m3", "label": "m3"}, {"value": "M3", "label": "M3"}])
    heard = []
    row.on_change(lambda change: heard.append(change["new"]))
    row.value = ["M3"]
    assert heard == [["M3"]]


@pytest.mark.parametrize("value", [2, -1])
def test_field_refuses_what_is_not_in_its_list(value):
    with pytest.raises(ExerciseError, match=f"value {value}"):
        ChoiceField(["a", "b"], value)
    field = ChoiceField(["a", "b"])
    with pytest.raises(TraitError, match=f"value {value}; allowed: 0 to 1"):
        field.value = value


# -- piano -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("low", "high"), [(-1, 60), (60, 128), (72, 60)])
def test_keyboard_outside_midi_numbers_is_refused(low, high):
    """MIDI 1.0: note numbers are 0 to 127."""
    with pytest.raises(ExerciseError, match=f"keys {low} to {high}"):
        PianoKeyboard(low, high)


@pytest.mark.parametrize("count", [0, -2])
def test_keyboard_without_notes_to_play_is_refused(count):
    with pytest.raises(ExerciseError, match=f"count {count}"):
        PianoKeyboard(60, 72, count=count)


def test_given_key_off_the_keyboard_is_refused():
    with pytest.raises(ExerciseError, match="given key 48"):
        PianoKeyboard(60, 72, given=[48])


# -- sections ----------------------------------------------------------------------------------------------------


def test_strip_asks_to_hear_what_is_selected():
    strip = SectionStrip(MEASURES)
    assert strip.can_hear is False
    asked = []
    strip.on_hear(lambda first, last: asked.append((first, last)))
    strip.selected = [4, 7]
    strip.hear += 1
    strip.hear += 1
    assert asked == [(4, 7), (4, 7)]
    assert strip.can_hear is True


def test_strip_takes_measure_numbers_as_text():
    assert SectionStrip([1, 2, 3]).measures == ["1", "2", "3"]


@pytest.mark.parametrize("selected", [[3, 99], [-1, 2], [5, 4], [1], []])
def test_strip_refuses_to_hear_measures_that_are_not_there(selected):
    strip = SectionStrip(MEASURES)
    strip.on_hear(lambda first, last: None)
    strip.selected = selected
    with pytest.raises(MediaError, match=r"indices are 0 to 11"):
        strip.hear += 1


# -- listening ---------------------------------------------------------------------------------------------------


def test_request_brings_the_sound_of_the_chosen_measures():
    asked = []

    def sound(first, last):
        asked.append((first, last))
        return Clip(first, last)

    controls = Listening(sound=sound, measures=MEASURES, choose_measures=True)
    controls.set_state({"first": 2, "last": 5, "request": 1})  # as a message from the browser does
    assert asked == [(2, 5)]
    assert controls.wav == b"RIFF 2-5"
    assert controls.measure_starts_s == [0.0, 1.5]
    assert controls.ready == controls.request == 1


def test_request_without_a_last_measure_means_all():
    asked = []
    controls = Listening(sound=lambda first, last: asked.append((first, last)) or b"RIFF", measures=MEASURES)
    controls.request += 1
    assert asked == [(0, 11)]
    assert controls.wav == b"RIFF"


@pytest.mark.parametrize(("first", "last"), [(5, 4), (-2, 3), (0, 12), (40, 41)])
def test_measures_that_are_not_there_are_refused_and_told(first, last):
    controls = Listening(sound=Clip, measures=MEASURES)
    with pytest.raises(MediaError, match=rf"measures {first} to {last}: the indices are 0 to 11"):
        controls.load(first, last)
    with pytest.raises(MediaError):
        controls.set_state({"first": first, "last": last if last >= 0 else 99, "request": 1})
    assert controls.ready == 0
    assert "MediaError" in controls.problem


def test_fixed_sound_cannot_be_asked_for_other_measures():
    with pytest.raises(MediaError, match="one fixed sound"):
        Listening(b"RIFF").load(0, 1)


def test_play_loads_and_orders():
    controls = Listening(sound=Clip, measures=MEASURES, choose_measures=True)
    controls.play(3, 4)
    assert (controls.first, controls.last, controls.wav, controls.play_order) == (3, 4, b"RIFF 3-4", 1)


def test_binary_from_the_browser_is_taken_as_bytes():
    """Jupyter's widget messaging hands binary over as memoryview."""
    controls = Listening(b"RIFF")
    controls.set_state({"wav": memoryview(b"other")})
    assert controls.wav == b"other"


def test_measure_starts_may_be_fractions_of_a_second():
    class Exact(Clip):
        def __init__(self, first, last):
            super().__init__(first, last)
            self.measure_starts_s = (Fraction(0), Fraction(1, 3))

    controls = Listening(sound=Exact, measures=MEASURES)
    controls.load(0, 1)
    assert controls.measure_starts_s == pytest.approx([0.0, 1 / 3])


# -- notation and feedback ---------------------------------------------------------------------------------------


def test_notation_has_its_words_beside_the_picture():
    html = NotationView(SVG, "B3 & F4", caption="<Two>").html()
    assert SVG in html
    assert "B3 &amp; F4" in html
    assert "<figcaption>&lt;Two&gt;</figcaption>" in html


@pytest.mark.parametrize(
    ("headline", "right", "verdict"),
    [
        ("Right.", True, "right"),
        ("Partly right (50 %).", False, "partly"),
        ("Not right.", False, "wrong"),
        ("Not answered yet.", None, ""),
    ],
)
def test_feedback_verdict_follows_its_words(headline, right, verdict):
    told = Feedback()
    told.show(headline, "Why.", "", right=right)
    assert (told.verdict, told.headline, told.lines) == (verdict, headline, ["Why."])
    told.clear()
    assert (told.verdict, told.headline, told.lines) == ("", "", [])


# -- fingerboard -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("place", [[4, 0], [0, 13], [-1, 2], [1]])
def test_fingerboard_refuses_places_that_it_has_not(place):
    board = Fingerboard(FingerboardInput(BASS))
    with pytest.raises(TraitError, match="allowed"):
        board.value = [place]


def test_places_are_named_in_a_key_by_note_or_degree():
    """A1 a whole step up is B1: in G major the third degree, in Ab major C-flat, its flat third (common practice)."""

    def labels(**settings):
        third = Fingerboard(FingerboardInput(BASS, **settings)).board["strings"][2]
        assert (third["name"], third["at"], third["midi"]) == ("A", 1, 33)
        return third["labels"][2]

    assert labels() == ["B", "B1"]
    assert labels(labels="degrees", key="G major") == ["3", "degree 3"]
    assert labels(labels="degrees", key="Ab major") == ["♭3", "degree ♭3"]
    assert labels(key="Ab major") == ["C♭", "C♭2"]
    assert labels(labels="none") == ["", ""]


def test_a_shown_fingering_comes_with_the_caution_about_strain():
    board = Fingerboard.showing(finger_line("A4 B4 C#5 D5", 1, "violin", open_strings="never"))
    assert board.locked
    assert len(board.fingers) == 4
    assert "should not hurt" in board.caution
    assert "pain" in board.stand_in()
