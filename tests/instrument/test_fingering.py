"""Fingerings against printed ones, against the enumeration of all fingerings, and against laws of the fingerboard."""

import csv
from fractions import Fraction
from itertools import pairwise, product
from pathlib import Path

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import InstrumentError, PitchError
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.instrument.fingering_cost import OPEN_STRINGS, FingeringCost, cost_table
from musictheory_nb.instrument.hand import HANDS, hand
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.instrument.practice_plan import STRAIN_CAUTION, practice_plan
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.theory.spelling import spell_midi

PUBLISHED = Path(__file__).parents[1] / "published" / "fingerings.tsv"
CLOSED = (2, 4, 1, 2, 4, 1, 3, 4)
MAJOR = (0, 2, 4, 5, 7, 9, 11, 12)


def line_of(numbers):
    return [spell_midi(number) for number in numbers]


def published():
    with open(PUBLISHED, encoding="utf-8") as file:
        for row in csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"):
            label = f"{row['source']}: {row['tuning']} {row['pitches'].split()[0]}"
            yield pytest.param(row, id=label)


@pytest.mark.parametrize("row", tuple(published()))
def test_printed_fingering_comes_out(row):
    fingering = finger_line(row["pitches"], 1, row["tuning"], open_strings=row["open_strings"])
    assert " ".join(map(str, fingering.fingers)) == row["fingers"]
    assert " ".join(map(str, fingering.strings)) == row["strings"]
    assert not fingering.hard_spots


# "For almost every fret you choose to start on": the same presentation as in the table of printed fingerings.
@pytest.mark.parametrize("fret", range(2, 17))
@pytest.mark.parametrize("strings", ["E1 A1 D2", "A1 D2 G2"])
def test_closed_major_scale_of_the_bass_guitar_on_every_fret(fret, strings):
    tuning = Tuning(strings, frets=20)
    numbers = [tuning.lowest.midi + fret + step for step in MAJOR]
    fingering = finger_line(line_of(numbers), 1, tuning, open_strings="never")
    assert fingering.fingers == CLOSED
    assert set(fingering.positions) == {fret - 1}


def test_double_bass_scale_as_simandl_places_it():
    # E flat major up the G string from A flat: half and II, then V position; fingers of one position span a whole step
    # (F. Simandl's method, from memory), so that no third finger appears below VI position.
    fingering = finger_line("Ab2 Bb2 C3 Db3 Eb3", 1, Tuning("G2", fretted=False, hand="1-2-4"))
    assert 3 not in fingering.fingers
    for note in fingering.notes:
        assert 0 <= note.fret - note.position <= 2


def test_double_bass_hand_on_a_bass_guitar_is_a_setting():
    low = finger_line("F1 F#1 G1", 1, "bass guitar", hand="1-2-4", open_strings="never")
    assert low.fingers == (1, 2, 4)
    assert finger_line("F1 F#1 G1", 1, "bass guitar", open_strings="never").fingers == (1, 2, 3)


# A second reading of the stated costs, from the table's words alone, to price whole fingerings.
def priced(path, seconds, rested, costs, open_cost, home):
    total = 0.0
    for place, (string, fret, finger, position, stretch) in enumerate(path):
        if finger == 0:
            total += open_cost
        else:
            total += costs.stretch * stretch + (finger == 4) * costs.little_finger
            total += costs.from_home * abs(position - home)
        if place == 0:
            continue
        string0, fret0, finger0, position0, _ = path[place - 1]
        free = rested[place] or finger0 == 0
        move = 0.0
        if string != string0:
            move += costs.string_crossing + (abs(string - string0) - 1) * costs.string_skip
        if position != position0:
            if finger == 0:
                return None  # the hand cannot move as an open string begins
            shift = costs.shift + abs(position - position0) * costs.shift_half_step
            if free:
                shift *= costs.free_hand
            elif string == string0 and finger == finger0:
                shift *= costs.guide_finger
            move += shift
        elif finger and not free:
            same_place = (string, fret) == (string0, fret0)
            if (finger == finger0 and not same_place) or (finger != finger0 and same_place):
                move += costs.same_finger
        time = seconds[place]
        slow = time >= costs.fast_seconds
        total += move * (1 if slow else min(costs.fast_limit, costs.fast_seconds / time))
    return total


