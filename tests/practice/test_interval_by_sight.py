"""Interval by sight: the notes make the interval by music21, lie near the staff, and come in rounds."""

from collections import Counter

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.interval_choice import SIMPLE

#: Ledger lines: from one below to one above the staff, as step numbers of C4 = 28 (drawn by hand from the clefs).
STAFF = {"treble": ("B3", "B5"), "bass": ("D2", "D4"), "alto": ("C3", "C5"), "tenor": ("A2", "A4")}


def exercise(count=20, kind="interval-by-sight", **settings):
    return Exercise("one", kind, settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def in_music21(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("clef", list(STAFF))
def test_notes_make_the_interval_and_lie_near_the_staff(clef):
    from music21 import interval

    low, high = (in_music21(name) for name in STAFF[clef])
    for item in items(exercise(40, clef=clef)):
        first, second = (in_music21(name) for name in item.key["notes"])
        between = interval.Interval(first, second)
        assert between.name == item.key["interval"]
        assert (between.direction.value < 0) == (item.key["direction"] == "down")
        assert all(low.midi <= note.midi <= high.midi for note in (first, second))
        (part,) = item.media[0].excerpt.parts
        assert part.clef == clef


def test_all_intervals_come_in_rounds_and_no_pair_twice():
    made = exercise(3 * len(SIMPLE))
    for seed in range(20):
        keys = [made.item(seed, index).key for index in range(made.count)]
        for at in range(0, made.count, len(SIMPLE)):
            assert sorted(key["interval"] for key in keys[at : at + len(SIMPLE)]) == sorted(SIMPLE)
        pairs = [frozenset(key["notes"]) for key in keys]
        assert max(Counter(pairs).values()) == 1


def test_the_signature_is_that_of_a_key_with_both_notes():
    """By music21: every note of the item is in the major key or harmonic minor scale that the explanation names."""
    from music21 import key

    seen = 0
    for item in items(exercise(39, accidentals="in the signature")):
        fifths = item.media[0].excerpt.measures[0].fifths
        if " major" not in item.explain.split(" in ")[-1]:
            continue
        scale = {pitch.name for pitch in key.KeySignature(fifths).getScale("major").pitches}
        assert {in_music21(name).name for name in item.key["notes"]} <= scale
        seen += fifths != 0
    assert seen > 30


@pytest.mark.parametrize(
    ("asked", "answered", "score"),
    [
        ("A4", "A4", 1.0),
        ("A4", "d5", 0.5),
        ("A4", "P4", 0.25),
        ("M3", "m3", 0.25),
        ("M2", "M9", 0.5),
        ("M3", "P4", 0.0),
    ],
)
@pytest.mark.parametrize("way", ["choice", "symbol"])
def test_credit_is_that_of_the_table(asked, answered, score, way):
    """The rows of the docstring, read off by hand; written short or chosen."""
    made = exercise(4, intervals=list(dict.fromkeys([asked, answered, "P5"])), directions=["up"])
    item = next(item for item in items(made) if item.key["interval"] == asked)
    assert made.mark(item, {"interval": {way: answered}}).score == score


def test_a_teachers_list_is_asked_as_it_stands():
    """B3 up to F4 is a diminished fifth, E flat 4 down to C4 a minor third: common practice, no source."""
    made = exercise(2, items=["B3 F4", "Eb4 C4"])
    told = {item.key["notes"]: (item.key["interval"], item.key["direction"]) for item in items(made, [1])}
    assert told == {("B3", "F4"): ("d5", "up"), ("Eb4", "C4"): ("m3", "down")}
    explained = {item.explain for item in items(made, [1])}
    assert "B up to F is a diminished fifth, six semitones, a tritone; it is 7 up to 4 in C major." in explained


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"intervals": ["m3"]}, "at least two"),
        ({"low": "C4", "high": "E4"}, "no perfect fourth fits|no minor sixth|no .* fits"),
        ({"low": "C5", "high": "C4"}, "must be below"),
        ({"items": ["B3"]}, "items"),
        ({"items": ["B3 F4", "B3 F4"]}, "items"),
        ({"transposition": "saxophone"}, "transposition"),
        ({"transposition": "kazoo"}, "transposition"),
        ({"accidentals": "none"}, "accidentals"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)


@pytest.mark.parametrize(("instrument", "clef"), [("viola", "alto"), ("cello", "bass"), ("clarinet in Bb", "treble")])
def test_an_instrument_sets_the_clef(instrument, clef):
    """The usual clef of each (orchestration handbooks, from memory)."""
    assert exercise(1, transposition=instrument).item(1, 0).media[0].excerpt.parts[0].clef == clef
