"""Scale spelling: what is shown as right is music21's scale; taught spellings are right; near misses earn what is said."""

import csv
from collections import Counter
from pathlib import Path

import pytest
from test_scale_by_ear import MUSIC21, in_music21, line_of_music21

from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.scale_vocabulary import MODES

CASES = Path(__file__).parent.parent / "published" / "scale_cases.tsv"


def exercise(count=20, **settings):
    return Exercise("one", "scale-spelling", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


@pytest.mark.parametrize("direction", ["up", "down"])
@pytest.mark.parametrize("transposition", ["", "Bb3"])
def test_what_is_shown_as_right_is_music21s_scale(direction, transposition):
    made = exercise(45, scales=list(MUSIC21), direction=direction, transposition=transposition)
    shift = {"": 0, "Bb3": -2}[transposition]
    for item in items(made):
        right, line = item.solution["notes"], line_of_music21(item.key, direction)
        assert [in_music21(row[0][0]).nameWithOctave for row in right["staff"]] == line[1:]
        assert right["keys"] == [in_music21(name.replace("-", "b")).midi + shift for name in line[1:]]
        (letters,) = right["symbol"]
        assert letters.split() == [name.rstrip("0123456789").replace("-", "b") for name in line[:-1]]


def test_both_spellings_of_the_altered_scale_are_right():
    """Case D03 of the collection: one letter each, or C Db D#/Eb E F#/Gb Ab Bb."""
    with CASES.open(encoding="utf-8") as file:
        assert any("C Db D#/Eb E F#/Gb Ab Bb accepted" in line for line in file)
    made = exercise(1, items=["C altered"])
    item = made.item(1, 0)
    for names in ("C Db Eb Fb Gb Ab Bb", "C Db D# E F# Ab Bb", "C Db Eb E Gb Ab Bb", "C Db Eb E F# Ab Bb C"):
        assert made.mark(item, {"notes": {"symbol": names}}).score == 1.0
    assert made.mark(item, {"notes": {"symbol": "C Db Eb E Gb G# Bb"}}).score == pytest.approx(11 / 12)


def test_both_forms_of_the_melodic_minor_scale_are_told_apart():
    """Case D01 of the collection: going down C Bb Ab G F Eb D, or in jazz C B A G F Eb D."""
    with CASES.open(encoding="utf-8", newline="") as file:
        told = next(row for row in csv.reader(file, delimiter="\t") if row[0] == "D01")[3]
    assert "classical: C Bb Ab G F Eb D C" in told
    assert '("jazz minor"): C B A G F Eb D C' in told
    for kind, names in (("melodic minor", "C Bb Ab G F Eb D C"), ("jazz minor", "C B A G F Eb D C")):
        made = exercise(1, items=[f"C {kind}"], direction="down")
        item = made.item(1, 0)
        assert made.mark(item, {"notes": {"symbol": names}}).score == 1.0
        assert item.solution["notes"]["symbol"] == [names[:-2]]


def test_scales_come_in_rounds_and_no_scale_twice():
    made = exercise(3 * len(MODES), scales=list(MODES), low="C3", high="C6")
    for seed in range(10):
        keys = [made.item(seed, index).key for index in range(made.count)]
        for at in range(0, made.count, len(MODES)):
            assert {key["kind"] for key in keys[at : at + len(MODES)]} == set(MODES)
        assert max(Counter((key["tonic"], key["kind"]) for key in keys).values()) == 1


def staff(text):
    return {"staff": [[[name], "1", False] for name in text.split()]}


@pytest.mark.parametrize(
    ("answer", "score"),
    [
        # D Dorian from D4: six notes beside the tonic; rows of the docstring, read off by hand
        (staff("E4 F4 G4 A4 B4 C5 D5"), 1.0),
        (staff("E4 F4 G4 A4 B4 C5"), 1.0),
        ({"keys": [64, 65, 67, 69, 71, 72, 74]}, 1.0),
        ({"symbol": "D E F G A B C D"}, 1.0),
        ({"symbol": "E F G A B C"}, 1.0),
        ({"symbol": "E F G A Bb C"}, 4 / 6),
        ({"symbol": "E F G A Cb C"}, 5.5 / 6),
        ({"symbol": "E F G A C"}, 5 / 6),
        ({"symbol": "E F G B A C"}, 0.75),
        (staff("E4 F4 G4 A4 B3 C4 D4"), 0.75),
        (staff("E5 F5 G5 A5 B5 C6 D6"), 0.75),
        (staff("C4 B3 A3 G3 F3 E3 D3"), 0.75),
        ({"keys": [64, 65, 67, 69, 70, 72, 74]}, 4 / 6),
        ({"symbol": "F# G# A# B# C#"}, 0.0),
        ({"staff": [[[], "1", False]]}, 0.0),
    ],
)
def test_credit_is_that_of_the_table(answer, score):
    made = exercise(1, items=["D Dorian"], low="D4", high="D5")
    item = made.item(1, 0)
    assert item.key["pitches"][0] == "D4"
    assert made.mark(item, {"notes": answer}).score == pytest.approx(score)


def test_another_spelling_is_right_where_the_teacher_says_so():
    made = exercise(1, items=["D Dorian"], enharmonic=True)
    item = made.item(1, 0)
    answer = {"notes": {"symbol": "E F G A Cb C"}}
    assert made.mark(item, answer).score == 1.0
    assert made.confusion(item, answer) is None


def test_a_wrong_scale_is_named_and_heard_beside_the_right_one():
    """D E F G A B flat C is D natural minor: common practice, no source."""
    made = exercise(1, items=["D Dorian"])
    item = made.item(1, 0)
    answer = {"notes": {"symbol": "E F G A Bb C"}}
    assert made.confusion(item, answer) == ("Dorian", "natural minor")
    shown = [(one.kind, [note.pitches[0][:-1] for note in one.excerpt.notes]) for one in made.compare(item, answer)]
    own, wrong = list("DEFGABCD"), ["D", "E", "F", "G", "A", "Bb", "C"]
    assert shown == [("sound", own), ("sound", wrong), ("notation", own), ("notation", wrong)]
    assert "B♭ does not belong to D Dorian." in made.mark(item, answer).why
    assert made.confusion(item, {"notes": {"symbol": "E F G B A C"}}) == ("Dorian", "in another order")
    assert made.confusion(item, {"notes": {"symbol": "E F G A Cb C"}}) == ("Dorian", "spelled otherwise")


def test_german_letters_are_read():
    """H is English B (Duden)."""
    made = exercise(1, items=["D Dorian"], names="german")
    item = made.item(1, 0)
    assert made.mark(item, {"notes": {"symbol": "D E F G A H C"}}).score == 1.0
    assert made.mark(item, {"notes": {"symbol": "D E F G A B C"}}).score < 1.0