def every_way(number, tuning, hand_name, never):
    """Every way to sound a note, by trying every string, position and finger."""
    chosen = hand(hand_name)
    positions = chosen.places(tuning.frets)
    ways = []
    for index, (open_pitch, nut) in enumerate(zip(tuning.strings, tuning.nuts, strict=True)):
        string, fret = len(tuning.strings) - index, number - open_pitch.midi + nut
        if fret == nut or (nut < 0 and fret == 0):
            ways += [] if never else [(string, fret, 0, position, 0) for position in positions]
        elif nut < fret <= tuning.frets:
            ways += [
                (string, fret, reach.finger, position, reach.stretch)
                for position in positions
                for reach in chosen.reaches(position)
                if position + reach.offset == fret
            ]
    return ways


SHORT = {
    "bass guitar": Tuning("bass guitar", frets=7),
    "double bass": Tuning("double bass", frets=7),
    "double bass with C extension": Tuning("double bass with C extension", frets=4),
    "violin": Tuning("violin", frets=9),
    "cello": Tuning("cello", frets=10),
    "ukulele": Tuning("ukulele", frets=6),
    "5-string banjo": Tuning("5-string banjo", frets=8),
}
COSTS = st.sampled_from(
    [
        FingeringCost(),
        FingeringCost(shift=0.1, shift_half_step=1.5, same_finger=0, stretch=0.2, open_string=0),
        FingeringCost(free_hand=0, guide_finger=2, string_crossing=3, little_finger=4),
        FingeringCost(free_hand=3, guide_finger=0.1, string_skip=5, fast_limit=1),
    ]
)


@given(
    st.sampled_from(sorted(SHORT)),
    st.lists(
        st.tuples(st.integers(0, 24), st.sampled_from(["1/8", "1/3", "1"]), st.booleans()), min_size=2, max_size=3
    ),
    st.sampled_from(sorted(OPEN_STRINGS)),
    COSTS,
)
@settings(deadline=None, max_examples=60)
@example("bass guitar", [(0, "1/8", False), (9, "1/8", False), (0, "1/8", True)], "allow", FingeringCost())
def test_no_fingering_costs_less_among_all_that_there_are(name, drawn, open_strings, costs):
    tuning = SHORT[name]
    numbers = [min(tuning.lowest.midi + up, tuning.highest_chromatic) for up, _, _ in drawn]
    ways = [every_way(number, tuning, tuning.hand, open_strings == "never") for number in numbers]
    assume(all(ways))
    pitches, durations, seconds, rested = [], [], [0.0], [False]
    for place, (number, (_, length, rest)) in enumerate(zip(numbers, drawn, strict=True)):
        pitches += [spell_midi(number)]
        durations += [Fraction(length)]
        if place < len(numbers) - 1:
            pitches += ["rest"] if rest else []
            durations += [Fraction(1, 8)] if rest else []
            seconds.append(float(Fraction(length) + rest * Fraction(1, 8)) * 60 / 90)
            rested.append(rest)
    home = {"violin": 2, "cello": 2}.get(name, 1)  # first position; elsewhere the lowest
    open_cost = costs.open_string * {"allow": 1, "prefer": 0, "avoid": 4, "never": 1}[open_strings]
    prices = (priced(path, seconds, rested, costs, open_cost, home) for path in product(*ways))
    least = min(price for price in prices if price is not None)
    fingering = finger_line(pitches, durations, tuning, open_strings=open_strings, costs=costs)
    path = [(note.string, note.fret, note.finger, note.position, note.stretch) for note in fingering.notes]
    assert fingering.cost == pytest.approx(least)
    assert priced(path, seconds, rested, costs, open_cost, home) == pytest.approx(least)


