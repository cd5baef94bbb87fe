"""Chords that stay but change their form: sevenths that enter late, basses that move to another tone (`parted_chords`).

Conventions (harmony courses; common practice, no source): a dominant triad whose seventh enters half a beat later or
more is told as V, then V7, other chords from a beat on; a bass that moves on a beat to or from the third or the seventh
and stays for a beat gives the chord another inversion. Broken chords keep one form for their measure, and so does a bass
that alternates between root and fifth.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from musictheory_nb.score.chord_candidate import CHORD_TYPES, chord_tables
from musictheory_nb.score.compound_line import is_single_line
from musictheory_nb.score.harmony_cell import BEAT, DOWNBEAT, HarmonyCells
from musictheory_nb.score.harmony_segment import Segment
from musictheory_nb.theory.chord_degree import DEGREE_CLASS

#: A seventh that enters later than so many beats is a chord of its own from there; that of a dominant sooner.
_SEVENTH_BEATS: Final = 1.0
_DOMINANT_BEATS: Final = 0.5
_DOMINANT: Final = ("1", "3", "5", "b7")
#: Least beats that each bass stays for.
_BASS_BEATS: Final = 1.0
#: So many pitch classes must sound over each bass: one alone is a melody.
_LEAST_TONES: Final = 2


def parted_chords(cells: HarmonyCells, segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """Return the segments joined where nothing changes, and parted where the form of a chord does."""
    found: list[Segment] = []
    for segment in _merged(cells, segments):
        for early in _late_root(cells, segment):
            for one in _late_seventh(cells, early):
                found += _moved_bass(cells, one)
    return tuple(found)


def _merged(cells: HarmonyCells, segments: Sequence[Segment]) -> list[Segment]:
    """Join stretches that follow one another with the same chord over the same bass."""
    found: list[Segment] = []
    for segment in segments:
        before = found[-1] if found else None
        if before is not None and before.last == segment.first and before.chord == segment.chord:
            basses = [int(cells.bass[one.first].argmax()) for one in (before, segment)]
            if basses[0] == basses[1]:
                margin = max(before.margin, segment.margin)
                found[-1] = Segment(before.first, segment.last, segment.chord, margin)
                continue
        found.append(segment)
    return found


def _late_root(cells: HarmonyCells, segment: Segment) -> list[Segment]:
    """Part a seventh chord whose root enters late: the triad of its upper tones first, if they all sound, then the whole."""
    tables = chord_tables()
    degrees = CHORD_TYPES[int(tables.types[segment.chord])].degrees
    if len(degrees) != 4:
        return [segment]
    root = int(tables.roots[segment.chord])
    enters = np.nonzero(cells.sounding[segment.first : segment.last, root] > 0)[0]
    at = segment.first + int(enters[0]) if len(enters) else segment.first
    if at == segment.first or cells.beats[segment.first : at].sum() < _DOMINANT_BEATS:
        return [segment]
    above = [(root + DEGREE_CLASS[degree]) % 12 for degree in degrees[1:]]
    if set(np.nonzero(cells.sounding[segment.first] > 0)[0].tolist()) != set(above) or _is_figured(
        cells, segment.first, at
    ):
        return [segment]
    steps = tuple(sorted((tone - above[0]) % 12 for tone in above))
    triad = next((kind for kind, one in enumerate(CHORD_TYPES) if _steps(one.degrees) == steps), None)
    if triad is None:
        return [segment]
    before = Segment(segment.first, at, 12 * triad + above[0], segment.margin)
    return [before, Segment(at, segment.last, segment.chord, segment.margin)]


def _steps(degrees: Sequence[str]) -> tuple[int, ...]:
    return tuple(sorted(DEGREE_CLASS[degree] for degree in degrees))


def _late_seventh(cells: HarmonyCells, segment: Segment) -> list[Segment]:
    """Part a seventh chord whose seventh enters late: the triad first, then the seventh chord."""
    tables = chord_tables()
    triads = {kind.degrees: at for at, kind in enumerate(CHORD_TYPES) if len(kind.degrees) == 3}
    degrees = CHORD_TYPES[int(tables.types[segment.chord])].degrees
    if len(degrees) != 4 or degrees[:3] not in triads:
        return [segment]
    root = int(tables.roots[segment.chord])
    seventh = (root + DEGREE_CLASS[degrees[3]]) % 12
    enters = np.nonzero(cells.sounding[segment.first : segment.last, seventh] > 0)[0]
    at = segment.first + int(enters[0]) if len(enters) else segment.first
    figured = at > segment.first and _is_figured(cells, segment.first, at)
    if degrees != _DOMINANT or figured:
        strongest = DOWNBEAT if figured else BEAT
        while at > segment.first and cells.level[at] > strongest:
            at -= 1
    least = _DOMINANT_BEATS if degrees == _DOMINANT else _SEVENTH_BEATS
    if at == segment.first or cells.beats[segment.first : at].sum() < least:
        return [segment]
    triad = 12 * triads[degrees[:3]] + root
    return [Segment(segment.first, at, triad, segment.margin), Segment(at, segment.last, segment.chord, segment.margin)]


def _is_figured(cells: HarmonyCells, first: int, last: int) -> bool:
    """Whether a chord is broken up in these cells: one line alone, or notes shorter than half a beat."""
    low, high = np.searchsorted(cells.notes.column("start"), cells.edges[[first, last]])
    inside = slice(int(low), int(high))
    if is_single_line(cells.notes.column("start")[inside], cells.ends[inside]):
        return True
    beat = (cells.edges[last] - cells.edges[first]) / cells.beats[first:last].sum()
    return bool((cells.notes.column("duration")[inside] < beat / 2).any())


def _moved_bass(cells: HarmonyCells, segment: Segment) -> list[Segment]:
    """Part a chord where its bass moves to or from the third or the seventh, and stays for a beat or more."""
    tables = chord_tables()
    degrees = CHORD_TYPES[int(tables.types[segment.chord])].degrees
    root = int(tables.roots[segment.chord])
    tones = [(root + DEGREE_CLASS[degree]) % 12 for degree in degrees]
    runs: list[tuple[int, int, int]] = []  # bass, first cell and the one behind the last
    for cell in range(segment.first, segment.last):
        bass = int(cells.bass[cell].argmax()) if cells.bass[cell].max() > 0 else -1
        if runs and (bass == runs[-1][0] or cells.level[cell] > BEAT or bass not in tones):
            runs[-1] = (runs[-1][0], runs[-1][1], cell + 1)
        else:
            runs.append((bass, cell, cell + 1))
    if len(runs) < 2 or any(float(cells.beats[first:last].sum()) < _BASS_BEATS for _, first, last in runs):
        return [segment]
    if len({bass for bass, _, _ in runs} - {tones[0], tones[2]}) == 0 or _is_figured(
        cells, segment.first, segment.last
    ):
        return [segment]
    if any((cells.sounding[first:last].sum(axis=0) > 0).sum() < _LEAST_TONES for _, first, last in runs):
        return [segment]
    return [Segment(first, last, segment.chord, segment.margin) for _, first, last in runs]
