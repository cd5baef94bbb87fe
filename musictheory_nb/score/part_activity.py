"""What each part plays in each measure: its notes, and how much of the measure it sounds (`part_activity`)."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.score import Score

#: Ticks from the measure's start, ticks long, pitch (MIDI number; -1 for unpitched).
Event: TypeAlias = tuple[int, int, int]


@dataclass(frozen=True, eq=False)
class PartActivity:
    """What each part plays, measure by measure.

    Parameters
    ----------
    events : tuple of tuple of tuple
        Notes by part and measure, grace notes left out; tied ones one by one.
    share : array, parts by measures
        Share of the measure, from 0 to 1, in which the part sounds.
    ticks_per_quarter : int
        Unit of the events.
    """

    events: tuple[tuple[tuple[Event, ...], ...], ...]
    share: npt.NDArray[np.float64]
    ticks_per_quarter: int

    @property
    def plays(self) -> npt.NDArray[np.bool_]:
        """Whether the part plays in the measure at all, parts by measures."""
        return self.share > 0


def part_activity(score: Score) -> PartActivity:
    r"""Return what each part of `score` plays in each measure, as written.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nCz|z2|\n", cache=False)
    >>> part_activity(tune).share.tolist()
    [[0.5, 0.0]]
    """
    table = score.notes
    notes = table.where(table.column("grace") == 0)
    per_quarter = notes.ticks_per_quarter
    rows: list[list[list[Event]]] = [[[] for _ in score.measures] for _ in score.parts]
    pitched = notes.column("step") >= 0
    pitches = np.where(pitched, notes.chromatic, -1).tolist()
    columns = (notes.column(name).tolist() for name in ("part", "measure", "onset", "duration"))
    for part, measure, onset, duration, pitch in zip(*columns, pitches, strict=True):
        rows[part][measure].append((onset, duration, pitch))
    share = np.zeros((len(score.parts), len(score.measures)))
    lengths = [max(int(measure.length * per_quarter), 1) for measure in score.measures]
    for part, measures in enumerate(rows):
        for measure, events in enumerate(measures):
            events.sort()
            share[part, measure] = min(_covered(events) / lengths[measure], 1.0)
    table_of_events = tuple(tuple(tuple(events) for events in measures) for measures in rows)
    return PartActivity(table_of_events, share, per_quarter)


def _covered(events: Sequence[Event]) -> int:
    """Return the ticks in which at least one note sounds."""
    total = end = 0
    for onset, duration, _ in events:
        stop = onset + duration
        if stop > end:
            total += stop - max(onset, end)
            end = stop
    return total


def runs(values: Sequence[object]) -> list[tuple[int, int]]:
    """Return the first and last index of each run of equal values.

    Examples
    --------
    >>> runs("aab")
    [(0, 1), (2, 2)]
    """
    found: list[tuple[int, int]] = []
    for at, value in enumerate(values):
        if found and values[at - 1] == value:
            found[-1] = (found[-1][0], at)
        else:
            found.append((at, at))
    return found