lines = st.lists(st.integers(-5, 5), min_size=1, max_size=12).map(
    lambda moves: [min(60, max(33, 45 + sum(moves[: place + 1]))) for place in range(len(moves))]
)


@given(lines, st.integers(1, 5))
@settings(deadline=None)
def test_a_fret_higher_the_closed_fingering_is_the_same(numbers, up):
    # Fretboard of even tuning: with no open string a line moves up fret by fret as it is (common practice). A line so
    # high that nothing new opens below it keeps its price but for the height of its position.
    tuning = Tuning("bass guitar", frets=36)
    costs = FingeringCost(from_home=0)
    low = finger_line(line_of(numbers), 1, tuning, open_strings="never", costs=costs)
    high = finger_line(line_of(number + up for number in numbers), 1, tuning, open_strings="never", costs=costs)
    assert high.cost <= low.cost + 1e-9
    if min(high.positions) > up + 1:
        assert high.cost == pytest.approx(low.cost)


@given(lines)
@settings(deadline=None)
def test_every_note_is_where_it_sounds_under_a_finger_of_the_hand(numbers):
    for name in ("bass guitar", "double bass", "6-string bass guitar"):
        fingering = finger_line(line_of(numbers), Fraction(1, 2), name)
        tuning = fingering.tuning
        for note, number in zip(fingering.notes, numbers, strict=True):
            assert tuning.pitch_at(note.string, note.fret) == number
            reaches = {(reach.finger, reach.offset) for reach in hand(tuning.hand).reaches(note.position)}
            assert note.is_open or (note.finger, note.fret - note.position) in reaches
        assert fingering.cost == pytest.approx(sum(note.cost for note in fingering.notes))


@given(lines)
@settings(deadline=None)
def test_repeating_each_note_needs_no_more_movement(numbers):
    costs = FingeringCost(from_home=0, little_finger=0, open_string=0)
    once = finger_line(line_of(numbers), 1, "bass guitar", costs=costs)
    twice = finger_line(line_of(number for number in numbers for _ in range(2)), 1, "bass guitar", costs=costs)
    stretches = sum(note.stretch for note in once.notes) * costs.stretch
    assert twice.cost <= once.cost + stretches + 1e-9


@given(lines, st.integers(20, 90))
@settings(deadline=None)
def test_faster_is_never_cheaper(numbers, slow):
    eighths = [
        finger_line(line_of(numbers), Fraction(1, 2), "bass guitar", tempo=t).cost for t in (slow, 2 * slow, 400)
    ]
    assert all(later >= earlier - 1e-9 for earlier, later in pairwise(eighths))


@given(lines)
@settings(deadline=None, max_examples=40)
def test_alternatives_are_other_fingerings_that_cost_no_less(numbers):
    best = finger_line(line_of(numbers), Fraction(1, 2), "bass guitar")
    others = best.alternatives(3)
    keys = {(found.strings, found.fingers) for found in (best, *others)}
    assert len(keys) == len(others) + 1
    prices = [found.cost for found in (best, *others)]
    assert all(later >= earlier - 1e-6 for earlier, later in pairwise(prices))
    assert [note.pitch for found in others for note in found.notes] == [note.pitch for note in best.notes] * len(others)


def test_second_best_is_the_second_of_all_that_there_are():
    tuning, numbers = SHORT["bass guitar"], [36, 41, 33]
    best = finger_line(line_of(numbers), 1, tuning)
    ways = [every_way(number, tuning, tuning.hand, False) for number in numbers]
    prices: dict[tuple, float] = {}
    for path in product(*ways):
        price = priced(path, [0, 1, 1], [False] * 3, FingeringCost(), FingeringCost().open_string, 1)
        if price is not None:
            key = tuple((string, finger) for string, _, finger, _, _ in path)
            prices[key] = min(price, prices.get(key, price))
    ranked = sorted(prices.values())
    assert best.cost == pytest.approx(ranked[0])
    assert best.alternatives(1)[0].cost == pytest.approx(ranked[1])


