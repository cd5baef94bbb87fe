"""What the tests of this folder share.

Property tests in this folder never fail for being slow: machines that run them are shared.
"""

import sys
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart

sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("shared machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("shared machine")


def _name(pitch) -> str:
    return pitch.nameWithOctave.replace("-", "b")


@pytest.fixture(scope="session")
def maple_leaf_rag() -> Excerpt:
    """The whole rag bundled with music21 (public domain), both staves, through music21's own reader."""
    from music21 import corpus

    score = corpus.parse("joplin/maple_leaf_rag.mxl")
    parts, measures, notes = [], [], []
    for place, part in enumerate(score.parts):
        parts.append(ExcerptPart("Piano", "treble" if place == 0 else "bass", group=1))
        fifths, metre = 0, "2/4"
        for at, measure in enumerate(part.getElementsByClass("Measure")):
            if measure.keySignature is not None:
                fifths = measure.keySignature.sharps
            if measure.timeSignature is not None:
                metre = measure.timeSignature.ratioString
            opens = getattr(measure.leftBarline, "direction", "") == "start"
            closes = getattr(measure.rightBarline, "direction", "") == "end"
            if place == 0:
                length = Fraction(measure.duration.quarterLength)
                measures.append(
                    ExcerptMeasure(str(measure.number), length, metre, fifths, repeat_start=opens, repeat_end=closes)
                )
            for note in measure.flatten().notesAndRests:
                if "ChordSymbol" in note.classes or note.duration.isGrace:
                    continue
                pitches = tuple(_name(pitch) for pitch in sorted(note.pitches)) if not note.isRest else ()
                tie = note.tie.type if getattr(note, "tie", None) else ""
                onset, duration = (Fraction(value).limit_denominator(96) for value in (note.offset, note.quarterLength))
                notes.append(ExcerptNote(place, at, onset, duration, pitches, 1, tie.replace("let-ring", "")))
    return Excerpt(
        tuple(parts), tuple(measures), tuple(notes), title="Maple Leaf Rag", composer="Scott Joplin", tempo=Fraction(80)
    )


@pytest.fixture(scope="session")
def little_song() -> Excerpt:
    """Sixteen measures of our own in the form AABA, a pickup before them, with a chord of two notes and a tie."""
    a = (
        [("C4", 1), ("E4", 1), ("G4", 1), ("B4", 1)],
        [("F4", 2), ("E4", 2)],
        [("D4", 1), ("F#4", 1), ("A4", 2)],
        [("C4", 4)],
    )
    b = [("Eb4", 2), ("A4", 2)], [("Bb4", 1), ("E4", 3)], [("G4", 1), ("Db4", 1), ("C4", 2)], [("B3", 4)]
    measures = [ExcerptMeasure("0", Fraction(1), "4/4")]
    notes = [ExcerptNote(0, 0, Fraction(0), Fraction(1), ("G3",))]
    for letter, block in zip("AABA", (a, a, b, a), strict=True):
        for inside, line in enumerate(block):
            at = len(measures)
            measures.append(
                ExcerptMeasure(
                    str(at), Fraction(4), "4/4", mark=letter if inside == 0 else "", double_bar=at in (8, 12)
                )
            )
            onset = Fraction(0)
            for pitch, length in line:
                notes.append(ExcerptNote(0, at, onset, Fraction(length), (pitch,)))
                onset += length
            notes.append(ExcerptNote(1, at, Fraction(0), Fraction(4), ("C3", "G3")))
    return Excerpt(
        (ExcerptPart("Voice", "treble"), ExcerptPart("Left hand", "bass")),
        tuple(measures),
        tuple(notes),
        title="Little song",
    )
