"""Notes on the staff: names and places against music21, and against the lines of each clef (common practice, no source)."""

import re
from collections import Counter

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise

#: Lowest line of each staff: E in treble, G in bass, F in alto, D in tenor clef, as every primer has it.
LOWEST_LINE = {"treble": "E4", "bass": "G2", "alto": "F3", "tenor": "D3"}
ORDINALS = ["first", "second", "third", "fourth", "fifth"]


def exercise(count=30, **settings):
    return Exercise("one", "note-reading", settings, count=count, lesson="demo")


@pytest.mark.parametrize("clef", list(LOWEST_LINE))
def test_the_twin_names_the_place_on_the_staff(clef):
    from music21 import pitch

    made = exercise(40, clef=clef)
    seen = set()
    for index in range(made.count):
        item = made.item(1, index)
        note = pitch.Pitch(item.key["note"].replace("b", "-"))
        at = note.diatonicNoteNum - pitch.Pitch(LOWEST_LINE[clef]).diatonicNoteNum
        place = re.search(r"(first|second|third|fourth|fifth) (line|space)", item.twin_text)
        if 0 <= at <= 8:
            assert place is not None
            assert (ORDINALS.index(place[1]) * 2 + (place[2] == "space")) == at
            seen.add(at)
        else:
            assert "the staff" in item.twin_text
        name = {1: "a sharp", -1: "a flat"}.get(int(note.alter))
        assert (name in item.twin_text) if name else ("sharp" not in item.twin_text and "flat" not in item.twin_text)
    assert len(seen) > 5


def test_accidentals_come_equally_often_and_no_note_twice():
    made = exercise(30)
    notes = [made.item(5, index).key["note"] for index in range(30)]
    assert len(set(notes)) == 30
    assert Counter("#" if "#" in note else "b" if "b" in note else "" for note in notes) == {"": 10, "#": 10, "b": 10}


@pytest.mark.parametrize(
    ("note", "answer", "score"),
    [
        ("F#4", {"choice": "F#"}, 1.0),
        ("F#4", {"choice": "F"}, 0.5),
        ("F#4", {"choice": "G#"}, 0.0),
        ("F#4", {"keys": [66]}, 1.0),
        ("F#4", {"keys": [78]}, 0.5),
        ("F#4", {"keys": [67]}, 0.0),
        ("F#4", {"symbol": "F#"}, 1.0),
        ("F#4", {"symbol": "Gb"}, 0.5),
    ],
)
def test_credit(note, answer, score):
    """The table of the family, case by case."""
    made = exercise(60)
    item = next(item for item in (made.item(1, index) for index in range(60)) if item.key["note"] == note)
    assert made.mark(item, {"note": answer}).score == score
    assert bool(made.confusion(item, {"note": answer})) == (score < 1)


def test_writing_marks_octave_and_spelling():
    made = exercise(60, ask="note")
    item = next(item for item in (made.item(1, index) for index in range(60)) if item.key["note"] == "Bb4")
    rows = {"Bb4": 1.0, "Bb3": 0.5, "A#4": 0.5, "B4": 0.5, "C5": 0.0}
    for name, score in rows.items():
        assert made.mark(item, {"note": {"staff": [[[name], "1", False]]}}).score == score
    assert "B♭4" in item.prompt
    assert made.compare(item, {"note": {"staff": [[["C5"], "1", False]]}})


@pytest.mark.parametrize(
    "settings",
    [
        {"inputs": ["staff"]},
        {"ask": "note", "inputs": ["buttons"]},
    ],
)
def test_settings_that_do_not_go_together(settings):
    with pytest.raises(ExerciseError):
        exercise(**settings)
