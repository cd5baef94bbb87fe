"""Staff, tapping, symbols, roles, spans, numbers and text in JupyterLab, by mouse and from the computer keyboard alone.

Lines of the clefs: treble E4 to F5, bass G2 to A3, alto F3 to G4, tenor D3 to E4 (common practice). A quarter at 120 beats a minute lasts
half a second.
"""

import re

import pytest
from playwright.sync_api import expect

SET_UP = """
from musictheory_nb.practice.response import *
from musictheory_nb.widgets.measure_range import MeasureRange
from musictheory_nb.widgets.number_field import NumberField
from musictheory_nb.widgets.rhythm_tap import RhythmTap
from musictheory_nb.widgets.role_strip import RoleStrip
from musictheory_nb.widgets.staff_entry import StaffEntry
from musictheory_nb.widgets.symbol_field import SymbolField
from musictheory_nb.widgets.text_field import TextField
roles = (Option("ct", "chord tone"), Option("pt", "passing tone"), Option("nt", "neighbouring tone"))
bars = tuple(str(n) for n in range(1, 21))
"""
CELLS = (
    SET_UP,
    "staff = StaffEntry(StaffInput(fifths=2, measures=2), label='Write the melody.'); staff",
    "chord = StaffEntry(StaffInput(clef='bass', fifths=-3, pitches_only=True, chords=True), label='Spell it.'); chord",
    "tap = RhythmTap(RhythmInput('2/4', measures=1, tempo=120), label='Tap the rhythm.'); tap",
    "symbol = SymbolField(SymbolInput('chord'), label='Name the chord.'); symbol",
    "role = RoleStrip.of(RolesInput(('C5', 'D5', 'E5'), roles), label='What is each note?'); role",
    "heard = []; span = MeasureRange(bars, spans=2, label='Where?'); span.on_hear(lambda *ab: heard.append(ab)); span",
    "number = NumberField(NumberInput(0, 24, 'semitones'), label='How wide is it?'); number",
    "text = TextField(TextInput(most=60), label='Describe the form.'); text",
)
STAFF, CHORD, TAP, SYMBOL, ROLE, SPAN, NUMBER, TEXT = range(1, 9)
NAMES = ("staff", "chord", "tap", "symbol", "role", "span", "number", "text")


@pytest.fixture(scope="module")
def page(notebook):
    return notebook(CELLS)


@pytest.fixture(autouse=True)
def _fresh_and_nothing_leaks_to_jupyterlab(page):
    """Every test begins with empty widgets; no key may become a command of JupyterLab; no script may fail."""
    for name in NAMES:
        page.do(f"{name}.locked = False; {name}.right = []; {name}.value = []")
    before = page.cell_count
    yield
    assert page.cell_count == before
    assert page.console == []


def press(page, keys):
    for each in keys:
        page.page.keyboard.press(each)


# -- staff -------------------------------------------------------------------------------------------------------


def staff_page(page, cell=STAFF):
    area = page.output(cell).get_by_role("application")
    expect(area.locator("svg g.staff").first).to_be_visible()
    return area


def click_staff(page, cell, steps, note=None, measure=0):
    """Click `steps` above the bottom line: in the column of a note, else in what is free of a measure."""
    area = staff_page(page, cell)
    area.scroll_into_view_if_needed()
    x, y = area.evaluate(
        """(area, [steps, note, measure]) => {
        const lines = [...area.querySelectorAll('svg g.staff')][measure].querySelectorAll(':scope > path');
        const box = (at) => lines[at].getBoundingClientRect();
        const [top, bottom] = [box(0).top + box(0).height / 2, box(4).top + box(4).height / 2];
        const heads = [...area.querySelectorAll('svg g.notehead')].map((head) => head.getBoundingClientRect());
        const x = note === null ? box(0).right - 14 : heads[note].left + heads[note].width / 2;
        return [x, bottom - steps * (bottom - top) / 8]; }""",
        [steps, note, measure],
    )
    page.page.mouse.click(x, y)


