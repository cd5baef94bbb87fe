"""What sounds in each beat of a score, part by part, for the search of pedal points (`beats_of`)."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.score import Score

#: Chords, as semitones above a root, that count as one.
_CHORDS: Final = (
    (0, 4, 7),
    (0, 3, 7),
    (0, 3, 6),
    (0, 4, 8),
    (0, 4, 7, 10),
    (0, 4, 7, 11),
    (0, 3, 7, 10),
    (0, 3, 6, 10),
    (0, 3, 6, 9),
)


@dataclass(frozen=True, eq=False)
class BeatLine:
    """One staff of a part, by beat and pitch class.

    Attributes
    ----------
    part : int
        Its index.
    share, lowest, highest : array, beats by 12
        The share of the beat that sounds, and its lowest and highest pitch there.
    opens, begins : array, beats by 12
        Whether it sounds at the start of the beat; whether it is struck in the beat.
    """

    part: int
    share: npt.NDArray[np.float64]
    lowest: npt.NDArray[np.float64]
    highest: npt.NDArray[np.float64]
    opens: npt.NDArray[np.bool_]
    begins: npt.NDArray[np.bool_]

    def masks(self, first: int, last: int, without: int) -> set[int]:
        """Return the sets of pitch classes that it plays in these beats, as bits."""
        return {pitch_mask(row, without) for row in self.share[first : last + 1]} - {0}


@dataclass(frozen=True, eq=False)
class Beats:
    """Which pitch classes sound in each beat, and for how much of it."""

    measure: npt.NDArray[np.int64]
    lines: tuple["BeatLine", ...]
    total: npt.NDArray[np.float64]
    lowest: npt.NDArray[np.float64]
    highest: npt.NDArray[np.float64]


def pitch_mask(row: npt.NDArray[np.float64], without: int) -> int:
    """Return the pitch classes that sound in half of the beat or more, as bits, one of them left out.

    Where that is not even two, a quarter of the beat is enough: a chord may be broken.
    """
    found = [one for one in np.nonzero(row >= 0.5)[0].tolist() if one != without]
    if len(found) < 2:
        found = [one for one in np.nonzero(row >= 0.25)[0].tolist() if one != without]
    return sum(1 << one for one in found)


@lru_cache(maxsize=1)
def chord_masks() -> tuple[int, ...]:
    """Return the sets of pitch classes, as bits, that are one chord."""
    return tuple(sum(1 << (root + step) % 12 for step in chord) for root in range(12) for chord in _CHORDS)


def beats_of(score: Score, slots: int = 1) -> Beats:
    """Return what sounds in each beat, or in each of `slots` equal parts of a beat."""
    starts: list[Fraction] = []
    lengths: list[Fraction] = []
    measure_of: list[int] = []
    for measure in score.measures:
        beat = _beat_quarters(measure.metre) / slots
        at = Fraction(0)
        while at < measure.length:
            starts.append(measure.start + at)
            lengths.append(min(beat, measure.length - at))
            measure_of.append(measure.index)
            at += beat
    table = score.joined_notes
    table = table.where((table.column("step") >= 0) & (table.column("grace") == 0))
    unit = table.ticks_per_quarter
    edges = np.array([float(start * unit) for start in starts] + [float(score.length * unit)])
    count = len(starts)
    place = table.column("part") * 64 + table.column("staff")
    total = np.zeros((count, 12))
    lowest, highest = np.full(count, np.inf), np.zeros(count)
    lines = []
    for one in np.unique(place).tolist():
        rows = table.where(place == one)
        sums, low, high = np.zeros((count, 12)), np.full((count, 12), np.inf), np.zeros((count, 12))
        opens, struck = np.zeros((count, 12), dtype=bool), np.zeros((count, 12), dtype=bool)
        begins, ends = rows.column("start"), rows.column("start") + rows.column("duration")
        firsts = np.searchsorted(edges, begins, side="right") - 1
        lasts = np.searchsorted(edges, ends, side="left") - 1
        for begin, end, first, last, midi in zip(
            begins.tolist(), ends.tolist(), firsts.tolist(), lasts.tolist(), rows.chromatic.tolist(), strict=True
        ):
            struck[min(first, count - 1), midi % 12] = True
            for at_beat in range(first, min(last, count - 1) + 1):
                sums[at_beat, midi % 12] += min(end, edges[at_beat + 1]) - max(begin, edges[at_beat])
                low[at_beat, midi % 12] = min(low[at_beat, midi % 12], midi)
                high[at_beat, midi % 12] = max(high[at_beat, midi % 12], midi)
                opens[at_beat, midi % 12] |= begin <= edges[at_beat]
        share = np.minimum(sums / np.maximum(edges[1:] - edges[:-1], 1)[:, None], 1.0)
        lines.append(BeatLine(one // 64, share, low, high, opens, struck))
        total = np.maximum(total, share)
        lowest, highest = np.minimum(lowest, low.min(axis=1)), np.maximum(highest, high.max(axis=1))
    return Beats(np.array(measure_of, dtype=np.int64), tuple(lines), total, lowest, highest)


def _beat_quarters(metre: str) -> Fraction:
    """Return the length of a beat: a quarter, or three eighths where eighths go in threes."""
    upper, _, lower = metre.partition("/")
    if lower == "8" and upper.isdigit() and int(upper) % 3 == 0:
        return Fraction(3, 2)
    return Fraction(1)
