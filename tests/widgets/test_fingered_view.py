"""A fingered line on the page: numbers beside the notes, words for each, and the caution always in sight."""

import re

import pytest

import musictheory_nb as mt
from musictheory_nb.errors import InstrumentError, MediaError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.mei import PlayingMarks


def numbers(svg):
    return re.findall(r">([0-4])</tspan>", svg)


def test_fingers_stand_in_the_notation_and_the_caution_is_not_folded_away():
    view = mt.fingered("E1 G1 A1 F2 Eb3", "bass guitar", "A line", tempo=120)
    assert numbers(view.engraving.svg) == [view.line.fingers[at] for at in range(5)]
    for sign in view.line.strings.values():
        assert sign in view.engraving.svg
    page = view.html()
    open_text = re.sub(r"<details>.*?</details>", "", page, flags=re.DOTALL)
    assert view.line.caution.split(".")[0] in open_text
    assert "health professional" in open_text
    assert "A plan for practising it" in page
    for said in view.line.words:
        assert said in page.replace("&#x27;", "'")
        assert said in repr(view)
    assert view.engraving.svg.count('class="music-mark"') == len(view.line.hard_notes)


def test_measures_and_part_of_an_excerpt(tmp_path):
    lesson = mt.open_lesson("demo")
    scale = mt.Excerpt.melody(["G3", "A3", "B3", "C4"])
    view = lesson.fingered(scale, "violin", first="1", last="1")
    assert view.caption == "On the violin"
    assert view.lesson == "demo"
    assert numbers(view.engraving.svg) == ["0", "1", "2", "3"]  # first position, as beginners learn it; common practice


def test_marks_move_with_the_measures_that_are_shown(tmp_path):
    two = mt.Excerpt.melody(["C4", "E4"])
    both = engrave(two, hands=PlayingMarks({0: "1", 1: "3"}))
    assert numbers(both.svg) == ["1", "3"]
    assert both.text == engrave(two).text
    assert numbers(engrave(two, hands=PlayingMarks({7: "1"})).svg) == []


@pytest.mark.parametrize(
    ("arguments", "error", "problem"),
    [
        (("C1", "bass guitar"), InstrumentError, "write C2, an octave higher"),
        (("C4", "trumpet"), InstrumentError, "trumpet"),
        (("", "violin"), MediaError, "write notes with their octaves"),
    ],
)
def test_what_cannot_be_shown_is_refused(arguments, error, problem):
    with pytest.raises(error, match=problem):
        mt.fingered(*arguments)


def test_tempo_and_part_are_checked():
    with pytest.raises(MediaError, match="tempo 5"):
        mt.fingered("G3", "violin", tempo=5)
    with pytest.raises(MediaError, match="part 3"):
        mt.fingered("G3", "violin", part=3)