def test_notes_by_mouse_stand_on_the_lines_and_spaces_that_are_clicked(page):
    click_staff(page, STAFF, 0)
    page.until("staff.value", [[["E4"], "1", False]])
    click_staff(page, STAFF, 8)  # the top line; the key signature of D major makes it sharp
    page.until("staff.value[1:]", [[["F#5"], "1", False]])
    page.output(STAFF).get_by_role("button", name="Half", exact=True).click()
    click_staff(page, STAFF, -2)  # middle C, on a ledger line, with the sharp of the signature
    page.until("staff.value[2:]", [[["C#4"], "2", False]])
    expect(page.output(STAFF).get_by_role("status")).to_have_text("C sharp 4, half, measure 1 beat 3.")
    expect(page.output(STAFF).get_by_text("Measure 2 is empty.")).to_be_visible()


def test_a_note_is_changed_by_mouse(page):
    page.do("staff.value = [[['D5'], '1', False], [['E5'], '1', False]]")
    expect(staff_page(page).locator("svg g.note")).to_have_count(2)
    click_staff(page, STAFF, 6, note=0)  # the note itself is taken in hand
    expect(page.output(STAFF).get_by_role("status")).to_have_text("D 5, quarter, measure 1 beat 1.")
    page.output(STAFF).get_by_role("button", name="Flat", exact=True).click()
    page.until("staff.value[0]", [["Db5"], "1", False])
    page.output(STAFF).get_by_role("button", name="Dot", exact=True).click()
    page.until("staff.value[0]", [["Db5"], "3/2", False])
    page.output(STAFF).get_by_role("button", name="Undo", exact=True).click()
    page.until("staff.value[0]", [["Db5"], "1", False])
    page.output(STAFF).get_by_role("button", name="Delete", exact=True).click()
    page.until("staff.value", [[["E5"], "1", False]])
    page.output(STAFF).get_by_role("button", name="Clear", exact=True).click()
    page.until("staff.value", [])


def test_a_melody_by_keyboard_alone(page):
    staff_page(page).focus()
    # D major: d e f♯ g as quarters; an eighth, a rest; then half and triplet notes, near the last note and not the rest.
    press(page, ["4", "d", "e", "f", "8", "g", "r"])
    page.until(
        "staff.value",
        [[["D5"], "1", False], [["E5"], "1", False], [["F#5"], "1", False], [["G5"], "1/2", False], [[], "1/2", False]],
    )
    press(page, ["2", "a", ".", "4", "u", "b"])
    page.until("staff.value[5:]", [[["A5"], "2", False], [["B5"], "2/3", False]])
    press(page, ["Backspace", "Backspace"])
    press(page, ["u", "2", ".", "a", "ArrowDown", "Shift+ArrowDown", "#"])
    page.until("staff.value[5:]", [[["G#4"], "3", False]])
    press(page, ["ArrowLeft", "i", "z"])
    page.until("len(staff.value)", 6)
    expect(page.output(STAFF).get_by_role("status")).to_contain_text("Taken back")
    page.page.keyboard.press("Tab")
    assert not page.page.evaluate("() => document.activeElement.matches('.mtnb-staff-page')")


def test_a_note_over_the_barline_is_tied_and_one_too_many_is_told(page):
    staff_page(page).focus()
    press(page, ["2", ".", "d", "2", "e"])
    page.until("staff.value", [[["D5"], "3", False], [["E5"], "1", True], [["E5"], "1", False]])
    press(page, ["2", ".", "f"])
    expect(page.output(STAFF).get_by_text("All 2 measures are full.")).to_be_visible()
    press(page, ["4", "g"])
    expect(page.output(STAFF).get_by_role("alert")).to_have_text(
        "There is no room for that: measure 2 is the last, and it would be too long."
    )
    page.until("len(staff.value)", 4)


