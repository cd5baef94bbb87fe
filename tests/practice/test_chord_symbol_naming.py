"""Chord symbol: the symbol is that of music21's chord; other right names are right; near misses earn what is said."""

import csv
from pathlib import Path

import pytest

from musictheory_nb.practice.chord_pool import read_case
from musictheory_nb.practice.chord_vocabulary import SEVENTHS, TRIADS
from musictheory_nb.practice.exercise import Exercise

PUBLISHED = Path(__file__).parent.parent / "published" / "chord_spellings.tsv"
#: Quality -> the figure that music21's ``harmony.chordSymbolFigureFromChord`` writes behind the root.
FIGURES = {
    "maj": "", "m": "m", "dim": "dim", "aug": "+", "maj7": "maj7", "7": "7", "m7": "m7", "m7b5": "ø7", "dim7": "o7",
}  # fmt: skip


def exercise(count=20, **settings):
    return Exercise("one", "chord-symbol", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


@pytest.mark.parametrize("voicing", ["close", "open"])
def test_the_symbol_that_music21_finds_is_right(voicing):
    from music21 import chord, harmony

    made = exercise(60, qualities=[*TRIADS, *SEVENTHS], inversions=[0, 1, 2, 3], voicing=voicing, low="G3", high="C6")
    for item in items(made):
        theirs = chord.Chord([name.replace("b", "-") for name in item.key["pitches"]])
        figure, kind = harmony.chordSymbolFigureFromChord(theirs, True)
        root, bass = (one.name.replace("-", "b") for one in (theirs.root(), theirs.bass()))
        assert figure.replace("-", "b").startswith(root + FIGURES[item.key["quality"]]), (figure, kind, item.key)
        symbol = root + FIGURES[item.key["quality"]] + (f"/{bass}" if bass != root else "")
        assert made.mark(item, {"symbol": {"symbol": symbol}}).score == 1.0


def rows():
    with PUBLISHED.open(encoding="utf-8", newline="") as file:
        found = csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t")
        return [row["symbol"] for row in found if read_case(row["symbol"]) is not None]


@pytest.mark.parametrize("symbol", rows())
def test_every_way_of_writing_a_symbol_is_read(symbol):
    """The spellings of the collection, each an answer to the chord that it stands for."""
    made = exercise(1, items=[symbol], low="C3", high="C6")
    assert made.mark(made.item(1, 0), {"symbol": {"symbol": symbol}}).score == 1.0


@pytest.mark.parametrize(
    ("asked", "answered", "score"),
    [
        # rows of the docstring, read off by hand: root 0.3, quality 0.5, bass 0.2
        ("Eb/G", "Eb/G", 1.0),
        ("Eb/G", "Ebmaj/G", 1.0),
        ("Eb/G", "Eb", 0.8),
        ("Eb/G", "Ebm/Gb", 0.3),
        ("Eb/G", "D#/F##", 0.5),
        ("Eb/G", "G", 0.7),  # quality and bass
        ("C7", "Cmaj7", 0.75),
        ("C7", "C", 0.75),
        ("C7", "Caug", 0.625),
        ("C7", "Cm7", 0.5),
        ("C7", "D7", 0.5),
        ("C7", "Dm7/C", 0.0),
        ("C7", "N.C.", 0.0),
        ("C6", "Am7/C", 1.0),
        ("C6", "Am7", 0.8),
        ("F#", "Gb", 0.5),
        ("Ab7", "G#7", 0.5),
    ],
)
def test_credit_is_that_of_the_table(asked, answered, score):
    made = exercise(1, items=[asked])
    assert made.mark(made.item(1, 0), {"symbol": {"symbol": answered}}).score == pytest.approx(score)


def test_only_the_name_that_was_drawn_where_the_teacher_says_so():
    made = exercise(1, items=["C6"], other_names=False)
    item = made.item(1, 0)
    assert made.mark(item, {"symbol": {"symbol": "Am7/C"}}).score < 1.0
    assert "would be right, too" not in item.explain


def test_a_diminished_seventh_may_be_named_from_any_of_its_notes_by_sound():
    """Minor thirds divide the octave evenly (common practice, no source)."""
    for enharmonic, score in ((True, 1.0), (False, 0.7)):  # else quality and bass are right, the root is not
        made = exercise(1, items=["C#dim7/E"], enharmonic=enharmonic)
        assert made.mark(made.item(1, 0), {"symbol": {"symbol": "Edim7"}}).score == pytest.approx(score)


def test_a_wrong_symbol_is_heard_and_seen_beside_the_right_one():
    """C minor seventh is C E flat G B flat: common practice, no source."""
    made = exercise(1, items=["C7"])
    item = made.item(1, 0)
    answer = {"symbol": {"symbol": "C-7"}}
    assert made.confusion(item, answer) == ("dominant seventh", "minor seventh")
    shown = [(one.kind, one.label) for one in made.compare(item, answer)]
    assert shown == [
        ("sound", "Right: C7"), ("sound", "Your answer: Cm7"), ("notation", "Right: C7"), ("notation", "Your answer: Cm7"),
    ]  # fmt: skip
    own, other = (one.excerpt.notes[0].pitches for one in made.compare(item, answer)[:2])
    assert own[0] == other[0]
    assert [name[:-1] for name in other] == ["C", "Eb", "G", "Bb"]


def test_german_symbols_are_read():
    """H is English B, and B English B flat (Duden)."""
    made = exercise(1, items=["B7"], names="german")
    item = made.item(1, 0)
    assert made.mark(item, {"symbol": {"symbol": "H7"}}).score == 1.0
    assert made.mark(item, {"symbol": {"symbol": "B7"}}).score < 1.0
