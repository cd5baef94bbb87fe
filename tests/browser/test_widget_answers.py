"""Choices, piano keys and sections in JupyterLab, by mouse and from the computer keyboard alone.

Key behaviour follows the ARIA Authoring Practices Guide of the W3C (radio group, checkbox, one Tab stop for a group);
note numbers are MIDI's, middle C = C4 = 60.
"""

import re

import pytest
from playwright.sync_api import expect

SET_UP = """
from musictheory_nb.widgets.choice_field import ChoiceField
from musictheory_nb.widgets.choice_row import ChoiceRow
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.section_strip import SectionStrip
names = ["m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8"]
options = [{"value": n.lower() + n, "label": n, "spoken": "interval " + n} for n in names]
bars = [str(n) for n in range(34)]
"""


@pytest.fixture(scope="module")
def page(notebook):
    return notebook(
        [
            SET_UP,
            "one = ChoiceRow(options, label='Which interval?'); one",
            "many = ChoiceRow(options[:4], many=True, label='Which of these?'); many",
            "marked = ChoiceRow(options[:3], value=['m3m3'], label='Marked'); marked",
            "piano = PianoKeyboard(55, 79, count=3, given=[60], label='Play three notes'); piano",
            "single = PianoKeyboard(61, 70, label='Play one note'); single",
            "heard = []; strip = SectionStrip(bars, label='Sections?'); strip.on_hear(lambda *ab: heard.append(ab)); strip",
            "broken = ChoiceRow(options[:3], label='Broken'); broken.on_change(lambda change: 1 / 0); broken",
            "field = ChoiceField(['the chord', 'C Lydian', 'C altered', 'B flat'], label='Sound'); field",
        ]
    )


@pytest.fixture(autouse=True)
def _nothing_leaks_to_jupyterlab(page):
    """No key of a widget may become a command of JupyterLab (x cuts a cell, b inserts one); no script may fail."""
    before = page.cell_count
    yield
    assert page.cell_count == before
    assert page.console == []


# -- choices -----------------------------------------------------------------------------------------------------


def test_one_choice_by_mouse(page):
    row = page.output(1)
    row.get_by_role("radio", name="interval A4", exact=True).click()
    page.until("one.value", ["a4A4"])
    row.get_by_role("radio", name="interval P5", exact=True).click()
    page.until("one.value", ["p5P5"])
    expect(row.get_by_role("radio", checked=True)).to_have_count(1)


def test_one_choice_by_keyboard(page):
    radios = page.output(1).get_by_role("radio")
    radios.first.focus()
    keys = page.page.keyboard
    keys.press("Home")
    for _ in range(2):
        keys.press("ArrowRight")
    assert page.focused() == "interval P4"
    keys.press("Enter")
    page.until("one.value", ["p4P4"])
    keys.press("End")
    assert page.focused() == "interval P8"
    keys.press("ArrowRight")
    assert page.focused() == "interval P8"
    keys.press(" ")
    page.until("one.value", ["p8P8"])
    keys.press("4")
    page.until("one.value", ["a4A4"])
    keys.press("0")
    page.until("one.value", ["m7M7"])
    keys.press("d")
    assert page.focused() == "interval d5"
    for letter in "xbaymrczvj":  # single keys that JupyterLab would take as commands
        keys.press(letter)
    expect(page.output(1).get_by_role("radiogroup", name="Which interval?")).to_be_visible()


def test_a_group_is_one_tab_stop_at_the_chosen_option(page):
    page.do("one.value = ['d5d5']")
    expect(page.output(1).get_by_role("radio", name="interval d5", exact=True)).to_have_attribute(
        "aria-checked", "true"
    )
    page.page.evaluate("() => document.activeElement.blur()")
    stops = page.output(1).locator("button[tabindex='0']")
    expect(stops).to_have_count(1)
    expect(stops).to_have_accessible_name("interval d5")


