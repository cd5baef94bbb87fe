"""Music for the tests of this room: written here, or read from the corpus that music21 brings (public domain)."""

import sys
from collections.abc import Callable, Sequence
from fractions import Fraction as F
from pathlib import Path

import music21
import pytest

from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord, ExcerptMeasure, ExcerptNote, ExcerptPart

# test modules beside this file may be read from one another; pytest's importlib mode adds no path by itself
sys.path.insert(0, str(Path(__file__).parent))

Line = Callable[..., list[ExcerptNote]]


def line(part: int, measure: int, written: Sequence[tuple], *, voice: int = 1, start: F = F(0)) -> list[ExcerptNote]:
    """Notes in turn from (pitches, duration) or (pitches, duration, tie)."""
    notes, onset = [], start
    for pitches, duration, *tie in written:
        notes.append(
            ExcerptNote(part, measure, onset, F(duration), tuple(pitches.split()), voice, tie[0] if tie else "")
        )
        onset += F(duration)
    return notes


@pytest.fixture(name="line")
def _line() -> Line:
    return line


def _rag() -> Excerpt:
    """Three measures as in a rag: two staves, sixteenths, ties over the barline."""
    upper, lower = ExcerptPart("Piano", "treble", "Pno.", 1), ExcerptPart("Piano", "bass", "Pno.", 1)
    q, h = F(1, 4), F(1, 2)
    notes = (
        line(0, 0, [("", q), ("Eb5 C6", q), ("Ab5", h), ("C6", q), ("Eb5 C6", q), ("Ab5", h, "start")])
        + line(
            0, 1, [("Ab5", q, "stop"), ("Bb5", q), ("C6", q), ("Ab4", q), ("A4", q), ("Bb4", h), ("Eb5", q, "start")]
        )
        + line(0, 2, [("Eb5", h, "stop"), ("Db5", h), ("C5", 1)])
        + line(1, 0, [("Ab2", h), ("C4 Eb4", h), ("Eb2 Eb3", h), ("C4 Eb4", h)])
        + line(1, 1, [("Ab2", h), ("C4 Eb4", h), ("G2", h), ("Db4 Eb4", h)])
        + line(1, 2, [("Ab1 Ab2", 1), ("", 1)])
    )
    return Excerpt(
        (upper, lower), tuple(ExcerptMeasure(str(n), F(2), "2/4", -4) for n in (1, 2, 3)), tuple(notes), tempo=F(80)
    )


def _triplets() -> Excerpt:
    third, sixth = F(1, 3), F(1, 6)
    notes = (
        line(0, 0, [(p, third) for p in ("C5", "D5", "E5")] + [("F5", 2 * third), ("G5", third)])
        + line(0, 0, [(p, 2 * third) for p in ("A5", "G5", "F5")], start=F(2))
        + line(0, 1, [("E5", F(1, 2)), ("D5", sixth), ("E5", sixth), ("D5", sixth)])
        + line(0, 1, [("C5", F(1, 2)), ("B4", sixth), ("C5", third)], start=F(1))
        + line(0, 1, [(p, F(1, 5)) for p in ("D5", "E5", "F5", "G5", "A5")], start=F(2))
        + line(0, 1, [("", third), ("B5", third), ("C6", third)], start=F(3))
        + line(0, 2, [("C5", F(5, 2)), ("D5", F(3, 4)), ("E5", F(3, 4))])
    )
    return Excerpt((ExcerptPart(""),), tuple(ExcerptMeasure(str(n), F(4)) for n in (1, 2, 3)), tuple(notes))


def _endings() -> Excerpt:
    measure = ExcerptMeasure
    measures = (
        measure("0", F(1), "3/4", 1),
        measure("1", F(3), "3/4", 1, mark="A", repeat_start=True),
        measure("2", F(3), "3/4", 1, ending="1", repeat_end=True),
        measure("3", F(3), "3/4", 1, ending="2", double_bar=True),
        measure("4", F(3), "3/4", -3, mark="Trio"),
        measure("5", F(2), "2/4", 0),
    )
    notes = (
        line(0, 0, [("D4", 1)])
        + line(0, 1, [("G4", 1), ("F5", 1), ("F#5", 1)])
        + line(0, 2, [("E5", 2), ("D4", 1)])
        + line(0, 3, [("G4", 3)])
        + line(0, 4, [(p, F(1, 2)) for p in ("Eb5", "D5", "C5", "Bb4", "A4", "Ab4")])
        + line(0, 5, [("C5", 2)])
    )
    return Excerpt((ExcerptPart("Violin", "treble", "Vln."),), measures, tuple(notes))