def test_a_chord_by_keyboard_and_by_mouse(page):
    staff_page(page, CHORD).focus()
    press(page, ["e", "Shift+G", "Shift+B"])  # three flats: E♭ G B♭
    page.until("chord.value", [[["Eb3", "G3", "Bb3"], "1", False]])
    page.do("chord.value = []")
    expect(staff_page(page, CHORD).locator("svg g.note")).to_have_count(0)
    click_staff(page, CHORD, 5)  # E on the third space of the bass clef
    page.until("chord.value", [[["Eb3"], "1", False]])
    expect(staff_page(page, CHORD).locator("svg g.note")).to_have_count(1)
    click_staff(page, CHORD, 7, note=0)
    page.until("chord.value", [[["Eb3", "G3"], "1", False]])


def test_marked_staff_shows_the_right_notes_in_print_and_in_words_and_takes_no_more(page):
    page.do("staff.value = [[['D5'], '1', False]]; staff.locked = True; staff.right = [[['E5'], '1', False]]")
    expect(page.output(STAFF).get_by_text("→ Right answer")).to_be_visible()
    expect(page.output(STAFF).get_by_text("Measure 1: E5 quarter.")).to_be_visible()
    expect(page.output(STAFF).locator("figure svg").first).to_be_visible()
    expect(page.output(STAFF).get_by_role("button", name="Delete", exact=True)).to_be_hidden()
    staff_page(page).focus()
    press(page, ["a", "Backspace", "z"])
    click_staff(page, STAFF, 2, measure=1)
    assert page.python("staff.value") == [[["D5"], "1", False]]


def test_the_staff_says_its_clef_key_and_size(page):
    expect(staff_page(page)).to_have_accessible_name(
        "Write the melody. Staff, treble clef, two sharps, 4/4, 2 measures"
    )
    expect(staff_page(page, CHORD)).to_have_accessible_name("Spell it. Staff, bass clef, three flats")
    expect(staff_page(page)).to_have_accessible_description(re.compile("A to G write a note"))


# -- tapping -----------------------------------------------------------------------------------------------------


def until_count(page, number):
    """Wait until the metronome shows that beat (after the count-in)."""
    page.page.wait_for_function(
        "([at, text]) => at.textContent === text",
        arg=[page.output(TAP).locator(".mtnb-rhythm-count").element_handle(), str(number)],
    )


def test_taps_are_times_after_the_first_beat(page):
    """120 beats a minute: the count-in lasts 1000 ms; taps are asked at 0 and 500 ms, and come within the machine's accuracy."""
    page.output(TAP).get_by_role("checkbox", name="Clicks sound").check()
    page.output(TAP).get_by_role("button", name="Start", exact=True).focus()
    page.page.keyboard.press("Enter")
    expect(page.output(TAP).get_by_role("button", name="Tap: Tap the rhythm.")).to_be_focused()
    expect(page.output(TAP).get_by_role("status")).to_contain_text("Count-in")
    until_count(page, 1)
    page.page.keyboard.press(" ")
    until_count(page, 2)
    page.page.keyboard.press("x")
    expect(page.output(TAP).get_by_role("status")).to_contain_text("2 taps kept")
    first, second = page.python("tap.value")
    assert 0 <= first < 400  # the count on the screen is followed, never led
    assert 500 <= second < 900
    expect(page.output(TAP).get_by_role("button", name="Start again")).to_be_focused()
    expect(page.output(TAP).get_by_role("img", name=re.compile("Your taps at the beats 1"))).to_be_visible()


def test_taps_by_mouse_and_stopping_keeps_nothing(page):
    page.output(TAP).get_by_role("checkbox", name="Clicks sound").uncheck()
    pad = page.output(TAP).get_by_role("button", name="Tap: Tap the rhythm.")
    page.output(TAP).get_by_role("button", name="Start", exact=True).click()
    pad.click()
    page.output(TAP).get_by_role("button", name="Stop", exact=True).click()
    expect(page.output(TAP).get_by_role("status")).to_have_text("Stopped. Nothing of it is kept.")
    assert page.python("tap.value") == []
    page.output(TAP).get_by_role("button", name="Start", exact=True).click()
    until_count(page, 2)
    pad.click()
    expect(page.output(TAP).get_by_role("status")).to_contain_text("1 tap kept")
    page.do("tap.locked = True; tap.right = [0, 500]")
    expect(page.output(TAP).get_by_role("img", name=re.compile(r"Right: 1\.00, 2\.00\."))).to_be_visible()
    expect(pad).to_be_hidden()