def test_many_choices_keep_the_order_of_the_options(page):
    row = page.output(2)
    row.get_by_role("checkbox", name="interval A4", exact=True).click()
    row.get_by_role("checkbox", name="interval m3", exact=True).click()
    page.until("many.value", ["m3m3", "a4A4"])
    page.page.keyboard.press("2")
    page.until("many.value", ["m3m3", "m3M3", "a4A4"])
    page.page.keyboard.press(" ")
    page.until("many.value", ["m3m3", "a4A4"])


def test_marked_choice_says_in_words_what_was_right_and_takes_no_more(page):
    page.do("marked.locked = True; marked.right = ['m3M3']; marked.given = ['m3m3']")
    row = page.output(3)
    expect(row.get_by_role("radio", name="interval m3: your answer, not right", exact=True)).to_be_visible()
    expect(row.get_by_text("✗ your answer, not right")).to_be_visible()
    expect(row.get_by_role("radio", name="interval M3: right answer", exact=True)).to_be_visible()
    row.get_by_role("radio", name="interval P4", exact=True).click(force=True)
    page.page.keyboard.press("Enter")
    page.page.keyboard.press("2")
    page.do("marked.right = ['m3m3']")
    expect(row.get_by_role("radio", name="interval m3: your answer, right", exact=True)).to_be_visible()
    assert page.python("marked.value") == ["m3m3"]


def test_failure_in_a_callback_is_told_to_the_student_and_recorded(page):
    page.output(7).get_by_role("radio").first.click()
    expect(page.output(7).get_by_role("alert")).to_contain_text(
        "This did not work: ZeroDivisionError: division by zero."
    )
    assert page.python("[type(f.error).__name__ for f in broken.failures]") == ["ZeroDivisionError"]


def test_letters_typed_in_a_field_find_an_option_and_stay_there(page):
    field = page.output(8).get_by_label("Sound")
    field.select_option("C Lydian")
    page.until("field.value", 1)
    field.focus()
    page.page.keyboard.press("b")  # in JupyterLab b inserts a cell
    page.until("field.value", 3)
    page.page.keyboard.press("ArrowUp")
    page.until("field.value", 2)


# -- piano -------------------------------------------------------------------------------------------------------


def key(page, cell, name):
    return page.output(cell).get_by_role("button", name=re.compile(rf"^{re.escape(name)}(;|$)"))


def test_keys_by_mouse_in_the_order_played(page):
    page.do("piano.value = []")
    key(page, 4, "E, octave 4").click()
    key(page, 4, "A sharp or B flat, octave 4").click()
    page.until("piano.value", [64, 70])
    status = page.output(4).get_by_role("status")
    expect(status).to_have_text("Given: C4. Played: 1. E4, 2. A♯4 or B♭4 (2 of 3).")
    expect(key(page, 4, "E, octave 4")).to_have_accessible_name("E, octave 4; played as note 1")
    page.output(4).get_by_role("button", name="Undo", exact=True).click()
    page.until("piano.value", [64])
    page.output(4).get_by_role("button", name="Clear", exact=True).click()
    page.until("piano.value", [])


def test_one_key_more_than_asked_is_told_not_swallowed(page):
    page.do("piano.value = [64, 65, 67]")
    expect(key(page, 4, "G, octave 4")).to_have_attribute("aria-pressed", "true")
    key(page, 4, "A, octave 4").click()
    expect(page.output(4).get_by_role("alert")).to_contain_text("All 3 notes are played. Press Undo or Clear")
    assert page.python("piano.value") == [64, 65, 67]


def test_where_one_note_is_asked_the_last_key_counts(page):
    key(page, 5, "F, octave 4").click()
    page.until("single.value", [65])
    key(page, 5, "G, octave 4").click()
    page.until("single.value", [67])


