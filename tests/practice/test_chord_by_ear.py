"""Chord by ear: what is played is what it is called, by music21; chords that sound alike are right by either name."""

from collections import Counter

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.chord_vocabulary import SEVENTHS, TRIADS
from musictheory_nb.practice.exercise import Exercise

#: Quality -> what music21's ``Chord.commonName`` begins with.
MUSIC21 = {
    "maj": "major triad", "m": "minor triad", "dim": "diminished triad", "aug": "augmented triad",
    "maj7": "major seventh chord", "7": "dominant seventh chord", "m7": "minor seventh chord",
    "m7b5": "half-diminished seventh chord", "dim7": "diminished seventh chord",
}  # fmt: skip


def exercise(count=20, kind="chord-by-ear", **settings):
    return Exercise("one", kind, settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


def as_chord(item):
    from music21 import chord

    return chord.Chord([name.replace("b", "-") for name in item.key["pitches"]])


@pytest.mark.parametrize("kind", ["chord-by-ear", "chord-by-sight"])
@pytest.mark.parametrize("voicing", ["close", "open"])
def test_chords_are_what_they_are_called_by_music21(kind, voicing):
    made = exercise(
        60, kind, qualities=[*TRIADS, *SEVENTHS], inversions=[0, 1, 2, 3], voicing=voicing, low="G3", high="C6"
    )
    for item in items(made):
        theirs = as_chord(item)
        assert theirs.commonName == MUSIC21[item.key["quality"]]
        assert theirs.inversion() == item.key["inversion"]
        assert theirs.root().name.replace("-", "b") == item.key["root"]
        assert theirs.bass().name == theirs.pitches[0].name


def test_kinds_come_in_rounds_and_no_chord_twice():
    made = exercise(36, qualities=["maj", "m", "dim"], inversions=[0, 1, 2])
    for seed in range(10):
        keys = [made.item(seed, index).key for index in range(made.count)]
        for at in range(0, 36, 9):
            assert len({(key["quality"], key["inversion"]) for key in keys[at : at + 9]}) == 9
        assert max(Counter(key["pitches"] for key in keys).values()) == 1


def test_a_sixth_chord_and_a_minor_seventh_in_first_inversion_sound_alike():
    """C E G A is C6, and Am7 over its third (common practice, no source)."""
    made = exercise(8, qualities=["6", "m7"], inversions=[0, 1], ask=["quality", "inversion"])
    item = next(item for item in items(made) if (item.key["quality"], item.key["inversion"]) == ("6", 0))
    for quality, inversion, score in (("6", "0", 1.0), ("m7", "1", 1.0), ("m7", "0", 5 / 7), ("6", "1", 5 / 7)):
        answer = {"quality": {"choice": quality}, "inversion": {"choice": inversion}}
        assert made.mark(item, answer).score == pytest.approx(score)


def test_an_augmented_triad_has_no_inversion_that_can_be_heard():
    """Major thirds divide the octave evenly (common practice, no source)."""
    made = exercise(9, qualities=["maj", "m", "aug"], inversions=[0, 1, 2], ask=["inversion"])
    item = next(item for item in items(made) if item.key["quality"] == "aug")
    for inversion in "012":
        assert made.mark(item, {"inversion": {"choice": inversion}}).score == 1.0


@pytest.mark.parametrize(
    ("right", "answered", "score"),
    [("maj7", "maj7", 1.0), ("maj7", "7", 0.5), ("maj7", "maj", 0.5), ("maj7", "aug", 0.25), ("maj7", "m7", 0.0), ("m7b5", "dim", 0.5)],
)  # fmt: skip
def test_credit_is_that_of_the_table(right, answered, score):
    """The rows of the docstring, read off by hand."""
    made = exercise(6, qualities=[right, *({answered} - {right}), "sus4"])
    item = next(item for item in items(made) if item.key["quality"] == right)
    assert made.mark(item, {"quality": {"choice": answered}}).score == score


def test_keys_count_tones_in_any_octave():
    made = exercise(3, qualities=["maj", "m", "dim"], inversions=[0])
    item = next(item for item in items(made) if item.key["quality"] == "maj")
    bass = item.response.steps[0].inputs[1].given[0]
    for keys, score in (([4, 7], 1.0), ([7, 4], 1.0), ([16, 7], 1.0), ([4, 8], 0.0), ([3, 8], 0.0), ([7, 19], 0.5)):
        answer = {"quality": {"keys": [bass + one for one in keys]}}
        assert made.mark(item, answer).score == score


def test_keys_are_offered_only_where_their_number_tells_nothing():
    ids = [entry.id for entry in exercise(1).item(1, 0).response.steps[0].inputs]
    assert ids == ["choice"]  # triads and sevenths
    ids = [entry.id for entry in exercise(1, qualities=["maj", "m"]).item(1, 0).response.steps[0].inputs]
    assert ids == ["choice", "keys"]


def test_a_wrong_answer_is_heard_beside_the_right_one():
    made = exercise(4, qualities=["maj", "m"], inputs=["buttons"])
    for item in items(made):
        wrong = "m" if item.key["quality"] == "maj" else "maj"
        right, answered = made.compare(item, {"quality": {"choice": wrong}})
        assert right.label.startswith("Right: ")
        assert answered.label.startswith("Your answer: ")
        bass = [request.excerpt.notes[0].pitches[0] for request in (right, answered)]
        assert bass[0] == bass[1]


def test_the_explanation_counts_from_the_root():
    """E flat major over its third: common practice, no source."""
    item = exercise(1, kind="chord-by-sight", items=["Eb/G"]).item(1, 0)
    assert item.explain == (
        "E♭, G and B♭ make E♭ major triad: major third and perfect fifth above the root; its third, G, is in the bass: "
        "first inversion."
    )


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"qualities": ["maj"], "inputs": ["buttons"]}, "at least two"),
        ({"ask": ["inversion"]}, "at least two"),
        ({"qualities": ["maj", "m7"], "inputs": ["keys"]}, "different numbers of tones"),
        ({"qualities": ["major"]}, "qualities"),
        ({"inversions": [3], "qualities": ["maj", "m"]}, "none of maj, m has one of them"),
        ({"inversions": [4]}, "inversions"),
        ({"items": ["C/D"]}, "items"),
        ({"items": ["Xm7"]}, "items"),
        ({"low": "C4", "high": "E4"}, "fits between"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)


def test_c6_and_am7_over_c_are_both_right_by_sight():
    """The same four notes over the same bass (common practice, no source)."""
    made = exercise(1, kind="chord-by-sight", items=["C6", "Am7/C"], ask=["root", "quality"])
    for seed in range(4):
        item = made.item(seed, 0)
        for root, quality in (("C", "6"), ("A", "m7")):
            assert made.mark(item, {"root": {"choice": root}, "quality": {"choice": quality}}).score == 1.0
        assert made.mark(item, {"root": {"choice": "C"}, "quality": {"choice": "m7"}}).score < 1.0
