"""Full bars of a score as the units of form: halves of a split bar joined, a pickup given to the bar that it leads to.

Conventions: form is counted in full bars. A short measure that the next one completes (a bar split by a repeat sign, a
last bar and the pickup that follows it) is one unit with it; any other pickup belongs to the unit after it. Where
music is split so, a section begins at its first full bar, and its pickup is told apart.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from musictheory_nb.score.measure import Measure

#: A short measure that is not marked as a pickup is taken for one up to this share of the full bar.
_PICKUP_SHARE: Final = Fraction(2, 5)


@dataclass(frozen=True, slots=True)
class BarUnit:
    """One full bar.

    Parameters
    ----------
    index : int
        Place among the units, from 0.
    first, last : int
        Indices of the measures that stand in it, both included; a pickup before its first beat is among them.
    bar : int
        Index of the measure that its first beat stands in.
    start : Fraction
        Quarters from the start of the score to its first beat.
    length : Fraction
        Quarters from there to its end.
    full : Fraction
        Quarters that its metre asks for; `length` where there is no metre.
    pickup : int
        Index of the measure, whole and short, that leads to this bar, -1 for none; it may stand in the unit before.
    """

    index: int
    first: int
    last: int
    bar: int
    start: Fraction
    length: Fraction
    full: Fraction
    pickup: int

    @property
    def worth(self) -> int:
        """How many full bars it is worth, at least 1."""
        return max(1, round(self.length / self.full)) if self.full else 1


def bar_units(measures: Sequence[Measure]) -> tuple[BarUnit, ...]:
    r"""Return the full bars that measures make, in the order given.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:3/4\nL:1/4\nK:C\nG|:cde|c2:|\n", cache=False).played()
    >>> [(unit.bar, unit.length) for unit in bar_units(tune.measures)]
    [(1, Fraction(3, 1)), (2, Fraction(2, 1)), (3, Fraction(3, 1)), (4, Fraction(2, 1))]
    """
    rows: list[list[int]] = []  # measures of each unit
    beats: list[int] = []  # the measure of its first beat
    waiting: list[int] = []  # pickups that belong to the next unit
    for at in range(len(measures)):
        if rows and not waiting and _completes(measures, rows[-1], beats[-1], at):
            rows[-1].append(at)
        elif _is_pickup(measures, at):
            waiting.append(at)
        else:
            rows.append([*waiting, at])
            beats.append(at)
            waiting = []
    if waiting and rows:
        rows[-1] += waiting
    elif waiting:
        rows.append(waiting)
        beats.append(waiting[0])
    found = []
    for index, (row, beat) in enumerate(zip(rows, beats, strict=True)):
        leads = beat - 1 if beat and measures[beat - 1].length < measures[beat - 1].full_length else -1
        if leads >= 0 and leads in beats and not (measures[leads].is_pickup or measures[leads].continues):
            leads = -1  # a bar of its own, short at the end of a section
        length = measures[row[-1]].end - measures[beat].start
        found.append(
            BarUnit(index, row[0], row[-1], beat, measures[beat].start, length, measures[beat].full_length, leads)
        )
    return tuple(found)


def _completes(measures: Sequence[Measure], row: Sequence[int], beat: int, at: int) -> bool:
    """Whether measure `at` fills the bar that the unit began."""
    measure, full = measures[at], measures[beat].full_length
    inside = measures[row[-1]].end - measures[beat].start
    return inside < full and measure.length < measure.full_length and inside + measure.length <= full


def _is_pickup(measures: Sequence[Measure], at: int) -> bool:
    measure = measures[at]
    if measure.length >= measure.full_length or at + 1 >= len(measures):
        return False
    return measure.is_pickup or (
        measure.length <= _PICKUP_SHARE * measure.full_length and not _next_fills(measures, at)
    )


def _next_fills(measures: Sequence[Measure], at: int) -> bool:
    measure, after = measures[at], measures[at + 1]
    return after.length < after.full_length and measure.length + after.length == measure.full_length
