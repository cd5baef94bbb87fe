"""What a piece offers on its passages: published chords of a prelude, the mode in a tune's key field, written symbols."""

from pathlib import Path

import pytest

from musictheory_nb.classroom.bundled_piece import find_piece
from musictheory_nb.classroom.lesson_choice import proposals
from musictheory_nb.classroom.lesson_options import LessonOptions
from musictheory_nb.classroom.line_proposal import implied_proposals, role_proposals
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.classroom.scale_proposal import passage_proposals
from musictheory_nb.score.load import load_score

#: A tune of our own in the mode that its key field names.
AIR = (
    b"X:1\nT:Air\nM:4/4\nL:1/8\nK:Ador\nA2AB c2BA|G2EF GABc|A2AB cdef|e2d2 A4|a2gf e2dB|c2BA G2EF|G2AB c2BA|A4 A4|"
    b"a2gf e2dB|c2BA G2EF|G2AB c2BA|A4 A4|]\n"
)
PUBLISHED = Path(__file__).parents[1] / "published" / "prelude_chords.tsv"


def analysis_of(name):
    return analyse(load_score(find_piece(Path(name))))


@pytest.fixture(scope="module")
def prelude():
    return analysis_of("bach/bwv846")


@pytest.fixture(scope="module")
def song():
    return analysis_of("leadSheet/fosterBrownHair")


def test_the_chords_that_measures_suggest_are_the_published_ones(prelude):
    from music21 import harmony, roman

    rows = [row.split("\t") for row in PUBLISHED.read_text(encoding="utf-8").splitlines() if row[:1].isdigit()]
    numerals = {row[1]: roman.RomanNumeral(row[3], row[2]) for row in rows}
    (found,) = implied_proposals(prelude, LessonOptions())
    asked = found.exercise.settings["passages"]
    assert len(asked) >= 6
    for first, last, symbol in asked:
        assert first == last
        assert {one.pitchClass for one in harmony.ChordSymbol(symbol).pitches} == set(numerals[first].pitchClasses)


def test_where_chords_are_struck_or_written_none_is_suggested(song):
    assert list(implied_proposals(analysis_of("bach/bwv66.6"), LessonOptions())) == []
    assert list(implied_proposals(song, LessonOptions())) == []


@pytest.mark.parametrize("level", ["first", "middle"])
def test_the_mode_of_a_tune_without_chords_is_that_of_its_key_field(level):
    (found,) = passage_proposals(analyse(load_score(AIR, cache=False)), LessonOptions(level=level))
    assert found.exercise.kind == "scale-of-a-passage"
    assert found.exercise.settings["passages"] == [["1", "12", "A Dorian"]]
    assert "Dorian" not in found.heading + found.before + found.objective


def test_the_tune_of_a_lead_sheet_is_asked_by_roles(song, prelude):
    (found,) = role_proposals(song, LessonOptions())
    assert found.exercise.settings["key"] == "F major"
    (easy,) = role_proposals(song, LessonOptions(level="first"))
    assert easy.exercise.settings["roles"] == ["chord tone", "passing", "neighbour"]
    assert list(role_proposals(prelude, LessonOptions())) == []


def test_they_are_among_what_a_lesson_chooses_from(song, prelude):
    kinds = {one.exercise.kind for each in (song, prelude) for one in proposals(each, LessonOptions())}
    assert {"note-roles", "implied-chord"} <= kinds