def test_keys_by_computer_keyboard(page):
    page.do("piano.value = []")
    expect(page.output(4).get_by_role("status")).to_contain_text("Nothing played yet (0 of 3)")
    keys = page.page.keyboard
    key(page, 4, "C, octave 4, middle C").focus()
    keys.press("ArrowRight")
    assert page.focused().startswith("C sharp or D flat, octave 4")
    keys.press("ArrowUp")
    assert page.focused().startswith("C sharp or D flat, octave 5")
    keys.press("ArrowUp")  # there is no octave above
    assert page.focused().startswith("C sharp or D flat, octave 5")
    keys.press("ArrowDown")
    keys.press("g")
    keys.press("Enter")
    keys.press("#")
    keys.press(" ")
    keys.press("b")
    keys.press("Enter")
    page.until("piano.value", [67, 68, 71])
    keys.press("Backspace")
    page.until("piano.value", [67, 68])
    keys.press("Home")
    assert page.focused().startswith("G, octave 3")
    keys.press("End")
    assert page.focused().startswith("G, octave 5")
    keys.press("Delete")
    page.until("piano.value", [])


# MIDI note numbers with C4 = 60; enharmonic spellings cross the octave line by their letter (C4 flat is B3, 59).
@pytest.mark.parametrize(
    ("text", "midi"),
    [
        ("F#4", 66),
        ("Bb3", 58),
        ("b4", 71),
        ("bb4", 70),
        ("Cb5", 71),
        ("B#3", 60),
        ("E♭ 5", 75),
        ("Fx4", 67),
        ("Abb4", 67),
    ],
)
def test_typed_note(page, text, midi):
    page.do("piano.value = []")
    field = page.output(4).get_by_role("textbox", name="Type a note")
    field.fill(text)
    field.press("Enter")
    page.until("piano.value", [midi])
    expect(field).to_have_value("")


def test_typed_octave_goes_up_and_down(page):
    page.do("piano.value = []")
    field = page.output(4).get_by_role("textbox", name="Type a note")
    field.fill("F#4")
    field.press("ArrowUp")
    expect(field).to_have_value("F#5")
    field.press("ArrowDown")
    field.press("ArrowDown")
    expect(field).to_have_value("F#3")
    field.fill("G5")
    page.output(4).get_by_role("button", name="Enter note").click()
    page.until("piano.value", [79])


@pytest.mark.parametrize(
    ("text", "told"), [("H4", "is no note name"), ("C9", "is not on this keyboard"), ("", "no note name")]
)
def test_typed_nonsense_is_told_in_quotes(page, text, told):
    page.do("piano.value = []")
    field = page.output(4).get_by_role("textbox", name="Type a note")
    field.fill(text)
    field.press("Enter")
    expect(page.output(4).get_by_role("alert")).to_contain_text(f"“{text}”")
    expect(page.output(4).get_by_role("alert")).to_contain_text(told)
    assert page.python("piano.value") == []


def test_marked_keys_say_what_was_right(page):
    page.do("single.value = [65]; single.locked = True; single.right = [66]")
    expect(key(page, 5, "F, octave 4")).to_have_accessible_name("F, octave 4; played, not right")
    expect(key(page, 5, "F sharp or G flat, octave 4")).to_have_accessible_name(
        "F sharp or G flat, octave 4; right answer"
    )
    expect(page.output(5).get_by_role("status")).to_have_text("You played: F4. Right answer: F♯4 or G♭4.")
    key(page, 5, "A, octave 4").click()
    page.page.keyboard.press("Backspace")
    assert page.python("single.value") == [65]
    page.do("single.locked = False; single.right = []; single.value = []")


def test_black_keys_lie_between_their_white_neighbours(page):
    """Two and three black keys in turn, none between E and F or B and C: the piano keyboard."""
    boxes = {
        int(each.get_attribute("data-midi")): each.bounding_box() for each in page.output(4).locator(".mtnb-key").all()
    }
    for midi, box in boxes.items():
        black = midi % 12 in {1, 3, 6, 8, 10}
        assert (box["height"] < 120) is black
        if black and midi + 1 in boxes:
            left, right = boxes[midi - 1], boxes[midi + 1]
            line = right["x"]
            assert abs(left["x"] + left["width"] - line) < 1.5
            assert box["x"] < line < box["x"] + box["width"]


