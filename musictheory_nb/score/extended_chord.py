"""Chords beyond the seventh, and sixths and suspended fourths that stay, in music that is made of them (`extended_chords`).

Conventions (chord symbols; common practice, no source): what is struck together over a bass and stays is one chord, whatever
it holds; its root is the bass. Where a good part of the music is made of ninths, elevenths and thirteenths, so are its
sixths (C6, not Am7 over C) and its fourths (Gsus4). Elsewhere a ninth is a note that resolves, and a sixth over the bass
an inversion; but a piece closes on its tonic, with an added sixth too, and a fourth that comes from nowhere and stays for
two beats is no suspension.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from musictheory_nb.score.chord_candidate import CHORD_TYPES, chord_tables
from musictheory_nb.score.compound_line import is_single_line
from musictheory_nb.score.harmony_cell import HarmonyCells
from musictheory_nb.score.harmony_segment import Segment

_KINDS: Final = {chord.degrees: at for at, chord in enumerate(CHORD_TYPES)}
_MAJOR, _MINOR = _KINDS["1", "3", "5"], _KINDS["1", "b3", "5"]
_DOMINANT, _MINOR_SEVENTH = _KINDS["1", "3", "5", "b7"], _KINDS["1", "b3", "5", "b7"]
_MAJOR_SEVENTH: Final = _KINDS["1", "3", "5", "7"]


class ExtendedType(NamedTuple):
    """What is written behind the root, the chord below it, semitones that must sound over the root, and that may."""

    suffix: str
    kind: int
    needed: frozenset[int]
    allowed: frozenset[int]


def _row(suffix: str, kind: int, needed: str, allowed: str = "7") -> ExtendedType:
    return ExtendedType(suffix, kind, frozenset(map(int, needed.split())), frozenset(map(int, allowed.split())))


#: The simpler ones first: of two that hold the same, the first is taken.
EXTENDED_TYPES: Final = (
    _row("6", _MAJOR, "4 9"),
    _row("m6", _MINOR, "3 9"),
    _row("sus4", _MAJOR, "5 7", ""),
    _row("sus2", _MAJOR, "2 7", ""),
    _row("7sus4", _DOMINANT, "5 10"),
    _row("9", _DOMINANT, "4 10 2"),
    _row("m9", _MINOR_SEVENTH, "3 10 2"),
    _row("maj9", _MAJOR_SEVENTH, "4 11 2"),
    _row("add9", _MAJOR, "4 7 2", ""),
    _row("m(add9)", _MINOR, "3 7 2", ""),
    _row("6/9", _MAJOR, "4 9 2"),
    _row("m6/9", _MINOR, "3 9 2"),
    _row("m(maj7)", _MINOR, "3 11"),
    _row("m(maj9)", _MINOR, "3 11 2"),
    _row("9sus4", _DOMINANT, "5 10 2"),
    _row("13sus4", _DOMINANT, "5 10 9", "2 7"),
    _row("7b9", _DOMINANT, "4 10 1"),
    _row("7#9", _DOMINANT, "4 10 3"),
    _row("7b13", _DOMINANT, "4 10 8"),
    _row("7#11", _DOMINANT, "4 10 6"),
    _row("13", _DOMINANT, "4 10 9", "2 7"),
    _row("9#11", _DOMINANT, "4 10 2 6"),
    _row("13b9", _DOMINANT, "4 10 1 9"),
    _row("7(b9,b13)", _DOMINANT, "4 10 1 8"),
    _row("7(#9,b13)", _DOMINANT, "4 10 3 8", ""),
    _row("maj7#11", _MAJOR_SEVENTH, "4 11 6"),
    _row("maj9#11", _MAJOR_SEVENTH, "4 11 2 6"),
    _row("maj13", _MAJOR_SEVENTH, "4 11 9", "2 7"),
    _row("m11", _MINOR_SEVENTH, "3 10 5", "2 7"),
    _row("m13", _MINOR_SEVENTH, "3 10 9", "2 7"),
)
#: Those that are read so only where the music is made of extended chords: else they are inversions and suspensions.
_DOUBTFUL: Final = frozenset({"6", "m6", "sus4", "sus2", "add9", "m(add9)", "m(maj7)"})
#: From this share of the time on, music is made of extended chords.
_STYLE: Final = 0.25
#: Share of a chord's time for which a note sounds that belongs to it, where chords are not struck as such.
_STAYS: Final = 0.6
#: Notes that a part strikes at once in a chord.
_STRUCK: Final = 3
_SUS_BEATS: Final = 2.0


def extended_chords(cells: HarmonyCells, segments: Sequence[Segment]) -> tuple[tuple[Segment, ...], tuple[str, ...]]:
    """Return the segments with the chords below the extended ones, and what is written behind each root ('' for nothing)."""
    if is_single_line(cells.notes.column("start"), cells.ends) or not segments:
        return tuple(segments), ("",) * len(segments)
    parted = [part for segment in _joined(segments) for part in _fourth_first(cells, segment)]
    read = [_reading(cells, segment) for segment in parted]
    lengths = [float(cells.beats[segment.first : segment.last].sum()) for segment in parted]
    sure = sum(
        length for length, one in zip(lengths, read, strict=True) if one is not None and one[1].suffix not in _DOUBTFUL
    )
    is_style = sure >= _STYLE * sum(lengths)
    if not is_style:
        parted = [part for segment in segments for part in _fourth_first(cells, segment)]
        parted, read = _plain(cells, segments, parted, [_reading(cells, segment) for segment in parted])
    found, suffixes = [], []
    for segment, one in zip(parted, read, strict=True):
        found.append(segment if one is None else segment._replace(chord=12 * one[1].kind + one[0]))
        suffixes.append("" if one is None else one[1].suffix)
    return tuple(found), tuple(suffixes)


def _joined(segments: Sequence[Segment]) -> list[Segment]:
    """Return the segments with one for each chord, over whatever basses: a bass that walks changes no chord."""
    found: list[Segment] = []
    for segment in segments:
        if found and found[-1].chord == segment.chord and found[-1].last == segment.first:
            margin = max(found[-1].margin, segment.margin)
            found[-1] = Segment(found[-1].first, segment.last, segment.chord, margin)
        else:
            found.append(segment)
    return found


def _plain(
    cells: HarmonyCells,
    segments: Sequence[Segment],
    parted: Sequence[Segment],
    read: Sequence[tuple[int, ExtendedType] | None],
) -> tuple[list[Segment], list[tuple[int, ExtendedType] | None]]:
    """Return the readings that stand in other music too: a last tonic with its sixth, a fourth that is no suspension."""
    whole = {(segment.first, segment.last) for segment in segments}
    kept: list[Segment] = []
    chosen: list[tuple[int, ExtendedType] | None] = []
    for segment, one in zip(parted, read, strict=True):
        is_last = segment.last == len(cells)
        if one is not None and (
            (is_last and one[1].suffix in ("6", "m6", "6/9"))
            or (one[1].suffix == "sus4" and _comes_from_nowhere(cells, segment))
        ):
            kept.append(segment)
            chosen.append(one)
        elif (segment.first, segment.last) not in whole and kept and _is_split(segments, kept[-1], segment):
            if chosen[-1] is None:
                kept[-1] = kept[-1]._replace(last=segment.last)
            else:
                kept.append(segment)
                chosen.append(None)
        else:
            kept.append(segment)
            chosen.append(None)
    return kept, chosen


def _is_split(segments: Sequence[Segment], before: Segment, after: Segment) -> bool:
    """Whether two stretches were one segment."""
    return any(segment.first <= before.first and after.last <= segment.last for segment in segments)


def _reading(cells: HarmonyCells, segment: Segment) -> tuple[int, ExtendedType] | None:
    """Return root and type of the extended chord that a stretch holds, None where it holds none."""
    held = _held(cells, segment)
    bass = _bass(cells, segment)
    if bass is None or len(held | {bass}) < 3:
        return None
    tables = chord_tables()
    above = frozenset((tone - bass) % 12 for tone in held) - {0}
    own = {int(tone) for tone in np.nonzero(tables.reward[segment.chord] > 0)[0]}
    if held <= own and int(tables.roots[segment.chord]) == bass:
        return None
    if held <= own and len(own) == 3:
        return None
    for kind in EXTENDED_TYPES:
        if kind.needed <= above <= kind.needed | kind.allowed:
            return bass, kind
    return None


def _held(cells: HarmonyCells, segment: Segment) -> frozenset[int]:
    """Return the pitch classes of the chords that a part strikes in a stretch, or else those that stay, and the bass."""
    begin, end = int(cells.edges[segment.first]), int(cells.edges[segment.last])
    starts, pitches, parts = cells.notes.column("start"), cells.notes.chromatic, cells.notes.column("part")
    low, high = int(np.searchsorted(starts, begin)), int(np.searchsorted(starts, end))
    struck: dict[tuple[int, int], set[int]] = {}
    for row in range(low, high):
        struck.setdefault((int(parts[row]), int(starts[row])), set()).add(int(pitches[row]) % 12)
    chords = [tones for tones in struck.values() if len(tones) >= _STRUCK]
    bass = _bass(cells, segment)
    own = frozenset() if bass is None else frozenset({bass})
    if chords:
        counts: dict[int, int] = {}
        for tones in chords:
            for tone in tones:
                counts[tone] = counts.get(tone, 0) + 1
        return own | {tone for tone, count in counts.items() if 2 * count >= len(chords)}
    beats = cells.beats[segment.first : segment.last, None]
    share = np.minimum(cells.sounding[segment.first : segment.last], beats).sum(axis=0) / beats.sum()
    return own | {int(tone) for tone in np.nonzero(share >= _STAYS)[0]}


def _bass(cells: HarmonyCells, segment: Segment) -> int | None:
    for cell in range(segment.first, segment.last):
        if cells.bass[cell].max() > 0:
            return int(cells.bass[cell].argmax())
    return None


def _fourth_first(cells: HarmonyCells, segment: Segment) -> list[Segment]:
    """Part a major chord or a dominant that has its fourth, and no third, for two beats or more at first."""
    tables = chord_tables()
    root = int(tables.roots[segment.chord])
    if int(tables.types[segment.chord]) not in (_MAJOR, _DOMINANT) or _bass(cells, segment) != root:
        return [segment]
    after = segment.first
    while after < segment.last and _has_fourth(cells, after, root):
        after += 1
    if after in (segment.first, segment.last) or cells.beats[segment.first : after].sum() < _SUS_BEATS:
        return [segment]
    return [
        Segment(segment.first, after, segment.chord, segment.margin),
        Segment(after, segment.last, segment.chord, segment.margin),
    ]


def _has_fourth(cells: HarmonyCells, cell: int, root: int) -> bool:
    return bool(cells.sounding[cell, (root + 5) % 12] > 0 and cells.sounding[cell, (root + 4) % 12] <= 0)


def _comes_from_nowhere(cells: HarmonyCells, segment: Segment) -> bool:
    """Whether the fourth over the bass is not held over from before, and stays for two beats or to the end of the chord."""
    bass = _bass(cells, segment)
    assert bass is not None
    fourth = (bass + 5) % 12
    before = segment.first - 1
    if before >= 0 and cells.sounding[before, fourth] > 0:
        return False
    return float(cells.beats[segment.first : segment.last].sum()) >= _SUS_BEATS
