"""Find the difference: exactly one thing differs, in the measure that is right, by music21's own reading of the pitches."""

from fractions import Fraction

import music21
import pytest
from family_sample import frozen_excerpts

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.changed_passage import KINDS, changed_passage
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise


def made(excerpt="chorale", count=30, **settings):
    return Exercise(
        "one", "find-the-difference", {"excerpt": excerpt, **settings}, count=count, lesson="demo",
        excerpts=frozen_excerpts(),
    )  # fmt: skip


def pair(item):
    return item.media[1].excerpt, item.media[0].excerpt


def midi(name):
    return music21.pitch.Pitch(name.replace("b", "-")).midi


@pytest.mark.parametrize("excerpt", ["chorale", "rag", "waltz"])
def test_one_thing_differs_and_it_is_what_is_right(excerpt):
    exercise = made(excerpt)
    seen = set()
    for index in range(exercise.count):
        item = exercise.item(5, index)
        written, played = pair(item)
        differing = [(a, b) for a, b in zip(written.notes, played.notes, strict=True) if a != b]
        kind = item.solution["what"]["choice"][0]
        seen.add(kind)
        assert {a.measure for a, _ in differing} == {item.solution["where"]["measures"][0][0]}
        if kind == "lengths":
            (a, b), (c, d) = differing
            assert a.duration + c.duration == b.duration + d.duration
            assert b.onset + b.duration == d.onset
            assert (a.pitches, c.pitches) == (b.pitches, d.pitches)
        else:
            ((a, b),) = differing
            assert (a.onset, a.duration, a.pitches[:-1]) == (b.onset, b.duration, b.pitches[:-1])
            up = midi(b.pitches[-1]) - midi(a.pitches[-1])
            assert 1 <= abs(up) <= 4
            assert kind == ("higher" if up > 0 else "lower")
    assert seen == set(KINDS)


def test_seconds_and_thirds_keep_to_the_key():
    """In A flat major (four flats) B is B flat, as music21's key has it."""
    flats = {p.name for p in music21.key.KeySignature(-4).alteredPitches}
    tune = Excerpt.melody(["Ab4", "C5", "Eb5", "G4"], fifths=-4)
    for seed in range(40):
        found = changed_passage(Draw("l", "e", 1, seed, 0), tune, "higher", ["second", "third"])
        letter = found.after[0]
        assert ("b" in found.after) == (f"{letter}-" in flats)


def test_marks_of_the_table():
    exercise = made(length=4)
    item = exercise.item(1, 0)
    measure, kind = item.solution["where"]["measures"][0][0], item.solution["what"]["choice"][0]
    right = {"where": {"measures": [[measure, measure]]}, "what": {"choice": kind}}
    near = {"measures": [[measure - 1 if measure else measure + 1] * 2]}
    far = {"measures": [[(measure + 2) % 4] * 2]}
    assert exercise.mark(item, right).score == 1.0
    assert exercise.mark(item, right | {"where": near}).score == 0.75
    assert exercise.mark(item, right | {"where": far}).score == 0.5
    wrong = "higher" if kind == "lengths" else "lengths"
    assert exercise.mark(item, right | {"what": {"choice": wrong}}).score == 0.5
    assert exercise.compare(item, right) == ()
    assert len(exercise.compare(item, right | {"where": far})) == 2
    strict = made(length=4, partial=False)
    assert strict.mark(strict.item(1, 0), right | {"where": near}).score == 0.0


def test_other_way_is_half():
    exercise = made(differences=["higher"])
    item = exercise.item(2, 0)
    answer = {"where": {"measures": item.solution["where"]["measures"]}, "what": {"choice": "lower"}}
    assert exercise.mark(item, answer).score == 0.75


def test_a_piece_without_such_notes_is_refused():
    whole = Excerpt.melody(["C4"], [Fraction(4)])
    exercise = Exercise(
        "one", "find-the-difference", {"excerpt": "whole", "differences": ["lengths"]}, count=1, lesson="demo",
        excerpts={"whole": whole},
    )  # fmt: skip
    with pytest.raises(ExerciseError, match="no notes that can be played lengths"):
        exercise.item(1, 0)