def test_rest_frees_the_hand_and_keeps_its_index():
    joined = finger_line("F1 C3", 1, "bass guitar", open_strings="never", costs=FingeringCost(from_home=0))
    parted = finger_line(["F1", None, "C3"], 1, "bass guitar", open_strings="never", costs=FingeringCost(from_home=0))
    assert parted.cost <= joined.cost
    assert [note.index for note in parted.notes] == [0, 2]
    assert [note.onset for note in parted.notes] == [0, 2]
    assert finger_line("F1 Rest C3", 1, "bass guitar").notes == finger_line(["F1", None, "C3"], 1, "bass guitar").notes


def test_hard_spots_name_the_note_and_the_reason():
    line = "F1 G1 A1 Eb4 D4 G1"
    fingering = finger_line(line, Fraction(1, 4), "bass guitar", tempo=120, open_strings="never")
    first, second = fingering.hard_spots
    assert (first.first, first.last) == (2, 3)
    assert "shifts up" in first.reasons[0]
    assert any("0.12 seconds" in reason or "0.13 seconds" in reason for reason in first.reasons)
    assert (second.first, second.last) == (4, 5)
    assert "shifts down" in second.reasons[0]
    assert not finger_line("G1 A1 B1 C2", 1, "bass guitar").hard_spots


def test_a_stretch_and_a_skipped_string_are_told():
    stretched = finger_line("F1 A1", 1, Tuning("E1", frets=12), costs=FingeringCost(stretch=3, shift=20))
    assert stretched.hard_spots[0].reasons == ("finger 4 stretches out of the hand's frame",)
    skipping = finger_line("G1 A2 G1 A2", Fraction(1, 8), "bass guitar", tempo=200, costs=FingeringCost(hard_spot=1))
    assert any("passed over" in reason for spot in skipping.hard_spots for reason in spot.reasons)
    rolled = finger_line(
        "C2 F2", 1, Tuning("E1 A1 D2 G2", frets=3), open_strings="never", costs=FingeringCost(hard_spot=1)
    )
    assert "finger 3 goes from the A string to the D string" in rolled.hard_spots[0].reasons


@pytest.mark.parametrize(
    ("pitches", "tuning", "says"),
    [
        (
            "G1 D1",
            "bass guitar",
            "note 2 'D1': is below E1, the lowest string of 'bass guitar'; write D2, an octave higher",
        ),
        ("C0", "bass guitar", "note 1 'C0': .* write C2, 2 octaves higher"),
        ("E4 G1", "bass guitar", "note 1 'E4': is above the last fret of 'bass guitar'; write E3, an octave lower"),
        ("C8", "violin", "is above the end of the fingerboard"),
        ("D1 Db1", "bass guitar", "note 1 'D1': .*; note 2 'Db1': .*; the whole line fits an octave higher"),
        ("G4 A4 Bb4", "bass guitar", "fits an octave lower .are these written pitches"),
        ("D1 D1 D1 D1 D1 D1 D1", "bass guitar", "and 2 more"),
        ("D2 C2", Tuning("E1 D2", frets=5), "note 2 'C2': lies between the strings"),
    ],
)
def test_a_note_that_cannot_be_played_is_named_with_what_to_do(pitches, tuning, says):
    with pytest.raises(InstrumentError, match=says):
        finger_line(pitches, 1, tuning)


