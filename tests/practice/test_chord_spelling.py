"""Chord spelling: what is shown as right is the chord by music21; the table's tones are accepted; near misses earn what is said."""

import csv
from collections import Counter
from pathlib import Path

import pytest
from test_chord_by_ear import MUSIC21

from musictheory_nb.practice.chord_pool import read_case
from musictheory_nb.practice.chord_vocabulary import SEVENTHS, TRIADS
from musictheory_nb.practice.exercise import Exercise

PUBLISHED = Path(__file__).parent.parent / "published" / "chord_spellings.tsv"


def exercise(count=20, **settings):
    return Exercise("one", "chord-spelling", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def published():
    """Symbol, tones that must be there, tones that may be: rows of the collection that name a chord over its own tone."""
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        rows = csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t")
        found = [(row["symbol"], row["required tones"].split(), row["optional tones"].split()) for row in rows]
    return [row for row in found if read_case(row[0]) is not None]


@pytest.mark.parametrize("transposition", ["", "Bb3"])
def test_what_is_shown_as_right_is_music21s_chord(transposition):
    from music21 import chord

    made = exercise(60, qualities=[*TRIADS, *SEVENTHS], inversions=[0, 1, 2, 3], transposition=transposition)
    shift = {"": 0, "Bb3": -2}[transposition]
    for item in items(made):
        right, key = item.solution["notes"], item.key
        (row,) = right["staff"]
        theirs = chord.Chord([name.replace("b", "-") for name in row[0]])
        assert theirs.commonName == MUSIC21[key["quality"]]
        assert theirs.root().name.replace("-", "b") == key["root"]
        assert theirs.inversion() == key["inversion"]
        assert right["keys"] == [pitch.midi + shift for pitch in theirs.pitches]
        assert right["symbol"] == [" ".join(pitch.name.replace("-", "b") for pitch in theirs.pitches)]


def test_enough_of_the_collection_can_be_asked():
    assert len(published()) > 20


@pytest.mark.parametrize(("symbol", "must", "may"), published())
def test_tones_of_the_collection_are_right_and_none_that_must_be_there_may_be_missing(symbol, must, may):
    """The tones of each symbol as the collection has them; of those above the seventh one must be there."""
    made = exercise(1, items=[symbol], low="C3", high="C6")
    item = made.item(1, 0)
    bass = item.solution["notes"]["symbol"][0].split()[0]

    def score(names):
        return made.mark(item, {"notes": {"symbol": " ".join(sorted(names, key=lambda name: name != bass))}}).score

    if not may or len(must) > 4:
        assert score(must) == 1.0
    for name in must:
        assert score([one for one in must if one != name] or ["B"]) < 1.0


def test_symbols_come_in_rounds_and_no_symbol_twice():
    made = exercise(36, qualities=["maj", "m", "dim"], inversions=[0, 1, 2], low="C3", high="C6")
    for seed in range(10):
        keys = [made.item(seed, index).key for index in range(made.count)]
        for at in range(0, 36, 9):
            assert len({(key["quality"], key["inversion"]) for key in keys[at : at + 9]}) == 9
        asked = Counter((key["root"], key["quality"], key["inversion"]) for key in keys)
        assert max(asked.values()) == 1


def staff(*pitches):
    return {"staff": [[list(pitches), "1", False]]}


@pytest.mark.parametrize(
    ("symbol", "answer", "score"),
    [
        # E flat over G: G, B flat and E flat; rows of the docstring, read off by hand (two tones beside the root)
        ("Eb/G", staff("G3", "Bb3", "Eb4"), 1.0),
        ("Eb/G", staff("G2", "Eb4", "Bb4", "Eb5"), 1.0),
        ("Eb/G", {"staff": [[["G3"], "1", False], [["Bb3"], "1", False], [["Eb4"], "1", False]]}, 1.0),
        ("Eb/G", {"keys": [55, 58, 63]}, 1.0),
        ("Eb/G", {"keys": [67, 70, 63]}, 0.75),
        ("Eb/G", {"symbol": "G Eb Bb"}, 1.0),
        ("Eb/G", staff("Eb4", "G4", "Bb4"), 0.75),
        ("Eb/G", staff("G3", "A#3", "Eb4"), 0.75),
        ("Eb/G", staff("G3", "Bb3", "D#4"), 0.75),
        ("Eb/G", staff("G3", "Eb4"), 0.5),
        ("Eb/G", staff("G3", "Bb3"), 0.5),
        ("Eb/G", staff("G3", "Bb3", "Db4", "Eb4"), 0.5),
        ("Eb/G", staff("Gb3", "Bb3", "Eb4"), 0.0),
        ("Eb/G", {"staff": [[[], "1", False]]}, 0.0),
        ("C7", staff("C4", "E4", "G4"), 2 / 3),
        ("C7", staff("C4", "E4", "Bb4"), 2 / 3),
        ("C7", staff("C4", "E4", "G4", "A#4"), 5 / 6),
        ("C9", staff("C4", "E4", "Bb4", "D5"), 1.0),
        ("C9", staff("C4", "E4", "G4", "Bb4"), 0.75),
    ],
)
def test_credit_is_that_of_the_table(symbol, answer, score):
    made = exercise(1, items=[symbol])
    assert made.mark(made.item(1, 0), {"notes": answer}).score == pytest.approx(score)


def test_another_spelling_is_right_where_the_teacher_says_so():
    made = exercise(1, items=["Eb/G"], enharmonic=True)
    item, answer = made.item(1, 0), {"notes": staff("G3", "A#3", "D#4")}
    assert made.mark(item, answer).score == 1.0
    assert made.confusion(item, answer) is None
    assert made.mark(item, {"notes": staff("G3", "Bb3", "D4")}).score < 1.0


def test_the_whole_chord_can_be_asked_for():
    made = exercise(1, items=["C9"], leave_out=False)
    item = made.item(1, 0)
    assert made.mark(item, {"notes": {"symbol": "C E Bb D"}}).score == 0.75
    assert made.mark(item, {"notes": {"symbol": "C E G Bb D"}}).score == 1.0


def test_a_wrong_chord_is_named_and_heard_beside_the_right_one():
    """C E flat G is a minor triad: common practice, no source."""
    made = exercise(1, items=["C"])
    item = made.item(1, 0)
    answer = {"notes": staff("C4", "Eb4", "G4")}
    assert made.confusion(item, answer) == ("major triad", "minor triad")
    assert [(one.kind, one.excerpt.notes[0].pitches) for one in made.compare(item, answer)] == [
        ("sound", ("C4", "E4", "G4")), ("sound", ("C4", "Eb4", "G4")),
        ("notation", ("C4", "E4", "G4")), ("notation", ("C4", "Eb4", "G4")),
    ]  # fmt: skip
    misspelled = {"notes": staff("C4", "Fb4", "G4")}
    assert made.confusion(item, misspelled) == ("major triad", "spelled otherwise")
    assert {one.kind for one in made.compare(item, misspelled)} == {"notation"}
    assert "F♭4 sounds right, but here it is spelled E." in made.mark(item, misspelled).why


def test_german_letters_are_read():
    """H is English B, and B English B flat (Duden)."""
    made = exercise(1, items=["G7"], names="german")
    item = made.item(1, 0)
    assert made.mark(item, {"notes": {"symbol": "G H D F"}}).score == 1.0
    assert made.mark(item, {"notes": {"symbol": "G B D F"}}).score < 1.0
