"""The smallest stretches of a score between which its chords may change, and what sounds in each.

Chords change on beats and half beats where a note begins (in metres of eighths and shorter: on beats). Amounts are in
beats of the metre: one note that sounds for one beat counts 1.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.compound_line import held_ends, is_single_line
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.melodic_role import melodic_roles
from musictheory_nb.score.note_table import NoteTable, Ticks
from musictheory_nb.score.score import Score
from musictheory_nb.score.walking_bass import BASS_WORTH, CHANGE_COST, is_walking

Amounts = npt.NDArray[np.float64]

#: How much a foreign note of each melodic role speaks against a chord; a chord tone's worth is about 1.
FOREIGN_COST: Final = MappingProxyType(
    {
        "passing note": 0.28,
        "neighbour note": 0.39,
        "suspension": 0.28,
        "appoggiatura": 0.7,
        "anticipation": 0.3,
        "escape note": 0.23,
        "pedal point": 0.28,
        "foreign note": 1.3,
    }
)
#: How much a note of a pedal point counts: it stays whatever the chord is.
PEDAL_WORTH: Final = 0.4
#: Metric levels: start of a measure, half of it, a beat, less.
DOWNBEAT, HALF, BEAT, OFFBEAT = 0, 1, 2, 3


@dataclass(frozen=True, eq=False)
class HarmonyCells:
    """What sounds in each cell.

    Attributes
    ----------
    notes : NoteTable
        The pitched notes, ties joined, no grace notes.
    roles : tuple of str
        Melodic role of each note (`melodic_role.MELODIC_ROLES`).
    edges : array
        Ticks where the cells begin, and the end of the last.
    level : array
        Metric level of the start of each cell: `DOWNBEAT`, `HALF`, `BEAT` or `OFFBEAT`.
    measure : array
        Index of the measure of each cell.
    sounding, foreign, bass : array, cells by 12
        By pitch class from C: beats that sound; what it costs to call them foreign; beats that it is the lowest note.
    beats : array
        Length of each cell in beats.
    change : array
        What a change of chord costs more at the start of each cell than it is usual.
    """

    notes: NoteTable
    roles: tuple[str, ...]
    edges: Ticks
    level: npt.NDArray[np.int64]
    measure: npt.NDArray[np.int64]
    sounding: Amounts
    foreign: Amounts
    bass: Amounts
    beats: Amounts
    change: Amounts

    def __len__(self) -> int:
        return len(self.level)

    @cached_property
    def ends(self) -> Ticks:
        """Ticks where the notes end."""
        return self.notes.column("start") + self.notes.column("duration")

    @cached_property
    def reach(self) -> Ticks:
        """For each note, the latest end of it and all notes before it."""
        return np.maximum.accumulate(self.ends)

    def quarters(self, ticks: int) -> Fraction:
        """Ticks as quarters."""
        return Fraction(int(ticks), self.notes.ticks_per_quarter)


def metric_level(measure: Measure, place: Fraction) -> int:
    """Metric level of a place, in quarters from where the full bar would start.

    Examples
    --------
    >>> bar = Measure(0, "1", "1", Fraction(0), Fraction(4), "4/4", Fraction(4), Fraction(0), 0)
    >>> [metric_level(bar, Fraction(quarters)) for quarters in (0, 1, 2, Fraction(1, 2))]
    [0, 2, 1, 3]
    """
    if place == 0:
        return DOWNBEAT
    beats, unit = _metre(measure)
    if beats % 3 == 0 and beats > 3:
        unit, beats = unit * 3, beats // 3
    if beats % 2 == 0 and place * 2 == beats * unit:
        return HALF
    return BEAT if place % unit == 0 else OFFBEAT


def _metre(measure: Measure) -> tuple[int, Fraction]:
    """Number of beats of a measure, and the length of one in quarters."""
    if "/" in measure.metre:
        above, below = measure.metre.rsplit("/", 1)
        if below.isdigit() and int(below) and all(one.strip().isdigit() for one in above.split("+")):
            return sum(int(one) for one in above.split("+")), Fraction(4, int(below))
    return max(1, int(measure.full_length)), Fraction(1)


def harmony_cells(score: Score) -> HarmonyCells:
    """Cut a score into cells.

    Raises
    ------
    ScoreError
        It has no pitched notes.
    """
    notes = score.joined_notes.of_kind("note")
    notes = notes.where((notes.column("grace") == 0) & (notes.column("duration") > 0) & (notes.column("step") >= 0))
    if not len(notes):
        raise ScoreError(f"score {score.title or score.source!r}: has no pitched notes, so no harmony")
    roles = melodic_roles(notes)
    edges, level, measure, unit = _edges(score, notes)
    ends = notes.column("start") + notes.column("duration")
    walks = False
    if is_single_line(notes.column("start"), ends):
        walks = is_walking(notes, ends)
        ends = held_ends(notes, score.measures)
    sounding, foreign, bass = _amounts(notes, ends, roles, edges, unit)
    beats = np.diff(edges) / unit
    change = np.array(CHANGE_COST)[level] if walks else np.zeros(len(level))
    if walks:
        bass *= np.array(BASS_WORTH)[level][:, None]
    return HarmonyCells(notes, roles, edges, level, measure, sounding, foreign, bass, beats, change)


def _edges(
    score: Score, notes: NoteTable
) -> tuple[Ticks, npt.NDArray[np.int64], npt.NDArray[np.int64], npt.NDArray[np.float64]]:
    """Edges of cells, the metric level and measure of each, and the ticks of its beat."""
    per_quarter = notes.ticks_per_quarter
    begins = np.unique(notes.column("start"))
    edges, level, measures, units = [], [], [], []
    for measure in score.measures:
        _, beat = _metre(measure)
        grid = beat / 2 if beat >= 1 else beat
        first, last = int(measure.start * per_quarter), int(measure.end * per_quarter)
        inside = begins[np.searchsorted(begins, first) : np.searchsorted(begins, last)].tolist()
        for tick in sorted({first, *inside}):
            place = Fraction(tick - first, per_quarter) + measure.offset
            if tick == first or place % grid == 0:
                edges.append(tick)
                level.append(metric_level(measure, place))
                measures.append(measure.index)
                units.append(float(beat * per_quarter))
    end = int(score.measures[-1].end * per_quarter)
    end = max(end, int((notes.column("start") + notes.column("duration")).max()))
    keep = [at for at in range(len(edges)) if (edges[at + 1] if at + 1 < len(edges) else end) > edges[at]]
    return (
        np.array([*(edges[at] for at in keep), end], dtype=np.int64),
        np.array([level[at] for at in keep], dtype=np.int64),
        np.array([measures[at] for at in keep], dtype=np.int64),
        np.array([units[at] for at in keep]),
    )


def _amounts(
    notes: NoteTable, ends: Ticks, roles: tuple[str, ...], edges: Ticks, unit: npt.NDArray[np.float64]
) -> tuple[Amounts, Amounts, Amounts]:
    starts = notes.column("start")
    count = len(edges) - 1
    sounding, foreign, bass = np.zeros((count, 12)), np.zeros((count, 12)), np.zeros((count, 12))
    pitch_class = (notes.chromatic % 12).tolist()
    cost = [FOREIGN_COST[role] for role in roles]
    worth = [PEDAL_WORTH if role == "pedal point" else 1.0 for role in roles]
    first = np.searchsorted(edges, starts, side="right") - 1
    last = np.searchsorted(edges, ends, side="left")
    edge, units, begin, finish = edges.tolist(), unit.tolist(), starts.tolist(), ends.tolist()
    for row, (low, high) in enumerate(zip(first.tolist(), last.tolist(), strict=True)):
        for cell in range(max(low, 0), min(high, count)):
            amount = (min(finish[row], edge[cell + 1]) - max(begin[row], edge[cell])) / units[cell]
            sounding[cell, pitch_class[row]] += amount * worth[row]
            foreign[cell, pitch_class[row]] += amount * worth[row] * cost[row]
    _add_bass(notes, ends, edges, unit, bass, worth)
    return sounding, foreign, bass


def _add_bass(
    notes: NoteTable, ends: Ticks, edges: Ticks, unit: npt.NDArray[np.float64], bass: Amounts, worth: list[float]
) -> None:
    """Add the beats for which each pitch class is the lowest note that sounds."""
    starts = notes.column("start")
    times = np.unique(np.concatenate([starts, ends, edges]))
    lowest = np.full(len(times) - 1, 1_000, dtype=np.int64)
    first, last = np.searchsorted(times, starts), np.searchsorted(times, ends)
    stays = np.zeros(len(times) - 1, dtype=bool)
    for low, high, pitch, own in zip(first.tolist(), last.tolist(), notes.chromatic.tolist(), worth, strict=True):
        stays[low:high] = np.where(lowest[low:high] > pitch, own < 1, stays[low:high])
        np.minimum(lowest[low:high], pitch, out=lowest[low:high])
    cells = np.searchsorted(edges, times[:-1], side="right") - 1
    heard = (lowest < 1_000) & (cells >= 0) & (cells < len(bass))
    share = np.where(stays, PEDAL_WORTH, 1.0)
    np.add.at(bass, (cells[heard], lowest[heard] % 12), (share * np.diff(times))[heard] / unit[cells[heard]])
