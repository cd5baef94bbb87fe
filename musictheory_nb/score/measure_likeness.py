"""How alike the bars of a score are: in melody, harmony, bass and rhythm (`measure_likeness`).

Conventions: a bar is cut into slots of a 32nd note, longer ones where bars are long; what sounds in each slot is
compared place by place, octaves aside. 1 means the same everywhere, 0 nowhere. The melody is the highest note that
sounds in the leading staff, the bass the lowest of all.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeAlias, TypeVar

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.score import Score

Matrix: TypeAlias = npt.NDArray[np.float32]
Pitches: TypeAlias = npt.NDArray[np.int16]
_Value = TypeVar("_Value", np.int16, np.float32)

#: Slots to a quarter in bars of up to `MOST_SLOTS / SLOTS_PER_QUARTER` quarters.
SLOTS_PER_QUARTER: Final = 8
MOST_SLOTS: Final = 64
#: How much each side counts where one number is asked for: melody, all that sounds, bass.
WEIGHTS: Final = (0.5, 0.35, 0.15)


@dataclass(frozen=True, eq=False)
class MeasureLikeness:
    """Likeness of each bar to each other; every matrix is square, its values from 0 to 1.

    Parameters
    ----------
    melody, harmony, bass, rhythm, overall : array of float32
        By what sounds highest, by the pitch classes that sound, by what sounds lowest, by when notes begin, and the
        first three weighed by `WEIGHTS`.
    skyline, floor : array of int16, bars by slots
        Highest and lowest pitch (MIDI numbers) in each slot; -1 for silence, -2 behind the bar's end.
    """

    melody: Matrix
    harmony: Matrix
    bass: Matrix
    rhythm: Matrix
    overall: Matrix
    skyline: Pitches
    floor: Pitches


def measure_likeness(score: Score, units: Sequence[BarUnit]) -> MeasureLikeness:
    r"""Return how alike the bars `units` of `score` are.

    Notes
    -----
    The time is that of a few matrix products: well under a second for 1,000 bars.

    Examples
    --------
    >>> from musictheory_nb.score.bar_unit import bar_units
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nCE|CE|CF|\n", cache=False)
    >>> measure_likeness(tune, bar_units(tune.measures)).melody.tolist()[0]
    [1.0, 1.0, 0.5]
    """
    notes = score.joined_notes
    notes = notes.where(notes.column("grace") == 0)
    pitched = notes.where(notes.column("step") >= 0)
    slots = BarSlots.of(units, notes.ticks_per_quarter)
    lead = pitched.where(_leading(pitched))
    skyline = slots.by_bar(slots.line(lead, highest=True))
    floor = slots.by_bar(slots.line(pitched, highest=False))
    harmony = _cosine(slots.by_bar(slots.classes(pitched)))
    rhythm = _cosine(slots.by_bar(slots.onsets(notes)))
    melody, bass = _same_line(skyline), _same_line(floor)
    overall = WEIGHTS[0] * melody + WEIGHTS[1] * harmony + WEIGHTS[2] * bass
    return MeasureLikeness(melody, harmony, bass, rhythm, overall, skyline, floor)


@dataclass(frozen=True, eq=False)
class BarSlots:
    """Time cut into slots, each bar from its own first beat.

    Parameters
    ----------
    starts : array
        Ticks from the start of the score to each bar.
    offsets, lengths : array
        First slot of each bar, and how many it has.
    ticks : float
        Ticks to a slot.
    """

    starts: npt.NDArray[np.int64]
    offsets: npt.NDArray[np.int64]
    lengths: npt.NDArray[np.int64]
    ticks: float

    @classmethod
    def of(cls, units: Sequence[BarUnit], ticks_per_quarter: int) -> "BarSlots":
        """Return the slots of these bars: `SLOTS_PER_QUARTER`, fewer where bars are long."""
        longest = max((unit.length for unit in units), default=Fraction(4))
        per_quarter = Fraction(SLOTS_PER_QUARTER)
        while longest * per_quarter > MOST_SLOTS and per_quarter > Fraction(1, 4):
            per_quarter /= 2
        lengths = [max(1, -(-unit.length * per_quarter // 1)) for unit in units]
        offsets, at, end = [], 0, Fraction(0)
        for unit, length in zip(units, lengths, strict=True):
            at += -((end - unit.start) * per_quarter // 1)  # a pickup between bars
            offsets.append(at)
            at += length
            end = unit.start + unit.length
        starts = [int(unit.start * ticks_per_quarter) for unit in units]
        return cls(
            np.array(starts, dtype=np.int64),
            np.array(offsets, dtype=np.int64),
            np.array(lengths, dtype=np.int64),
            float(ticks_per_quarter / per_quarter),
        )

    @property
    def count(self) -> int:
        """How many slots there are from the start to the end."""
        return int(self.offsets[-1] + self.lengths[-1]) if len(self.offsets) else 0

    def spans(self, notes: NoteTable) -> tuple[list[int], list[int]]:
        """Return the first slot of each note and the one behind its last."""
        start = notes.column("start")
        bar = np.maximum(np.searchsorted(self.starts, start, side="right") - 1, 0)
        first = self.offsets[bar] + np.floor((start - self.starts[bar]) / self.ticks + 1e-6).astype(np.int64)
        size = np.maximum(np.round(notes.column("duration") / self.ticks).astype(np.int64), 1)
        first = np.clip(first, 0, max(self.count - 1, 0))
        return first.tolist(), np.minimum(first + size, self.count).tolist()

    def line(self, notes: NoteTable, *, highest: bool) -> Pitches:
        """Return the highest or lowest pitch that sounds in each slot, -1 for none."""
        line = np.full(self.count, -1, dtype=np.int16)
        rows = np.argsort(notes.chromatic if highest else -notes.chromatic, kind="stable").tolist()
        first, last = self.spans(notes)
        pitch = notes.chromatic.tolist()
        for row in rows:
            line[first[row] : last[row]] = pitch[row]
        return line

    def classes(self, notes: NoteTable) -> npt.NDArray[np.float32]:
        """Return which pitch classes sound in each slot."""
        found = np.zeros((self.count, 12), dtype=np.float32)
        for first, last, pitch in zip(*self.spans(notes), (notes.chromatic % 12).tolist(), strict=True):
            found[first:last, pitch] = 1
        return found

    def onsets(self, notes: NoteTable) -> npt.NDArray[np.float32]:
        """Return in which slots notes begin."""
        found = np.zeros((self.count, 1), dtype=np.float32)
        found[self.spans(notes)[0]] = 1
        return found

    def by_bar(self, values: npt.NDArray[_Value]) -> npt.NDArray[_Value]:
        """Return the slots of each bar as a row; behind the end of a short bar stands -2, or nothing."""
        width = int(self.lengths.max(initial=1))
        places = self.offsets[:, None] + np.arange(width)[None, :]
        inside = np.arange(width)[None, :] < self.lengths[:, None]
        rows: npt.NDArray[_Value] = values[np.minimum(places, max(self.count - 1, 0))]
        if values.ndim == 1:
            rows[~inside] = -2
            return rows
        rows[~inside] = 0
        flat: npt.NDArray[_Value] = rows.reshape(len(self.offsets), -1)
        return flat


def _leading(notes: NoteTable) -> npt.NDArray[np.bool_]:
    """Rows of the melody's staff: of the staves, the first one with at least a third as many notes as the busiest."""
    if not len(notes):
        return np.zeros(0, dtype=bool)
    place = notes.column("part") * 64 + notes.column("staff")
    places, counts = np.unique(place, return_counts=True)
    lead = places[np.nonzero(3 * counts >= counts.max())[0][0]]
    return np.asarray(place == lead)


def _same_line(line: Pitches) -> Matrix:
    """Share of slots in which two bars have the same pitch class; silence is like silence."""
    classes = np.where(line >= 0, line % 12, np.where(line == -1, 12, 13))
    one_hot = (classes[:, :, None] == np.arange(13)).reshape(len(line), -1).astype(np.float32)
    found = one_hot @ one_hot.T
    sizes = (classes < 13).sum(axis=1)
    longest = np.maximum(np.maximum(sizes[:, None], sizes[None, :]), 1).astype(np.float32)
    return np.asarray(found / longest, dtype=np.float32)


def _cosine(rows: npt.NDArray[np.float32]) -> Matrix:
    lengths = np.sqrt((rows * rows).sum(axis=1))
    empty = lengths == 0
    unit = rows / np.where(empty, 1, lengths)[:, None]
    found = unit @ unit.T
    found[np.ix_(empty, empty)] = 1
    return np.asarray(np.clip(found, 0, 1), dtype=np.float32)