# -- symbols -----------------------------------------------------------------------------------------------------


def test_a_symbol_is_read_back_at_once_and_what_cannot_be_read_is_told(page):
    field = page.output(SYMBOL).get_by_role("textbox", name="Name the chord.")
    field.focus()
    page.page.keyboard.type("Cm7b5")
    expect(page.output(SYMBOL).get_by_role("status")).to_have_text("Read as Cm7♭5: C half-diminished seventh.")
    page.until("symbol.value", ["Cm7b5"])
    field.fill("H7")
    expect(page.output(SYMBOL).get_by_role("status")).to_contain_text("Not read yet:")
    expect(page.output(SYMBOL).get_by_role("status")).to_contain_text("H7")
    expect(field).to_have_attribute("aria-invalid", "true")


def test_signs_are_inserted_by_mouse(page):
    field = page.output(SYMBOL).get_by_role("textbox", name="Name the chord.")
    field.fill("B7")
    field.press("ArrowLeft")
    page.output(SYMBOL).get_by_role("button", name="Insert the sign flat").click()
    expect(field).to_have_value("B♭7")
    expect(field).to_be_focused()
    expect(page.output(SYMBOL).get_by_role("status")).to_have_text("Read as B♭7: B flat dominant seventh.")
    page.do("symbol.locked = True; symbol.right = ['Bb9']")
    expect(page.output(SYMBOL).get_by_text("→ Right answer: B♭9")).to_be_visible()
    expect(field).to_have_attribute("readonly", "")


# -- roles -------------------------------------------------------------------------------------------------------


def test_roles_by_keyboard_and_after_marking(page):
    fields = page.output(ROLE).get_by_role("combobox")
    fields.first.focus()
    page.page.keyboard.type("chord")
    page.page.keyboard.press("Tab")
    assert page.focused() == "Role of note 2, D5"
    page.page.keyboard.type("pass")
    page.until("role.value", ["ct", "pt", ""])
    expect(page.output(ROLE).get_by_role("status")).to_have_text("1 note has no role yet.")
    fields.nth(2).select_option("neighbouring tone")
    page.until("role.value", ["ct", "pt", "nt"])
    page.do("role.locked = True; role.right = ['ct', 'pt', 'ct']")
    expect(page.output(ROLE).get_by_role("listitem", name="Note 3, E5")).to_have_text(
        re.compile("neighbouring tone✗ → chord tone")
    )
    expect(page.output(ROLE).get_by_role("listitem", name="Note 2, D5")).to_contain_text("✓ right")
    expect(fields.first).to_be_hidden()


# -- spans of measures -------------------------------------------------------------------------------------------


def bar(page, number):
    return page.output(SPAN).get_by_role("button", name=re.compile(rf"^Measure {number}(,|$)"))


def test_spans_by_mouse(page):
    bar(page, 3).click()
    expect(page.output(SPAN).get_by_role("status")).to_have_text("From measure 3: now press the last measure.")
    bar(page, 6).click()
    page.until("span.value", [[2, 5]])
    expect(bar(page, 6)).to_have_accessible_name("Measure 6, marked, last of the span")
    bar(page, 12).click()
    bar(page, 10).click()  # the other way round
    page.until("span.value", [[2, 5], [9, 11]])
    page.output(SPAN).get_by_role("button", name="Hear measures 10 to 12").click()
    page.until("heard[-1]", (9, 11))
    bar(page, 4).click()
    page.until("span.value", [[9, 11]])
    page.output(SPAN).get_by_role("button", name="Unmark all").click()
    page.until("span.value", [])


