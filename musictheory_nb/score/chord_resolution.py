"""Chords named by what their dissonances resolve to, where the rest of the chord stays meanwhile (`resolved_chords`).

Conventions (harmony courses; common practice, no source):

- a major seventh over its root that moves up to the root while the triad stays is a retardation, and the chord a triad;
- a minor triad whose root does not sound, over its third in the bass, is the major triad on that;
- the seventh of a half-diminished chord that moves down by step to the root of the dominant is its ninth,
  and the chord the dominant seventh;
- a bass on the dominant under the sixth and, at last, the fourth of a cadential six-four is that chord, before its dominant.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from musictheory_nb.score.chord_candidate import CHORD_TYPES, chord_tables
from musictheory_nb.score.compound_line import is_single_line
from musictheory_nb.score.harmony_cell import BEAT, OFFBEAT, HarmonyCells
from musictheory_nb.score.harmony_segment import Segment

_KINDS: Final = {chord.degrees: at for at, chord in enumerate(CHORD_TYPES)}
_MAJOR, _MINOR = _KINDS["1", "3", "5"], _KINDS["1", "b3", "5"]
_DOMINANT: Final = _KINDS["1", "3", "5", "b7"]
_MAJOR_SEVENTH: Final = _KINDS["1", "3", "5", "7"]
#: Seventh chords but dominants, with the triad below and the semitones of their sevenths.
_TRIADS: Final = {_MAJOR_SEVENTH: (_MAJOR, 11), _KINDS["1", "b3", "5", "b7"]: (_MINOR, 10)}
#: Notes of a line over one chord, of which a single seventh is none of it.
_MANY: Final = 8
_ORNAMENTS: Final = ("passing note", "neighbour note")
#: Semitones of the seventh of the chords that may stand for a dominant, by kind.
_LEADING: Final = {_KINDS["1", "b3", "b5", "b7"]: 10}
#: Semitones from the root of those up to the root of the dominant.
_TO_DOMINANT: Final = 8
#: Semitones of the sixth over a dominant, and the kind of the tonic chord that it belongs to.
_SIXTHS: Final = ((8, _MINOR), (9, _MAJOR))


def resolved_chords(cells: HarmonyCells, segments: Sequence[Segment]) -> tuple[Segment, ...]:
    """Return the segments with the chords that their dissonances resolve to; in a single line but one passing note."""
    if is_single_line(cells.notes.column("start"), cells.ends):
        return tuple(_without_last_seventh(cells, segment) for segment in segments)
    found: list[Segment] = []
    for at, segment in enumerate(segments):
        following = segments[at + 1] if at + 1 < len(segments) else None
        found += _six_four(cells, _resolved(cells, segment), following)
    return tuple(found)


def _without_last_seventh(cells: HarmonyCells, segment: Segment) -> Segment:
    """Return the triad where a line touches the seventh but once, as its last note, which leads on."""
    tables = chord_tables()
    root, kind = int(tables.roots[segment.chord]), int(tables.types[segment.chord])
    if kind not in _TRIADS:
        return segment
    triad, seventh = _TRIADS[kind]
    rows = _rows(cells, segment, (root + seventh) % 12)
    starts = cells.notes.column("start")
    notes = int(
        np.searchsorted(starts, cells.edges[segment.last]) - np.searchsorted(starts, cells.edges[segment.first])
    )
    is_last = len(rows) == 1 and cells.ends[rows[0]] == cells.edges[segment.last] and notes >= _MANY
    return segment._replace(chord=12 * triad + root) if is_last else segment


def _resolved(cells: HarmonyCells, segment: Segment) -> Segment:
    tables = chord_tables()
    root, kind = int(tables.roots[segment.chord]), int(tables.types[segment.chord])
    if kind in _TRIADS:
        triad, seventh = _TRIADS[kind]
        tone = (root + seventh) % 12
        if (kind == _MAJOR_SEVENTH and _moves(cells, segment, tone, root)) or _is_ornament(cells, segment, tone):
            return segment._replace(chord=12 * triad + root)
    third = (root + 3) % 12
    bass = int(cells.bass[segment.first : segment.last].sum(axis=0).argmax())
    if kind == _MINOR and bass == third and not _rows(cells, segment, root):
        return segment._replace(chord=12 * _MAJOR + third)
    dominant = (root + _TO_DOMINANT) % 12
    if kind in _LEADING and _moves(cells, segment, (root + _LEADING[kind]) % 12, dominant):
        return segment._replace(chord=12 * _DOMINANT + dominant)
    return segment


def _rows(cells: HarmonyCells, segment: Segment, tone: int) -> list[int]:
    """Rows of the notes of a pitch class that sound in a segment, in order."""
    begin, end = int(cells.edges[segment.first]), int(cells.edges[segment.last])
    pitches = cells.notes.chromatic
    low = int(np.searchsorted(cells.reach, begin, side="right"))
    high = int(np.searchsorted(cells.notes.column("start"), end, side="left"))
    return [row for row in range(low, high) if pitches[row] % 12 == tone and cells.ends[row] > begin]


def _is_ornament(cells: HarmonyCells, segment: Segment, tone: int) -> bool:
    """Whether a tone sounds only in passing and neighbour notes off the beat, of half a beat or less, or not at all."""
    starts, place, pulse = (cells.notes.column(name) for name in ("start", "place", "pulse"))
    return all(
        cells.roles[row] in _ORNAMENTS
        and place[row] % pulse[row] != 0
        and 2 * (cells.ends[row] - starts[row]) <= pulse[row]
        for row in _rows(cells, segment, tone)
    )


def _moves(cells: HarmonyCells, segment: Segment, tone: int, to: int) -> bool:
    """Whether a tone gives way to another one for good, by step (octaves aside) in a line, before the chord ends."""
    rows = _rows(cells, segment, tone)
    if not rows or cells.ends[rows[-1]] >= cells.edges[segment.last]:
        return False
    line = [cells.notes.column(name) for name in ("part", "staff", "voice")]
    return any(
        cells.notes.column("start")[row] == cells.ends[rows[-1]] and all(one[row] == one[rows[-1]] for one in line)
        for row in _rows(cells, segment, to)
    )


def _six_four(cells: HarmonyCells, segment: Segment, following: Segment | None) -> list[Segment]:
    """Part a dominant at the end of its first beat, or name a beat before one anew, where the cadential six-four comes late."""
    tables = chord_tables()
    if cells.level[segment.first] > BEAT:
        return [segment]
    first, after = segment.first, segment.first + 1
    while after < segment.last and cells.level[after] == OFFBEAT:
        after += 1
    whole = after == segment.last
    dominant = following if whole else segment
    if dominant is None or int(tables.types[dominant.chord]) not in (_MAJOR, _DOMINANT):
        return [segment]
    root = int(tables.roots[dominant.chord])
    heard = cells.sounding[first:after]
    kinds = [kind for six, kind in _SIXTHS if (heard[:, (root + six) % 12] > 0).all()]
    if not kinds or (heard[:, (root + 7) % 12] > 0).any() or not (cells.bass[first:after, root] > 0).all():
        return [segment]
    if after - first < 2 or heard[0, (root + 5) % 12] > 0 or heard[-1, (root + 5) % 12] <= 0:
        return [segment]
    early = Segment(first, after, 12 * kinds[0] + (root + 5) % 12, segment.margin)
    return [early] if whole else [early, Segment(after, segment.last, segment.chord, segment.margin)]
