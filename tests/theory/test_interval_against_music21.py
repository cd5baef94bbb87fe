"""Names and sizes of all 4,900 pairs of spelled pitches in two octaves, against music21.

The pitches are the 35 names with up to two accidentals in octaves 3 and 4. Every disagreement falls into one of the
classes below, each with its reason and its exact count.
"""

from collections import Counter

from music21.interval import Interval as ReferenceInterval
from music21.interval import IntervalException
from music21.pitch import Pitch as ReferencePitch

from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch

ACCIDENTALS = {-2: "--", -1: "-", 0: "", 1: "#", 2: "##"}  # as music21 writes them
SPELLED = [(step, alter, octave) for octave in (3, 4) for step in "CDEFGAB" for alter in range(-2, 3)]

#: Class of disagreement -> (pairs, reason).
EXCEPTIONS = {
    "unison down": (
        140,
        """music21 calls it a diminished unison that ascends; here it is an augmented unison that descends, as the pitch
        moves down by a widened unison (the other name is in other_names)""",
    ),
    "five times augmented": (6, "music21 has no name for an interval altered five times and raises"),
    "five times diminished": (
        2,
        "music21 calls B##3 to Fbb4 a quadruply augmented fifth, which would be 11 semitones; it is 2",
    ),
}


def reference_name(low: ReferencePitch, high: ReferencePitch) -> tuple[str, int] | None:
    """Name in our text form and semitones, as music21 gives them; None where it raises."""
    try:
        interval = ReferenceInterval(low, high)
    except IntervalException:
        return None
    directed = interval.directedName
    return ("-" if "-" in directed else "") + directed.replace("-", ""), interval.semitones


def classify(ours: Interval) -> str:
    """Class of exception that a disagreement about this interval may belong to."""
    if ours.number == 1 and ours.direction < 0:
        return "unison down"
    if ours.quality == "AAAAA":
        return "five times augmented"
    if ours.quality == "ddddd":
        return "five times diminished"
    return f"not listed: {ours}"


def test_every_pair_in_two_octaves_agrees_or_is_listed():
    pitches = [Pitch.of(*spelled) for spelled in SPELLED]
    references = [ReferencePitch(step + ACCIDENTALS[alter] + str(octave)) for step, alter, octave in SPELLED]
    agreed, exceptions = 0, Counter()
    for low, low_reference in zip(pitches, references, strict=True):
        for high, high_reference in zip(pitches, references, strict=True):
            ours = Interval.between(low, high)
            assert ours.semitones == high.chromatic - low.chromatic == high_reference.ps - low_reference.ps
            if reference_name(low_reference, high_reference) == (str(ours), ours.semitones):
                agreed += 1
            else:
                exceptions[classify(ours)] += 1
    assert dict(exceptions) == {name: count for name, (count, _) in EXCEPTIONS.items()}
    assert agreed + sum(exceptions.values()) == 70 * 70


def test_words_agree_with_music21():
    # The words of 200 plain and altered intervals; music21 says "Doubly-Augmented" and so on.
    for low in ("C3", "E-3", "F#3", "B3"):
        for step in "CDEFGAB":
            for accidental, alter in (("-", -1), ("", 0), ("#", 1)):
                reference = ReferenceInterval(ReferencePitch(low), ReferencePitch(f"{step}{accidental}4"))
                ours = Interval.between(Pitch(low.replace("-", "b")), Pitch.of(step, alter, 4))
                words = reference.niceName.lower().replace("doubly-", "doubly ").replace("triply-", "triply ")
                assert ours.name == words.replace("double-octave", "fifteenth")
