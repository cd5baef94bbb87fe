"""Scale by sight: tonic and kind in letters, by whatever name; the signature is music21's."""

import pytest

from musictheory_nb.practice.exercise import Exercise


def exercise(count=20, **settings):
    return Exercise("one", "scale-by-sight", settings, count=count, lesson="demo")


def items(made, seeds=range(3)):
    return [made.item(seed, index) for seed in seeds for index in range(made.count)]


@pytest.mark.parametrize(
    ("asked", "answered", "score"),
    [
        # rows of the docstring, read off by hand
        ("D Dorian", "D dorian", 1.0),
        ("D Dorian", "C major", 0.5),
        ("D Dorian", "A Aeolian", 0.5),
        ("D Dorian", "D natural minor", 0.5),
        ("D Dorian", "D Phrygian", 0.25),
        ("D Dorian", "D Locrian", 0.0),
        ("D Dorian", "E Dorian", 0.0),
        ("A natural minor", "A Aeolian", 1.0),
        ("C major", "C Ionian", 1.0),
        ("F# major", "Gb major", 0.5),
        ("C altered", "C super-Locrian", 1.0),
        ("C altered", "C diminished whole-tone", 1.0),
        ("C melodic minor", "C jazz minor", 1.0),
        ("C half-whole diminished", "Eb half-whole diminished", 0.5),
    ],
)
def test_credit_is_that_of_the_table(asked, answered, score):
    made = exercise(1, items=[asked])
    assert made.mark(made.item(1, 0), {"scale": {"symbol": answered}}).score == score


def test_the_signature_is_that_of_music21():
    """Of modes, that of the major key with their notes; of harmonic and melodic minor, that of the minor key."""
    from music21 import key

    asked = ["major", "Dorian", "Phrygian", "Lydian", "Mixolydian", "Locrian", "natural minor", "harmonic minor"]
    for item in items(exercise(40, scales=asked, accidentals="in the signature")):
        mode = item.key["kind"].split()[-1].lower()
        theirs = key.Key(item.key["tonic"].replace("b", "-"), mode)
        assert item.media[0].excerpt.measures[0].fifths == theirs.sharps, item.key
        if item.key["kind"] != "harmonic minor":
            scale = {pitch.name.replace("-", "b") for pitch in theirs.pitches}
            assert {name.rstrip("0123456789") for name in item.key["pitches"]} == scale


def test_a_wrong_tonic_is_named_with_the_right_one():
    made = exercise(1, items=["D Dorian"])
    item = made.item(1, 0)
    answer = {"scale": {"symbol": "C major"}}
    assert made.confusion(item, answer) == ("D Dorian", "C major")
    assert made.mark(item, answer).why == "C major has the same notes, but the tonic is D: D Dorian."
    assert [one.kind for one in made.compare(item, answer)] == ["sound", "sound", "notation", "notation"]


def test_german_names_are_read():
    """H is English B (Duden)."""
    made = exercise(1, items=["B Phrygian"], names="german")
    item = made.item(1, 0)
    assert made.mark(item, {"scale": {"symbol": "H Phrygian"}}).score == 1.0
    assert made.mark(item, {"scale": {"symbol": "B Phrygian"}}).score < 1.0