def test_a_note_that_is_only_an_open_string_is_told_so():
    with pytest.raises(InstrumentError, match="note 1 'E1': is there only as an open string; allow open strings"):
        finger_line("E1 F1", 1, "bass guitar", open_strings="never")


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ({"pitches": ""}, "no note"),
        ({"pitches": [None]}, "no note"),
        ({"durations": [1, 1]}, "2 for 1 notes"),
        ({"durations": [0]}, "duration 0"),
        ({"durations": "long"}, "duration 'long'"),
        ({"durations": [0.5]}, "duration 0.5"),
        ({"durations": [True]}, "duration True"),
        ({"durations": [Fraction(-1)]}, "duration"),
        ({"durations": None}, "durations None"),
        ({"tempo": 0}, "tempo 0"),
        ({"tempo": float("nan")}, "tempo nan"),
        ({"tempo": "fast"}, "tempo 'fast'"),
        ({"hand": "left"}, "hand 'left': must be one of"),
        ({"open_strings": "always"}, "open_strings 'always': must be one of 'allow'"),
        ({"open_strings": ["never"]}, "open_strings"),
        ({"hand": ["left"]}, "hand"),
        ({"costs": "cheap"}, "costs 'cheap': give a table"),
        ({"durations": {1: 2}}, "durations"),
        ({"tuning": "piano"}, "tuning 'piano'"),
        ({"tuning": None}, "write a name"),
    ],
)
def test_what_cannot_be_is_refused(arguments, says):
    with pytest.raises(InstrumentError, match=says):
        finger_line(**{"pitches": "A1", **arguments})


def test_a_pitch_that_cannot_be_read_is_refused():
    with pytest.raises(PitchError, match="'H1'"):
        finger_line("A1 H1")


@pytest.mark.parametrize("row", cost_table(), ids=lambda row: row[0])
def test_every_cost_is_a_number_from_0_up_and_says_what_it_is(row):
    name, value, meaning = row
    assert getattr(FingeringCost(), name) == value
    assert meaning
    for bad in (-1, float("inf"), "much", None, True):
        with pytest.raises(InstrumentError, match=f"cost {name} {bad!r}"):
            FingeringCost(**{name: bad})


@pytest.mark.parametrize("name", HANDS)
def test_every_hand_fingers_a_scale_on_every_kind_of_tuning(name):
    for tuning in ("bass guitar", "violin", "cello", "guitar"):
        low = Tuning(tuning).lowest.midi + 1
        fingering = finger_line(line_of(low + step for step in MAJOR), 1, tuning, hand=name)
        assert len(fingering.notes) == len(MAJOR)
        assert fingering.describe().count("\n") == len(MAJOR) - 1


def test_a_written_part_is_fingered_as_it_sounds():
    bass = Instrument("double bass")
    sounding = [bass.sounding(pitch) for pitch in ("F2", "A2", "C3")]
    assert finger_line(sounding, 1, bass.tuning).fingers == (1, 0, 4)


def test_plan_begins_slowly_and_ends_at_the_tempo():
    fingering = finger_line("F1 G1 A1 Eb4 D4 G1", Fraction(1, 4), "bass guitar", tempo=120, open_strings="never")
    plan = practice_plan(fingering)
    assert [(spot.spot.first, spot.spot.last) for spot in plan.spots] == [(2, 3), (4, 5)]
    for spot in plan.spots:
        in_time = [step.tempo for step in spot.steps if step.tempo]
        assert spot.steps[0].tempo == 0
        assert in_time == sorted(in_time)
        assert in_time[-1] == 120
        # Half a second a sixteenth: thirty quarters a minute.
        assert in_time[0] == 30
    assert [step.tempo for step in plan.whole] == [30, 120]
    assert "pain" in STRAIN_CAUTION
    assert "health professional" in STRAIN_CAUTION
    assert "teacher" in STRAIN_CAUTION
    assert plan.describe().startswith(STRAIN_CAUTION)
    assert len(practice_plan(fingering, most_spots=1).spots) == 1


def test_plan_of_an_easy_line_is_the_line_and_the_caution():
    plan = practice_plan(finger_line("G1 A1 B1 C2", 1, "bass guitar"))
    assert plan.spots == ()
    assert "No spot is marked as hard" in plan.describe()
    assert plan.caution == STRAIN_CAUTION


@pytest.mark.parametrize("count", [0, -1, 1.5, True, "2"])
def test_a_count_that_is_none_is_refused(count):
    fingering = finger_line("G1 A1")
    with pytest.raises(InstrumentError, match="most_spots"):
        practice_plan(fingering, most_spots=count)
    with pytest.raises(InstrumentError, match="count"):
        fingering.alternatives(count)