def test_spans_by_keyboard(page):
    bar(page, 1).focus()
    press(page, ["Home", "ArrowRight", "Enter", "ArrowRight", "ArrowRight", " "])
    page.until("span.value", [[1, 3]])
    press(page, ["End", "Enter", "Escape"])
    expect(page.output(SPAN).get_by_role("status")).to_have_text("Marked: measures 2 to 4.")
    page.do("span.locked = True; span.right = [[2, 4]]")
    expect(bar(page, 2)).to_have_accessible_name("Measure 2, marked, first of the span, not right")
    expect(bar(page, 5)).to_have_accessible_name("Measure 5, right answer")
    expect(page.output(SPAN).get_by_text("→ Right answer: measures 3 to 5.")).to_be_visible()


# -- numbers and text --------------------------------------------------------------------------------------------


def test_a_number_by_keyboard_by_buttons_and_out_of_range(page):
    field = page.output(NUMBER).get_by_role("textbox", name="How wide is it?, in semitones")
    field.focus()
    page.page.keyboard.type("7")
    page.until("number.value", [7])
    press(page, ["ArrowDown"])
    page.until("number.value", [6])
    page.output(NUMBER).get_by_role("button", name="One more").click()
    page.until("number.value", [7])
    field.fill("25")
    expect(page.output(NUMBER).get_by_role("alert")).to_have_text(
        "“25” does not fit here: write a whole number from 0 to 24."
    )
    page.until("number.value", [])
    page.do("number.value = [7]; number.locked = True; number.right = [6]")
    expect(page.output(NUMBER).get_by_text("✗ Not right. → Right answer: 6 semitones.")).to_be_visible()


def test_text_says_how_much_room_is_left(page):
    field = page.output(TEXT).get_by_role("textbox", name="Describe the form.")
    field.focus()
    page.page.keyboard.type("Two phrases of four bars.")  # 25 characters
    page.page.keyboard.press("Enter")
    page.page.keyboard.type("xb")
    page.until("text.value", ["Two phrases of four bars.\nxb"])
    expect(page.output(TEXT).get_by_text("Room for 32 more characters.").first).to_be_visible()
    field.fill("x" * 61)
    expect(page.output(TEXT).get_by_text("1 characters too many").first).to_be_visible()
    page.do("text.value = ['AB']; text.locked = True; text.right = ['AABA']")
    expect(page.output(TEXT).get_by_text("→ A model answer: AABA")).to_be_visible()
    expect(field).to_have_attribute("readonly", "")


# -- a kernel that is started anew half-way ----------------------------------------------------------------------


def test_after_a_restart_half_way_the_cells_run_again_and_take_a_whole_answer(page):
    """What was begun is in the old kernel's memory; the page says so, and the same hands answer in the new one."""
    fields = page.output(ROLE).get_by_role("combobox")

    def begin():
        staff_page(page).focus()
        press(page, ["4", "d"])
        page.output(SYMBOL).get_by_role("textbox", name="Name the chord.").fill("C")
        fields.first.select_option("chord tone")
        bar(page, 3).click()
        page.output(NUMBER).get_by_role("textbox", name="How wide is it?, in semitones").fill("1")
        page.output(TEXT).get_by_role("textbox", name="Describe the form.").fill("A")
        page.until("staff.value, symbol.value, number.value, text.value", ([[["D5"], "1", False]], ["C"], [1], ["A"]))

    begin()
    page.restart_kernel()
    page.run_all()
    expect(staff_page(page).locator("svg g.note")).to_have_count(0)
    expect(page.output(SYMBOL).get_by_role("textbox", name="Name the chord.")).to_have_value("")
    assert page.python("[staff.value, symbol.value, role.value, number.value, text.value]") == [[], [], [], [], []]
    begin()
    for field in fields.all():
        field.select_option("passing tone")
    bar(page, 4).click()
    page.until("role.value, span.value", (["pt", "pt", "pt"], [[2, 3]]))
    page.output(TAP).get_by_role("button", name="Start", exact=True).click()
    until_count(page, 1)
    page.page.keyboard.press(" ")
    expect(page.output(TAP).get_by_role("status")).to_contain_text("1 tap kept")
