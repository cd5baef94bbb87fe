"""Answers on a fingerboard in JupyterLab, by mouse and from the computer keyboard alone.

Open strings of the bass guitar E1 A1 D2 G2, of the violin G3 D4 A4 E5 (handbooks of orchestration, from memory); a fret is a
half step. Key behaviour follows the ARIA Authoring Practices Guide of the W3C (one Tab stop for a group).
"""

import re

import pytest
from playwright.sync_api import expect

SET_UP = """
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.practice.response import *
from musictheory_nb.widgets.fingerboard import Fingerboard
bass = ("E1", "A1", "D2", "G2")
"""
CELLS = (
    SET_UP,
    "board = Fingerboard(FingerboardInput(bass, count=3, given=((0, 1),)), label='Press a triad.'); board",
    "violin = Fingerboard(FingerboardInput(('G3', 'D4', 'A4', 'E5'), fretted=False), label='Find it.'); violin",
    "Fingerboard.showing(finger_line('G1 B1', 1, 'bass guitar', open_strings='never'), label='A third')",
)
BOARD, VIOLIN, FINGERING = range(1, 4)


@pytest.fixture(scope="module")
def page(notebook):
    return notebook(CELLS)


@pytest.fixture(autouse=True)
def _fresh_and_nothing_leaks_to_jupyterlab(page):
    """Every test begins with empty widgets; no key may become a command of JupyterLab; no script may fail."""
    for name in ("board", "violin"):
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
        "A string (string 3), fret 4; C sharp 2 or D flat 2; pressed as note 3, not right"
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
