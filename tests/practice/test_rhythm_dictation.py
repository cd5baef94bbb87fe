"""Rhythm dictation: measures are full and beats fall as music21 has them; slips cost what the table says."""

import random
from fractions import Fraction

import pytest

from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.rhythm_figure import METRES, ODD, beats_of

TAPS, STAFF = ("rhythm", "taps"), ("rhythm", "staff")


def exercise(count=20, **settings):
    return Exercise("one", "rhythm-dictation", settings, count=count, lesson="demo")


def right(item, way):
    return item.solution[way[0]][way[1]]


@pytest.mark.parametrize("metre", METRES)
def test_measures_are_full_by_music21(metre):
    from music21 import duration, meter, note, stream

    made = exercise(20, metres=[metre], level=4, rests=True, ties=True, measures=2)
    for index in range(20):
        item = made.item(1, index)
        written = item.shown("answered")[0].excerpt
        for at in range(2):
            measure = stream.Measure()
            measure.timeSignature = meter.TimeSignature(metre)
            for one in (one for one in written.notes if one.measure == at):
                assert len(duration.Duration(one.duration).components) == 1, "one written value each"
                measure.insert(one.onset, note.Note("B4", quarterLength=one.duration))
            assert measure.duration.quarterLength == measure.barDuration.quarterLength


@pytest.mark.parametrize("metre", [metre for metre in METRES if metre not in ODD])
def test_beats_are_those_of_music21(metre):
    from music21 import meter

    signature = meter.TimeSignature(metre)
    assert [beat.quarters for beat in beats_of(metre)] == [
        Fraction(signature.beatDuration.quarterLength)
    ] * signature.beatCount
    assert {beat.kind for beat in beats_of(metre)} == {{2: "simple", 3: "compound"}[signature.beatDivisionCount]}


@pytest.mark.parametrize("metre", ["5/8", "7/8"])
def test_groups_of_odd_metres_fill_the_measure_by_music21(metre):
    from music21 import meter

    full = Fraction(meter.TimeSignature(metre).barDuration.quarterLength)
    for grouping in ODD[metre]:
        assert sum(beat.quarters for beat in beats_of(metre, grouping)) == full


def test_levels_hold_what_they_name():
    """Level 1 has no dots in simple beats and no sixteenths, level 2 no syncopation, only level 4 triplets."""
    for level, allowed in (
        (1, {Fraction(n, 2) for n in (1, 2, 4, 6, 8)}),
        (2, {Fraction(n, 4) for n in (1, 2, 4, 6, 8, 12, 16)}),
    ):
        made = exercise(40, level=level, metres=["4/4", "3/4"])
        lengths = {Fraction(row[1]) for index in range(40) for row in right(made.item(2, index), STAFF)}
        assert lengths <= allowed
    triplets = [
        any(Fraction(row[1]).denominator == 3 for index in range(40) for row in right(made.item(2, index), STAFF))
        for made in (exercise(40, level=level, metres=["4/4"]) for level in (1, 2, 3, 4))
    ]
    assert triplets == [False, False, False, True]


@pytest.mark.parametrize("way", [STAFF, TAPS])
def test_one_slip_costs_one_nth(way):
    made = exercise(30, level=2, measures=4)
    draw = random.Random(3)
    for index in range(30):
        item = made.item(4, index)
        rows = [[["B4"], length, False] for _, length in item.key["notes"]]  # no rests, so each is a note
        rows = rows if way == STAFF else list(right(item, way))
        notes = len(rows)
        left_out = draw.randrange(1, notes)
        mark = made.mark(item, {way[0]: {way[1]: rows[:left_out] + rows[left_out + 1 :]}})
        assert mark.score == pytest.approx(1 - 1 / notes)
        assert mark.why.startswith("One slip in ")


def test_taps_within_the_tolerance_are_right_and_beyond_it_are_not():
    """At 60 beats a minute quarters are a second apart, so the stated tolerance alone decides."""
    made = exercise(60, metres=["2/4"], tempo=60, tolerance_ms=100, inputs=["taps"], measures=2)
    items = [made.item(1, index) for index in range(60)]
    item = next(item for item in items if right(item, TAPS) == [0, 1000, 2000])
    taps = right(item, TAPS)
    draw = random.Random(5)
    for _ in range(50):
        assert made.mark(item, {"rhythm": {"taps": [tap + draw.randint(-100, 100) for tap in taps]}}).score == 1.0
    late = made.mark(item, {"rhythm": {"taps": [*taps[:-1], taps[-1] + 160]}})
    assert late.score == pytest.approx(1 - 1 / len(taps))
    assert "yours comes too late" in late.why


def test_comments_name_the_measure_and_the_beat():
    """A dotted quarter and an eighth for two quarters: the second note comes half a beat late (by hand)."""
    made = exercise(200, metres=["2/4"], level=1)
    quarters = [[["B4"], "1", False]] * 2
    item = next(item for item in map(lambda at: made.item(1, at), range(200)) if right(item, STAFF)[:2] == quarters)
    rows = [[["B4"], "3/2", False], [["B4"], "1/2", False], *right(item, STAFF)[2:]]
    mark = made.mark(item, {"rhythm": {"staff": rows}})
    assert "Measure 1: a note comes at beat 2; yours comes too late. Measure 2 is right." in mark.why
    labels = [request.label for request in made.compare(item, {"rhythm": {"staff": rows}})]
    assert labels == ["Right", "Your answer"] * 2
    assert made.confusion(item, {"rhythm": {"staff": rows}}) == ("in time", "too late")


def test_the_twin_without_hearing_is_twice_as_long():
    made = exercise(10, metres=["6/8", "7/8", "2/2"], level=4)
    for index in range(10):
        item = made.item(1, index)
        (twin,) = item.twin
        seen = [(note.pitches, note.duration / 2) for note in twin.excerpt.notes]
        written = item.shown("answered")[0].excerpt
        assert sum(length for _, length in seen) == sum(note.duration for note in written.notes)
        assert twin.excerpt.measures[0].metre != item.key["metre"]
        assert [pitches for pitches, _ in seen] == [note.pitches for note in written.notes]
