"""Cutting a score into chords: where chords change and which they are, found together by dynamic programming.

Each stretch of cells up to `MOST_BEATS` long may be each chord of `chord_candidate`. What speaks for it: beats of
sounding chord tones, and of chord tones in the bass. What speaks against it: foreign notes, less where passing,
neighbour and suspended notes explain them; tones that do not sound; a rare chord; a change of chord off the beat; a
chord that the local key does not have. The sum over the piece is made as large as can be.
"""

from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.chord_candidate import ChordTables, chord_tables
from musictheory_nb.score.harmony_cell import HarmonyCells

Amounts = npt.NDArray[np.float64]

#: Longest stretch that is one chord, in cells.
MOST_CELLS: Final = 20
#: What a change of chord costs at the start of a measure, half of it, a beat, and less.
CHANGE_COST: Final = (0.24, 0.64, 0.62, 0.88)
#: Below so many beats of one note a pitch class does not count as sounding.
_HEARD_BEATS: Final = 0.1
#: For so many beats of a chord its fit to the local key counts.
PRIOR_BEATS: Final = 3.2


class Segment(NamedTuple):
    """Cells `first` up to but not `last` are chord number `chord`; `margin` by how much it beats other roots."""

    first: int
    last: int
    chord: int
    margin: float


def segment_chords(cells: HarmonyCells, prior: Amounts | None = None) -> tuple[Segment, ...]:
    """Return the stretches that are chords; stretches with no note are left out.

    Parameters
    ----------
    cells : HarmonyCells
        What sounds when.
    prior : array, cells by chords, optional
        What a chord that begins in each cell gains from the local key, for each of its first `PRIOR_BEATS` beats.
    """
    tables = chord_tables()
    count = len(cells)
    gain, sounding = _gains(cells, tables)
    heard = _ahead(sounding)
    base = np.vstack([np.zeros((1, gain.shape[1])), np.cumsum(gain, axis=0)])
    beats = np.concatenate([[0.0], np.cumsum(cells.beats)])
    change = np.array(CHANGE_COST)[cells.level] + cells.change
    best = np.full(count + 1, -np.inf)
    best[0] = 0.0
    came = np.zeros(count + 1, dtype=np.int64)
    which = np.zeros(count + 1, dtype=np.int64)
    at_best = np.zeros((count + 1, gain.shape[1]))
    for end in range(1, count + 1):
        begin = np.arange(max(0, end - MOST_CELLS), end)
        absent = (heard[end][None, :] - heard[begin]) < _HEARD_BEATS
        scores = base[end][None, :] - base[begin] - tables.cost[None, :]
        scores -= absent.astype(np.float64) @ tables.missing.T
        if prior is not None:
            scores += prior[begin] * np.minimum(beats[end] - beats[begin], PRIOR_BEATS)[:, None]
        chords = scores.argmax(axis=1)
        totals = best[begin] - change[begin] + scores[np.arange(len(begin)), chords]
        at = int(totals.argmax())
        best[end], came[end], which[end] = totals[at], begin[at], chords[at]
        at_best[end] = scores[at]
    return _trace(cells, tables, came, which, at_best, sounding)


def _gains(cells: HarmonyCells, tables: ChordTables) -> tuple[Amounts, Amounts]:
    """What each cell adds to each chord, and beats that sound by pitch class (several voices count little more)."""
    beats = np.maximum(cells.beats, 1e-9)[:, None]
    full = 1.6 * beats * (1 - np.exp(-cells.sounding / beats))
    share = np.divide(full, cells.sounding, out=np.zeros_like(full), where=cells.sounding > 0)
    foreign = cells.foreign * share
    return full @ tables.reward.T - foreign @ tables.foreign.T + cells.bass @ tables.bass.T, full


def _ahead(sounding: Amounts) -> Amounts:
    return np.vstack([np.zeros((1, 12)), np.cumsum(sounding, axis=0)])


def _trace(
    cells: HarmonyCells,
    tables: ChordTables,
    came: npt.NDArray[np.int64],
    which: npt.NDArray[np.int64],
    scores: Amounts,
    sounding: Amounts,
) -> tuple[Segment, ...]:
    """Follow the best way back from the end; `scores` holds what each chord was worth in the stretch chosen."""
    found: list[Segment] = []
    end = len(cells)
    while end > 0:
        first = int(came[end])
        if sounding[first:end].sum() > 0:
            chord = int(which[end])
            others = scores[end][tables.roots != tables.roots[chord]]
            found.append(Segment(first, end, chord, float(scores[end, chord] - others.max())))
        end = first
    return tuple(reversed(found))
