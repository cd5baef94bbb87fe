"""Degree play-back: degrees by music21, slips by a reference edit distance, singing by MIDI numbers."""

import random
from itertools import pairwise

import pytest
from rapidfuzz.distance import Levenshtein

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.theory.pitch import Pitch


def exercise(count=24, **settings):
    return Exercise("one", "degree-play-back", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def midi_of(item):
    """MIDI note numbers by music21."""
    from music21 import pitch

    return [pitch.Pitch(name.replace("b", "-")).midi for name in item.key["pitches"]]


def score(made, item, **given):
    return made.mark(item, {"pattern": given}).score


@pytest.mark.parametrize("keys", [["C major", "Ab major"], ["F# minor", "Bb minor"]])
def test_patterns_are_of_the_degrees_of_music21(keys):
    from music21 import key, pitch

    for item in items(exercise(keys=keys, notes=6)):
        tonic, mode = item.key["key"].split()
        scale = key.Key(tonic.replace("b", "-"), mode)
        theirs = [scale.getScaleDegreeFromPitch(pitch.Pitch(name.replace("b", "-"))) for name in item.key["pitches"]]
        assert theirs == [int(degree) for degree in item.key["degrees"]]


def test_patterns_keep_to_their_settings():
    """Widest leap in letters, first and last degree, an octave about the first note: read off the settings' words."""
    for item in items(exercise(notes=7, widest=2, start="tonic chord", ends_home=True)):
        letters = [Pitch(name).diatonic for name in item.key["pitches"]]
        assert max(abs(a - b) for a, b in pairwise(letters)) <= 2
        assert item.key["degrees"][0] in ("1", "3", "5")
        assert item.key["degrees"][-1] == "1"
        heights = midi_of(item)
        assert max(abs(one - heights[0]) for one in heights) <= 12
        assert all(a != b for a, b in pairwise(heights))


def test_the_solution_holds_the_midi_numbers():
    made = exercise(inputs=["keys"])
    for item in items(made):
        assert item.solution["pattern"]["keys"] == midi_of(item)


def test_slips_are_those_of_a_reference_edit_distance():
    """Levenshtein distance by rapidfuzz, over the letters and octaves of the notes."""
    made, draw = exercise(notes=8), random.Random(5)
    tried = 0
    for item in items(made):
        right = list(item.key["pitches"])
        given = list(right)
        for _ in range(draw.randint(1, 3)):
            at = draw.randrange(len(given))
            move = draw.choice("cdi")
            if move == "c":
                given[at] = draw.choice("CDEFGAB") + "5"
            elif move == "d" and len(given) > 3:
                del given[at]
            else:
                given.insert(at, draw.choice("CDEFGAB") + "4")
        same_sound = {a for a in right for b in given if a != b and Pitch(a).chromatic == Pitch(b).chromatic}
        if same_sound:  # counted half, and tested below
            continue
        distance = Levenshtein.distance(right, given)
        worth = max(0.0, 1 - distance / len(right))
        found = score(made, item, staff=[[[name], "1", False] for name in given])
        # writing all of it an octave off is one slip here, so that it may cost less than the plain distance
        assert found == pytest.approx(worth) or found > worth, (right, given)
        tried += found == pytest.approx(worth)
    assert tried > 40


def test_one_note_left_out_costs_one_slip():
    made = exercise(notes=5)
    item = made.item(1, 0)
    rows = [[[name], "1", False] for name in item.key["pitches"]]
    assert score(made, item, staff=rows[:2] + rows[3:]) == pytest.approx(0.8)
    mark = made.mark(item, {"pattern": {"staff": rows[:2] + rows[3:]}})
    assert mark.why.startswith("Note 3, ")
    assert "is missing" in mark.why


@pytest.mark.parametrize("octaves", [-1, 0, 1])
def test_singing_in_any_octave_is_right(octaves):
    made = exercise(notes=4, low="C4", high="B4")
    for item in items(made, [1]):
        assert score(made, item, sung=[midi + 12 * octaves + 0.2 for midi in midi_of(item)]) == 1.0


def test_a_note_out_of_tune_costs_half_a_slip():
    """30 cents are beyond 20; 60 cents are nearer to the next half step (MIDI numbers in hundredths)."""
    made = exercise(notes=4, cents=20, low="C4", high="C5")
    item = made.item(1, 0)
    first, *rest = midi_of(item)
    assert score(made, item, sung=[first + 0.3, *rest]) == pytest.approx(1 - 0.5 / 4)
    assert "30 cents too high" in made.mark(item, {"pattern": {"sung": [first + 0.3, *rest]}}).why
    assert score(made, item, sung=[first + 0.6, *rest]) == pytest.approx(1 - 1 / 4)


def test_a_staff_answer_an_octave_off_costs_one_slip_and_a_spelling_half():
    made = exercise(notes=4, keys=["D major"], asked=["1", "2", "3", "4"], low="D4", high="G5")
    item = next(item for item in items(made) if "F#4" in item.key["pitches"])
    lower = [[[f"{name[:-1]}{int(name[-1]) - 1}"], "1", False] for name in item.key["pitches"]]
    assert score(made, item, staff=lower) == pytest.approx(0.75)
    flat = [[[name.replace("F#", "Gb")], "1", False] for name in item.key["pitches"]]
    wrong = sum(name.startswith("F#") for name in item.key["pitches"])
    assert score(made, item, staff=flat) == pytest.approx(1 - wrong * 0.125)


def test_the_twin_shows_the_pattern_in_another_key():
    """A whole step away: MIDI numbers by music21."""
    from music21 import pitch

    for item in items(exercise(notes=4)):
        (twin,) = item.twin
        line = [note.pitches[0] for note in twin.excerpt.notes if note.part == 0 and note.pitches]
        moved = {pitch.Pitch(b.replace("b", "-")).midi - a for a, b in zip(midi_of(item), line, strict=True)}
        assert moved in ({2}, {-2})


def test_keys_come_in_turn():
    made = exercise(8, keys=["C major", "G major", "F major", "D major"])
    keys = [made.item(3, index).key["key"] for index in range(8)]
    assert len(set(keys[:4])) == len(set(keys[4:])) == 4


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"notes": 1}, "notes"),
        ({"asked": ["1", "5"], "widest": 1}, "no pattern of 4 notes"),
        ({"asked": ["2", "4"], "start": "tonic"}, "no pattern"),
        ({"cents": 80}, "cents"),
        ({"inputs": ["text"]}, "inputs"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
