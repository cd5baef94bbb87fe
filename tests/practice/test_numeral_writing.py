"""Numeral writing: notes by music21 and by a published table; near misses by the docstring's table."""

import pytest
from test_numeral_reading import FROM_THE_TABLE

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise


def exercise(count=20, **settings):
    return Exercise("one", "numeral-writing", settings, count=count, lesson="demo")


def mark(numeral, notes, **settings):
    made = exercise(1, items=[numeral], **settings)
    return made.mark(made.item(1, 0), {"notes": {"symbol": notes}})


@pytest.mark.parametrize(("key", "numeral", "notes"), FROM_THE_TABLE, ids=lambda one: str(one))
def test_notes_of_the_published_table_are_right(key, numeral, notes):
    """The first name is the bass; the others may come in any order."""
    assert mark(f"{key}: {numeral}", " ".join(notes)).score == 1.0
    assert mark(f"{key}: {numeral}", " ".join([notes[0], *notes[:0:-1]])).score == 1.0
    assert mark(f"{key}: {numeral}", " ".join(notes[1:])).score < 1.0


@pytest.mark.parametrize("key", ["Ab major", "E major", "G minor", "C# minor"])
def test_solutions_are_the_notes_of_music21(key):
    from music21 import key as key21
    from music21 import roman

    tonic, mode = key.split()
    home = key21.Key(tonic.replace("b", "-"), mode)
    made = exercise(40, keys=[key], levels=["triads", "inverted triads", "sevenths", "inverted sevenths"])
    for index in range(made.count):
        item = made.item(2, index)
        theirs = roman.RomanNumeral(item.key["figure"].replace("°", "o"), home)
        (row,) = item.solution["notes"]["staff"]
        assert row[0][0][:-1] == theirs.bass().name.replace("-", "b")
        assert {name[:-1] for name in row[0]} == {one.name.replace("-", "b") for one in theirs.pitches}
        assert item.response.steps[0].inputs[0].fifths == home.sharps


@pytest.mark.parametrize(
    ("notes", "score"),
    [
        ("B D F G", 1.0),
        ("B G F D G", 1.0),
        ("G B D F", 0.75),  # another bass
        ("B D G", 0.75),  # a tone missing
        ("B D F Ab", 0.5),  # one missing, one foreign
        ("B D E# G", 0.875),  # spelled otherwise
        ("C E G", 0.0),  # one right, two foreign
    ],
)
def test_credit_is_that_of_the_table(notes, score):
    """V65 of C major is B D F G; the rows of the docstring, counted by hand."""
    assert mark("C major: V65", notes).score == pytest.approx(score)
    assert mark("C major: V65", notes, partial=False).score == (score == 1.0)


def test_another_spelling_counts_in_full_where_the_teacher_says_so():
    assert mark("C major: V65", "B D E# G", enharmonic=True).score == 1.0


def test_piano_keys_count_by_their_sound():
    """MIDI numbers of G sharp, B, D and E from the bass up."""
    made = exercise(1, items=["A minor: V65"])
    item = made.item(1, 0)
    assert made.mark(item, {"notes": {"keys": [68, 71, 74, 76]}}).score == 1.0
    assert made.mark(item, {"notes": {"keys": [64, 68, 71, 74]}}).score == 0.75


def test_feedback_names_the_chord_that_the_notes_make():
    """D F A C is ii7, F A C D ii65 (worked example of figured inversions; common practice, no source)."""
    told = mark("C major: ii65", "D F A C").why
    assert "These notes make ii7." in told
    assert "F must be the lowest note." in told


def test_a_wrong_answer_is_seen_beside_the_right_one():
    made = exercise(1, items=["C major: ii"], clef="treble")
    found = made.compare(made.item(1, 0), {"notes": {"symbol": "D F# A"}})
    assert [request.label for request in found[:2]] == ["Right: ii", "Your answer: V/V"]


@pytest.mark.parametrize(
    ("chosen", "why"),
    [({"levels": ["ninths"]}, "levels"), ({"inputs": []}, "inputs"), ({"low": "C4", "high": "E4"}, "does not fit")],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