# -- sections ----------------------------------------------------------------------------------------------------


def measure(page, number):
    return page.output(6).get_by_role("button", name=re.compile(rf"^Measure {number}(,|$)"))


def test_sections_by_mouse(page):
    page.do("strip.value = []; strip.locked = False; strip.right = []")
    measure(page, 9).click()
    page.until("strip.value", [[0, "A"], [9, "B"]])
    measure(page, 17).click()
    letter = page.output(6).get_by_role("textbox", name="Letter of the section from measure 17")
    letter.fill("A")
    page.until("strip.value", [[0, "A"], [9, "B"], [17, "A"]])
    expect(letter).to_be_focused()
    page.output(6).get_by_role("button", name="Unmark the section from measure 9", exact=True).click()
    page.until("strip.value", [[0, "A"], [17, "A"]])
    measure(page, 17).click()
    page.until("strip.value", [[0, "A"]])
    page.output(6).get_by_role("button", name="Unmark all").click()
    page.until("strip.value", [])


def test_sections_by_keyboard(page):
    page.do("strip.value = []; strip.locked = False; strip.right = []")
    keys = page.page.keyboard
    measure(page, 0).focus()
    keys.press("Home")
    for _ in range(4):
        keys.press("ArrowRight")
    keys.press("Enter")
    page.until("strip.value", [[0, "A"], [4, "B"]])
    expect(measure(page, 4)).to_have_accessible_name("Measure 4, section B begins")
    expect(measure(page, 4)).to_have_attribute("aria-pressed", "true")
    keys.press("ArrowDown")  # 16 measures a row at this width, a pickup beside them
    assert page.focused() == "Measure 20"
    keys.press("x")
    page.until("strip.value", [[0, "A"], [4, "B"], [20, "X"]])
    keys.press("2")
    page.until("strip.value[-1]", [20, "X2"])
    keys.press("Delete")
    page.until("strip.value", [[0, "A"], [4, "B"]])
    keys.press("End")
    assert page.focused() == "Measure 33"
    keys.press("Home")
    keys.press("Delete")  # the first section cannot go while there are others
    expect(page.output(6).get_by_role("status")).to_have_text("A section always begins at the first measure.")
    assert page.python("strip.value") == [[0, "A"], [4, "B"]]


def test_several_measures_are_selected_and_heard(page):
    keys = page.page.keyboard
    measure(page, 0).focus()
    keys.press("Home")
    for _ in range(2):
        keys.press("ArrowRight")
    for _ in range(3):
        keys.press("Shift+ArrowRight")
    page.until("strip.selected", [2, 5])
    expect(page.output(6).get_by_role("status")).to_have_text("Selected: measures 2 to 5.")
    page.output(6).get_by_role("button", name="Hear measures 2 to 5").press("Enter")
    page.until("heard", [(2, 5)])
    before = page.python("strip.value")
    measure(page, 8).click(modifiers=["Shift"])
    page.until("strip.selected", [2, 8])
    assert page.python("strip.value") == before


def test_marked_sections_show_both_lines_in_words(page):
    page.do("strip.value = [[0, 'A'], [17, 'B']]; strip.locked = True; strip.right = [[0, 'A'], [18, 'C']]")
    expect(
        page.output(6).get_by_text("the lower line the answer: A measures 0 to 17, C measures 18 to 33.")
    ).to_be_visible()
    expect(page.output(6).get_by_text("B: measures 17 to 33")).to_be_visible()
    expect(measure(page, 18)).to_have_accessible_name("Measure 18, answer: section C begins")
    measure(page, 20).click()
    page.page.keyboard.press("q")
    assert page.python("strip.value") == [[0, "A"], [17, "B"]]
    page.do("strip.locked = False; strip.right = []; strip.value = []")
