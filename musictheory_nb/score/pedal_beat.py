"""What sounds in each beat of a score, part by part, for the search of pedal points (`beats_of`)."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, lru_cache
from math import ceil
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

    @cached_property
    def heard(self) -> "HeardClasses":
        """What is heard of it in each beat."""
        return HeardClasses(self.share)

    def masks(self, first: int, last: int, without: int) -> set[int]:
        """Return the sets of pitch classes that it plays in these beats, as bits."""
        return {self.heard.mask(at, without) for at in range(first, last + 1)} - {0}


@dataclass(frozen=True, eq=False)
class Beats:
    """Which pitch classes sound in each beat, and for how much of it; `starts` in ticks from the start of the score."""

    starts: npt.NDArray[np.float64]
    measure: npt.NDArray[np.int64]
    lines: tuple["BeatLine", ...]
    total: npt.NDArray[np.float64]
    lowest: npt.NDArray[np.float64]
    highest: npt.NDArray[np.float64]

    @cached_property
    def heard(self) -> "HeardClasses":
        """What is heard of all parts in each beat."""
        return HeardClasses(self.total)


class HeardClasses:
    """The pitch classes that sound in half of a beat or more, as bits, and those that sound in a quarter of it.

    Parameters
    ----------
    share : array, beats by 12
        The share of the beat that sounds.
    """

    def __init__(self, share: npt.NDArray[np.float64]) -> None:
        bits = 1 << np.arange(12)
        self._half: list[int] = ((share >= 0.5) @ bits).tolist()
        self._quarter: list[int] = ((share >= 0.25) @ bits).tolist()

    def mask(self, beat: int, without: int) -> int:
        """Return what sounds in half of a beat or more, one pitch class left out.

        Where that is not even two, a quarter of the beat is enough: a chord may be broken.
        """
        others = ~(1 << without)
        found = self._half[beat] & others
        return found if found.bit_count() >= 2 else self._quarter[beat] & others


@lru_cache(maxsize=1)
def chord_masks() -> tuple[int, ...]:
    """Return the sets of pitch classes, as bits, that are one chord."""
    return tuple(sum(1 << (root + step) % 12 for step in chord) for root in range(12) for chord in _CHORDS)


def beats_of(score: Score, slots: int = 1) -> Beats:
    """Return what sounds in each beat, or in each of `slots` equal parts of a beat."""
    table = score.joined_notes
    table = table.where((table.column("step") >= 0) & (table.column("grace") == 0))
    unit = table.ticks_per_quarter
    inside: dict[tuple[str, Fraction], list[float]] = {}  # ticks from the start of such a measure
    found: list[float] = []
    measure_of: list[int] = []
    for measure in score.measures:
        kind = (measure.metre, measure.length)
        if kind not in inside:
            beat = _beat_quarters(measure.metre) / slots
            inside[kind] = [float(at * beat * unit) for at in range(ceil(measure.length / beat))]
        start = float(measure.start * unit)
        found += [start + at for at in inside[kind]]
        measure_of += [measure.index] * len(inside[kind])
    edges = np.array([*found, float(score.length * unit)])
    count = len(found)
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
        classes, lasts = rows.chromatic % 12, np.minimum(lasts, count - 1)
        struck[np.minimum(firsts, count - 1), classes] = True
        many = np.maximum(lasts - firsts + 1, 0)
        note = np.repeat(np.arange(len(rows)), many)
        beat_of = firsts[note] + np.arange(len(note)) - np.repeat(np.cumsum(many) - many, many)
        where = (beat_of, classes[note])
        np.add.at(sums, where, np.minimum(ends[note], edges[beat_of + 1]) - np.maximum(begins[note], edges[beat_of]))
        np.minimum.at(low, where, rows.chromatic[note])
        np.maximum.at(high, where, rows.chromatic[note])
        opened = begins[note] <= edges[beat_of]
        opens[beat_of[opened], classes[note][opened]] = True
        share = np.minimum(sums / np.maximum(edges[1:] - edges[:-1], 1)[:, None], 1.0)
        lines.append(BeatLine(one // 64, share, low, high, opens, struck))
        total = np.maximum(total, share)
        lowest, highest = np.minimum(lowest, low.min(axis=1)), np.maximum(highest, high.max(axis=1))
    return Beats(edges[:-1], np.array(measure_of, dtype=np.int64), tuple(lines), total, lowest, highest)


def _beat_quarters(metre: str) -> Fraction:
    """Return the length of a beat: a quarter, or three eighths where eighths go in threes."""
    upper, _, lower = metre.partition("/")
    if lower == "8" and upper.isdigit() and int(upper) % 3 == 0:
        return Fraction(3, 2)
    return Fraction(1)
