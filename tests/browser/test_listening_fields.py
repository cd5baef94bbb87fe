"""The fields for how music sounds, in JupyterLab: by mouse, by keyboard, by their names, and the measure that is marked.

Frequencies are those of twelve-tone equal temperament at A4 = 440 Hz (ISO 16).
"""

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect
from test_widget_listening import go_on, status, wait_for_hz

SET_UP = """
from fractions import Fraction as F
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.widgets.media_box import MediaBox
import musictheory_nb as mt
duet = Excerpt(
    (ExcerptPart('Viola', 'alto', timbre='plain'), ExcerptPart('Cello', 'bass', timbre='plain')),
    tuple(ExcerptMeasure(str(n), F(2), '2/4') for n in range(5, 9)),
    tuple(ExcerptNote(0, n, F(0), F(2), ('A4',)) for n in range(4)) + tuple(ExcerptNote(1, n, F(0), F(2), ('E3',)) for n in range(4)),
    tempo=F(60))
def box(*requests):
    made = MediaBox('one'); made.show(requests); return made
"""
PIECE = "piece = box(MediaRequest('sound', duet, 'The piece'), MediaRequest('notation', duet, 'The notes')); controls = piece.listening[0]; piece"
LIMITED = "limited = box(MediaRequest('sound', Excerpt.melody(['C4', 'E4'], tempo=300), 'Dictation', controls=(), hearings=2)); limited"
SHOWN = "mt.listen(duet, 'Two parts', lesson='one')"


@pytest.fixture(scope="module")
def page(notebook):
    page = notebook([SET_UP, PIECE, LIMITED, SHOWN])
    page.output(1).get_by_role("button", name="Play").click()
    go_on(page)
    page.until("controls.plays", 1)
    page.output(1).get_by_role("button", name="Stop").click()
    page.output(1).locator("summary", has_text="How it sounds").click()
    return page


def field(page, name, cell=1):
    return page.output(cell).get_by_label(name, exact=True)


def play(page, cell=1):
    page.output(cell).get_by_role("button", name="Play").click()


def stop(page):
    page.output(1).get_by_role("button", name="Stop").click()


def options(page, *names):
    """With what the sound was made, of the fields that a test has set: the tests share a page, in any order."""
    return page.python(f"[controls.made['options'].get(name) for name in {names!r}]")


def test_parts_register_and_timbre_are_heard(page):
    field(page, "Cello").uncheck()
    expect(status(page, 1)).to_have_text("Press Play to hear it so.")
    play(page)
    wait_for_hz(page, 440)
    field(page, "Register").select_option("an octave higher")
    play(page)
    wait_for_hz(page, 880)
    field(page, "Viola").click()
    expect(field(page, "Viola")).to_be_checked()  # one part at least sounds
    field(page, "Register").select_option("as written")
    field(page, "Cello").check()
    field(page, "Viola").uncheck()
    field(page, "Timbre").select_option("held")
    play(page)
    wait_for_hz(page, 164.8)
    assert options(page, "parts", "octaves", "timbre") == [[1], 0, "held"]
    field(page, "Viola").check()
    field(page, "Timbre").select_option("as written")
    stop(page)


def test_tempo_count_in_and_the_measure_that_sounds(page):
    tempo = field(page, "Tempo")
    assert tempo.get_attribute("aria-valuetext") == "100 percent, 60 quarter notes a minute"
    tempo.focus()
    for _ in range(4):
        page.page.keyboard.press("ArrowRight")
    assert tempo.get_attribute("aria-valuetext") == "120 percent, 72 quarter notes a minute"
    field(page, "Count-in").check()
    field(page, "Metronome").check()
    play(page)
    expect(page.output(1).get_by_text("Counting in.")).to_be_visible()
    frame = page.output(1).locator("rect.mtnb-sounding")
    for number, at in (("5", 0), ("6", 1), ("8", 3)):
        expect(page.output(1).get_by_text(f"Now measure {number}.")).to_be_visible()
        expect(frame).to_have_count(1)
        place = "(frame) => [...frame.closest('svg').ownerSVGElement.querySelectorAll('g.measure')].indexOf(frame.parentElement)"
        assert frame.evaluate(place) == at
    assert options(page, "percent", "count_in", "metronome") == [120, True, True]
    assert page.python("round(controls.measure_starts_s[1] - controls.measure_starts_s[0], 3)") == 1.667
    stop(page)
    expect(frame).to_have_count(0)


def test_a_drone_and_measures_within_those_that_are_heard(page):
    field(page, "Count-in").uncheck()
    field(page, "Metronome").uncheck()
    field(page, "Drone").select_option("D♭")
    field(page, "From measure").select_option("7")
    expect(status(page, 1)).to_have_text("Measures 7 to 8 are ready: press Play.")
    play(page)
    page.until("(controls.made['first'], controls.made['options']['drone'])", (2, "Db3"))
    expect(page.output(1).get_by_text("Now measure 7.")).to_be_visible()
    field(page, "Drone").select_option("none")
    field(page, "From measure").select_option("5")
    stop(page)


def test_a_demonstration_marks_its_own_notation(page):
    page.output(3).get_by_role("button", name="Play").click()
    expect(status(page, 3)).to_have_text("Playing.")
    frame = page.output(3).locator("rect.mtnb-sounding")
    expect(frame).to_have_count(1)
    expect(page.output(1).locator("rect.mtnb-sounding")).to_have_count(0)
    page.output(3).get_by_role("button", name="Stop").click()
    expect(frame).to_have_count(0)


def test_a_dictation_is_heard_as_often_as_allowed_and_offers_nothing_else(page):
    button = page.output(2).get_by_role("button", name="Play")
    expect(page.output(2).locator("summary")).to_be_hidden()
    expect(page.output(2).get_by_label("Repeat")).to_be_hidden()
    for times in (1, 2):
        button.click()
        expect(status(page, 2)).to_have_text(f"Heard {times} of 2 times.")
        page.page.wait_for_timeout(400)
    expect(button).to_have_attribute("aria-disabled", "true")
    starts = page.page.evaluate("() => heard.starts")
    button.click(force=True)
    page.page.wait_for_timeout(300)
    assert page.page.evaluate("() => heard.starts") == starts
    assert page.python("limited.listening[0].plays") == 2


@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
def test_axe_finds_nothing_and_all_can_be_reached_by_tab(page, dark):
    page.dark(dark)
    result = Axe().run(
        page.page,
        context={"include": [[".mtnb-listening"]]},
        options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}},
    )
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in result.response["violations"]] == []
    field(page, "To measure").focus()
    reached = []
    for _ in range(9):
        page.page.keyboard.press("Tab")
        reached.append(page.focused())
    assert reached[0].endswith("How it sounds")
    assert reached[1:] == ["Viola", "Cello", "Tempo", "Count-in", "Metronome", "Drone", "Timbre", "Register"]
    small = page.page.evaluate(
        """() => [...document.querySelectorAll('.mtnb-how summary, .mtnb-how select, .mtnb-how input')].map((node) => {
        const box = (node.closest('label.mtnb-tick') ?? node).getBoundingClientRect(); return [node.outerHTML.slice(0, 60), box.width, box.height]; })
        .filter(([, width]) => width > 0).filter(([, width, height]) => Math.min(width, height) < 24)"""
    )
    assert small == []
    assert page.console == []
