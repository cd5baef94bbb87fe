"""Scales by ear and by sight: what is played is music21's scale of that name; scales that sound alike are right by either."""

import csv
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.scale_vocabulary import MODES

PUBLISHED = Path(__file__).parent.parent / "published"
#: Kind -> music21's class for it.
MUSIC21 = {
    "major": "MajorScale", "natural minor": "MinorScale", "harmonic minor": "HarmonicMinorScale",
    "melodic minor": "MelodicMinorScale", "Dorian": "DorianScale", "Phrygian": "PhrygianScale", "Lydian": "LydianScale",
    "Mixolydian": "MixolydianScale", "Locrian": "LocrianScale",
}  # fmt: skip


def exercise(count=20, kind="scale-by-ear", **settings):
    return Exercise("one", kind, settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def in_music21(name):
    from music21 import pitch

    return pitch.Pitch(name.replace("b", "-"))


def line_of_music21(key, direction):
    from music21 import scale

    low = in_music21(min(key["pitches"], key=lambda name: in_music21(name).midi))
    theirs = getattr(scale, MUSIC21[key["kind"]])(low.name)
    up = theirs.getPitches(low, low.transpose(12), direction=scale.Direction.ASCENDING)
    down = theirs.getPitches(low, low.transpose(12), direction=scale.Direction.DESCENDING)
    down = sorted(down, key=lambda one: -one.midi)
    found = {"up": up, "down": down, "up and down": [*up, *down[1:]]}[direction]
    return [one.nameWithOctave for one in found]


@pytest.mark.parametrize("kind", ["scale-by-ear", "scale-by-sight"])
@pytest.mark.parametrize("direction", ["up", "down", "up and down"])
def test_scales_are_those_of_music21(kind, direction):
    made = exercise(45, kind, scales=list(MUSIC21), direction=direction)
    for item in items(made):
        ours = [in_music21(name).nameWithOctave for name in item.key["pitches"]]
        assert ours == line_of_music21(item.key, direction)
        (sounding,) = {request.excerpt for request in item.media if request.kind == "sound"}
        assert [note.pitches[0] for note in sounding.notes] == list(item.key["pitches"])


def rows(file, name_column, steps_column):
    with (PUBLISHED / file).open(encoding="utf-8", newline="") as lines:
        found = csv.DictReader((line for line in lines if not line.startswith("#")), delimiter="\t")
        return [
            (row[name_column], [int(one) for one in row[steps_column].split("-")])
            for row in found
            if "-" in row[steps_column]
        ]


MODE_STEPS = dict(rows("scale_modes.tsv", "name", "steps"))
ASKED = [name for name in MODE_STEPS if name != "Melodic minor" and "nat." not in name]


def test_further_modes_go_in_the_steps_of_the_published_table():
    names = [name for name in ASKED if not name.startswith(("Harmonic", "Altered"))]
    made = exercise(3 * len(names), scales=names, low="C3", high="C6")
    seen = set()
    for item in items(made, [1]):
        midi = [in_music21(name).midi for name in item.key["pitches"]]
        assert [b - a for a, b in pairwise(midi)] == MODE_STEPS[item.key["kind"]]
        seen.add(item.key["kind"])
    assert len(seen) == len(names) > 15


def test_kinds_come_in_rounds_and_no_scale_twice():
    made = exercise(3 * len(MODES))
    for seed in range(10):
        keys = [made.item(seed, index).key for index in range(made.count)]
        for at in range(0, made.count, len(MODES)):
            assert {key["kind"] for key in keys[at : at + len(MODES)]} == set(MODES)
        assert max(Counter(key["pitches"] for key in keys).values()) == 1


def test_scales_that_sound_alike_are_right_by_either_name():
    """The melodic minor scale goes down as natural minor does (common practice, no source)."""
    made = exercise(4, scales=["natural minor", "melodic minor", "Dorian"], direction="down")
    item = next(item for item in items(made) if item.key["kind"] == "melodic minor")
    for answer, score in (("melodic minor", 1.0), ("natural minor", 1.0), ("Dorian", 0.5)):
        assert made.mark(item, {"scale": {"choice": answer}}).score == score
    up = exercise(4, scales=["natural minor", "melodic minor", "Dorian"])
    item = next(item for item in items(up) if item.key["kind"] == "melodic minor")
    assert up.mark(item, {"scale": {"choice": "natural minor"}}).score == 0.25


@pytest.mark.parametrize(
    ("right", "answered", "score"),
    [
        # rows of the docstring, read off by hand
        ("Dorian", "Dorian", 1.0),
        ("Dorian", "natural minor", 0.5),
        ("Dorian", "Mixolydian", 0.5),
        ("Dorian", "major", 0.25),
        ("Dorian", "Phrygian", 0.25),
        ("Lydian", "Phrygian", 0.0),
        ("major pentatonic", "major", 0.25),
        ("whole tone", "major", 0.0),
    ],
)
@pytest.mark.parametrize("kind", ["scale-by-ear", "scale-by-sight"])
def test_credit_is_that_of_the_table(kind, right, answered, score):
    made = exercise(6, kind, scales=list(dict.fromkeys([right, answered, "Locrian"])))
    item = next(item for item in items(made) if item.key["kind"] == right)
    assert made.mark(item, {"scale": {"choice": answered}}).score == score


def test_keys_count_notes_in_any_octave():
    made = exercise(1, items=["C Dorian"], low="C4", high="C5")
    item = made.item(1, 0)
    for above, score in (
        ((2, 3, 5, 7, 9, 10), 1.0),
        ((10, 3, 5, 7, 9, 2), 1.0),
        ((2, 3, 5, 7, 8, 10), 4 / 6),
        ((2, 4, 5, 7, 9, 11), 2 / 6),
        ((1, 1, 1, 1, 1, 1), 0.0),
    ):
        assert made.mark(item, {"scale": {"keys": [60 + one for one in above]}}).score == pytest.approx(score)
    assert made.confusion(item, {"scale": {"keys": [62, 63, 65, 67, 68, 70]}}) == ("Dorian", "natural minor")


def test_keys_are_offered_only_where_their_number_tells_nothing():
    ids = [entry.id for entry in exercise(1, scales=["major", "minor pentatonic"]).item(1, 0).response.steps[0].inputs]
    assert ids == ["choice"]
    ids = [entry.id for entry in exercise(1).item(1, 0).response.steps[0].inputs]
    assert ids == ["choice", "keys"]


@pytest.mark.parametrize("kind", ["scale-by-ear", "scale-by-sight"])
def test_a_wrong_scale_is_heard_on_the_same_tonic(kind):
    made = exercise(4, kind, scales=["Dorian", "Phrygian"])
    for item in items(made):
        wrong = "Phrygian" if item.key["kind"] == "Dorian" else "Dorian"
        right, answered = made.compare(item, {"scale": {"choice": wrong}})[:2]
        assert right.label.startswith("Right: ")
        assert answered.label.startswith("Your answer: ")
        assert right.excerpt.notes[0] == answered.excerpt.notes[0]
        assert right.excerpt != answered.excerpt


def test_the_explanation_counts_and_compares():
    """D Dorian: natural minor with a major sixth, the notes of C major (common practice, no source)."""
    item = exercise(1, items=["D Dorian"]).item(1, 0)
    assert item.explain == (
        "D Dorian is D, E, F, G, A, B and C: 1 2 ♭3 4 5 6 ♭7 against the major scale, 2, 1, 2, 2, 2, 1 and 2 semitones "
        "from note to note. Where D natural minor has B♭, it has B. It has the notes of C major, from the second on."
    )
    (answered,) = item.shown("answered")
    assert [answered.excerpt.notes[at].pitches[0][0] for at in answered.marked] == ["B"]


@pytest.mark.parametrize("kind", ["scale-by-ear", "scale-by-sight"])
@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"scales": ["major"], "inputs": ["buttons"]}, "at least two"),
        ({"scales": ["natural minor", "melodic minor"], "direction": "down", "inputs": ["buttons"]}, "sound different"),
        ({"scales": ["major", "Ionian"]}, "scales"),
        ({"scales": ["diminished", "major"]}, "scales"),
        ({"items": ["C minor"]}, "items"),
        ({"items": ["C major", "C Ionian"]}, "items"),
        ({"tonics": ["H"]}, "tonics"),
        ({"low": "C4", "high": "B4"}, "fits between"),
        ({"direction": "sideways"}, "direction"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(kind, chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(1, kind, **chosen)