def _band() -> Excerpt:
    """Grace notes, an octave clef, two transposing parts, ties and a silent measure."""
    parts = (
        ExcerptPart("Tenor voice", "treble-8"),
        ExcerptPart("Double bass", "bass", chromatic=-12, diatonic=-7),
        ExcerptPart("Clarinet in B♭", "treble", chromatic=-2, diatonic=-1),
    )
    notes = (
        line(0, 0, [("C#4", 0)])
        + line(0, 0, [("G4", 0), ("A4", 0)], start=F(2))
        + line(0, 0, [("D4", 1), ("F4", 1), ("Bb4", F(1, 2)), ("A4", F(1, 2)), ("G4", 1)])
        + line(1, 0, [("G2", 2), ("D2", 2)])
        + line(2, 0, [("A4", 4, "start")])
        + line(2, 1, [("A4", 2, "stop"), ("", 2)])
        + line(0, 1, [("Bb4", 4, "start")])
    )
    measures = (ExcerptMeasure("1", F(4), "4/4", -2, mark="Intro"), ExcerptMeasure("2", F(4), "4/4", -2))
    return Excerpt(parts, measures, tuple(notes), (ExcerptChord(0, F(0), "Gm7"), ExcerptChord(1, F(2), "F7(b9)")))


def _viola() -> Excerpt:
    """Alto clef, double flats and sharps, a change within a measure."""
    notes = line(0, 0, [("Bbb3", 1), ("Cb4", 1), ("Cb4", F(1, 2)), ("C4", F(1, 2)), ("F##4", 1)])
    notes += line(0, 1, [("Ebb4", 2), ("Eb4", 1), ("E4", 1)])
    measures = (ExcerptMeasure("21", F(4), "4/4", -6), ExcerptMeasure("22", F(4), "4/4", -6))
    return Excerpt((ExcerptPart("Viola", "alto", "Vla."),), measures, tuple(notes))


def _voices() -> Excerpt:
    """Two voices on one staff, the second with gaps; compound and uneven metres."""
    notes = (
        line(0, 0, [("A5", 1), ("G5", 1), ("F5", 1), ("E5", 1)])
        + line(0, 0, [("C5", 2), ("Bb4", 1), ("B4", 1)], voice=2)
        + line(0, 1, [("F5", F(3, 2)), ("E5", F(3, 4)), ("D5", F(1, 4)), ("C5", F(1, 2))])
        + line(0, 1, [("A4", 1)], voice=2, start=F(1))
        + line(0, 2, [("C5", F(1, 2))] * 7)
    )
    measures = (
        ExcerptMeasure("1", F(4), "4/4", -1),
        ExcerptMeasure("2", F(3), "6/8", -1),
        ExcerptMeasure("3", F(7, 2), "7/8", -1),
    )
    return Excerpt((ExcerptPart(""),), measures, tuple(notes))


def from_music21(score: music21.stream.Score, clefs: Sequence[str], fifths: int, metre: str) -> Excerpt:
    """Excerpt of a score of the corpus, read by music21 alone."""
    parts, measures, notes = [], [], []
    for at, part in enumerate(score.parts):
        parts.append(ExcerptPart(part.partName or "", clefs[at]))
        for index, measure in enumerate(part.getElementsByClass("Measure")):
            if at == 0:
                measures.append(ExcerptMeasure(str(measure.number), F(measure.duration.quarterLength), metre, fifths))
            for note in measure.notes:
                pitches = tuple(pitch.nameWithOctave.replace("-", "b") for pitch in note.pitches)
                tie = note.tie.type if note.tie else ""
                notes.append(ExcerptNote(at, index, F(note.offset), F(note.quarterLength), pitches, 1, tie))
    return Excerpt(tuple(parts), tuple(measures), tuple(notes))


@pytest.fixture(scope="session")
def chorale_score() -> music21.stream.Score:
    return music21.corpus.parse("bach/bwv66.6")


@pytest.fixture(scope="session")
def chorale(chorale_score) -> Excerpt:
    return from_music21(chorale_score, ("treble", "treble", "treble-8", "bass"), 3, "4/4")


WRITTEN = {
    "interval": Excerpt.melody(["B3", "F4"]),
    "chord": Excerpt.melody(["G3", "F4", "B4", "Eb5", "Ab5"], together=True, chord="G7alt"),
    "rag": _rag(),
    "triplets": _triplets(),
    "endings": _endings(),
    "band": _band(),
    "viola": _viola(),
    "voices": _voices(),
}


@pytest.fixture(params=sorted(WRITTEN))
def written(request) -> Excerpt:
    """Each of the excerpts written here, in turn."""
    return WRITTEN[request.param]


@pytest.fixture
def music() -> dict[str, Excerpt]:
    """All of the excerpts written here, by name."""
    return WRITTEN
