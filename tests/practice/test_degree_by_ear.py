"""Degree by ear: degrees, syllables and the cadence by music21; near misses by the docstring's table."""

from collections import Counter

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise


def exercise(count=28, **settings):
    return Exercise("one", "degree-by-ear", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def their_key(name):
    from music21 import key

    tonic, mode = name.split()
    return key.Key(tonic.replace("b", "-"), mode)


def their_pitch(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


@pytest.mark.parametrize("keys", [["C major", "Ab major", "F# major"], ["A minor", "Eb minor", "C# minor"]])
def test_degrees_are_those_of_music21(keys):
    for item in items(exercise(keys=keys, notes=2)):
        scale = their_key(item.key["key"])
        for degree, name in zip(item.key["degrees"], item.key["pitches"], strict=True):
            assert scale.getScaleDegreeFromPitch(their_pitch(name[:-1])) == int(degree)


def test_syllables_of_movable_do_are_those_of_music21():
    made = exercise(48, asked=["1", "#1", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7"], degrees="do")
    for item in items(made, [1]):
        theirs = their_key(item.key["key"]).solfeg(their_pitch(item.key["pitches"][0][:-1]), chromatic=True)
        (option,) = [one for one in item.response.steps[0].inputs[0].options if one.value == item.key["degrees"][0]]
        assert option.label == {"so": "sol"}.get(theirs, theirs)


@pytest.mark.parametrize("key", ["C major", "Db major", "B minor", "G# minor"])
def test_the_cadence_is_one_by_music21(key):
    from music21 import chord, roman

    item = exercise(1, keys=[key]).item(1, 0)
    notes = [note for note in item.media[0].excerpt.notes if note.measure == 0 and note.part > 0]
    home, found = their_key(key), []
    for at in sorted({note.onset for note in notes}):
        names = [name.replace("b", "-") for note in notes if note.onset == at for name in note.pitches]
        heard = chord.Chord(names)
        found.append((roman.romanNumeralFromChord(heard, home).romanNumeral, heard.seventh is not None))
    tonic, subdominant = ("I", "IV") if home.mode == "major" else ("i", "iv")
    assert found == [(tonic, False), (subdominant, False), ("V", True), (tonic, False)]


def test_degrees_come_in_rounds():
    made = exercise(28)
    for seed in range(5):
        degrees = [made.item(seed, index).key["degrees"][0] for index in range(28)]
        for at in range(0, 28, 7):
            assert Counter(degrees[at : at + 7]) == Counter("1234567")


@pytest.mark.parametrize(
    ("right", "answered", "score"),
    [("3", "3", 1.0), ("3", "4", 0.5), ("3", "2", 0.25), ("3", "5", 0.0), ("1", "7", 0.5)],
)
def test_credit_is_that_of_the_table(right, answered, score):
    """The rows of the docstring, read off by hand: 3 to 4 is a half step in major, 3 to 2 a whole step."""
    made = exercise(7)
    item = next(item for item in items(made) if item.key["degrees"][0] == right)
    assert made.mark(item, {"degree": {"choice": answered}}).score == score
    strict = exercise(7, partial=False)
    item = next(item for item in items(strict) if item.key["degrees"][0] == right)
    assert strict.mark(item, {"degree": {"choice": answered}}).score == (score == 1.0)


def test_several_notes_count_each():
    made = exercise(1, notes=2, asked=["1", "5"], inputs=["buttons"])
    item = made.item(1, 0)
    first, second = item.key["degrees"]
    assert first != second
    answer = {"degree-1": {"choice": first}, "degree-2": {"choice": first}}
    assert made.mark(item, answer).score == 0.5


def test_a_piano_key_counts_in_any_octave():
    made = exercise(7, keys=["C major"], inputs=["keys"])
    item = next(item for item in items(made) if item.key["degrees"] == ("5",))
    (keys,) = item.response.steps[0].inputs
    assert keys.given == (60,)  # C4, MIDI note numbers
    assert [made.mark(item, {"degree": {"keys": [midi]}}).score for midi in (67, 79, 68, 69, 71)] == [
        1,
        1,
        0.5,
        0.25,
        0,
    ]


def test_fixed_do_tells_the_key_and_names_the_note():
    """F sharp is Fa sharp in fixed do, wherever the tonic is (common practice, no source)."""
    item = exercise(1, keys=["D major"], asked=["3", "5"], degrees="notes", names="fixed-do").item(1, 0)
    assert "The key is Re major." in item.prompt
    assert {option.label for option in item.response.steps[0].inputs[0].options} == {"Fa♯", "La"}


def test_a_wrong_answer_is_heard_beside_the_right_one_in_the_key():
    made = exercise(3, asked=["1", "3", "5"])
    item = next(item for item in items(made) if item.key["degrees"] == ("3",))
    right, answered = made.compare(item, {"degree": {"choice": "1"}})
    assert (right.label, answered.label) == ("Right: 3", "Your answer: 1")
    assert [len(request.excerpt.measures) for request in (right, answered)] == [2, 2]
    assert made.confusion(item, {"degree": {"choice": "1"}}) == ("3", "1")


def test_the_explanation_places_the_degree():
    """The names of degrees: common practice, no source."""
    made = exercise(1, keys=["A minor"], asked=["#7", "5"], degrees="la")
    item = next(item for item in (made.item(seed, 0) for seed in range(20)) if item.key["degrees"] == ("#7",))
    assert item.explain == "G♯ is ♯7 of A minor (si), the leading tone, a major seventh above the tonic."


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"asked": ["5"]}, "at least two"),
        ({"asked": ["#7", "1"]}, "sounds like '#7'"),
        ({"asked": ["#1", "b2"]}, "sounds like '#1'"),
        ({"asked": ["b3", "1"], "keys": ["A minor"], "degrees": "do"}, "syllable"),
        ({"keys": ["G# major"]}, "keys"),
        ({"keys": ["D dorian"]}, "keys"),
        ({"low": "C4", "high": "E4"}, "does not fit"),
        ({"notes": 0}, "notes"),
        ({"frame": "scale"}, "frame"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
