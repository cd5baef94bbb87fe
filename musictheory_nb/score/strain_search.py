"""Strains of a piece from its notes alone: where each begins and which are the same (`find_strains`).

Conventions: the bars are told as briefly as they can be. A strain is either new, and then each of its bars costs what
is new in it, or a copy of an earlier strain, and then it costs what differs; each further strain costs something, less
for the lengths that are usual (8, then 4 and 16 bars) and for a strain that is played twice in a row. Of all ways to
divide the piece the cheapest is taken (dynamic programming, with the best few ways kept at each bar). A copy may differ
in its second half (first and second endings) at little cost, and be a bar or two longer or shorter.

Costs are in bars; `SearchCost` holds them all.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.measure_likeness import Matrix


@dataclass(frozen=True, slots=True)
class Strain:
    """One strain: bars `start` to `end` (not included); `like` is the first strain with the same music, or itself."""

    start: int
    end: int
    like: int

    @property
    def length(self) -> int:
        """Number of its bars."""
        return self.end - self.start


@dataclass(frozen=True)
class SearchCost:
    """What a division of the bars into strains costs.

    Parameters
    ----------
    length : tuple of (int, float)
        For a strain of so many bars.
    even, odd : float
        For other lengths: a multiple of 4 or 2, and the rest.
    known : float
        Share of a new bar's cost that a like bar before it takes off.
    differs, unlike : float
        How much a difference counts in the first half of a copy, by bar: in proportion, and at once.
    ending, short : float
        How much it counts in the second half, and in the second half of a strain of up to four bars that ends the piece
        (there, two phrases of one strain are often alike in this way).
    longer : float
        For each bar by which a copy is longer or shorter.
    single : float
        For a new strain that is not played again at once.
    again : float
        For a strain played a third time in a row, and each further one.
    jump, back : float
        For going back to an earlier strain that is not the last one, and for going on from there in the same order.
    shrinks : float
        For a new strain of half as many bars as the one before, or fewer.
    """

    length: tuple[tuple[int, float], ...] = ((8, 1.0), (4, 1.2), (16, 1.2), (12, 2.4))
    four: float = 2.7
    even: float = 1.3
    odd: float = 2.4
    known: float = 0.12
    differs: float = 7.5
    unlike: float = 4.0
    ending: float = 0.8
    short: float = 4.0
    longer: float = 2.6
    single: float = 1.25
    again: float = 1.2
    jump: float = 1.9
    back: float = 0.3
    shrinks: float = 0.65

    def of_length(self, bars: int) -> float:
        """Return what a strain of so many bars costs."""
        for known, cost in self.length:
            if bars == known:
                return cost
        return self.four if bars % 4 == 0 else self.even if bars % 2 == 0 else self.odd


#: Longest strain that is looked for, in bars, and how many ways are kept at each bar.
LONGEST: Final = 32
_KEPT: Final = 24
#: Below this likeness two bars are not the same.
_SAME: Final = 0.95
_SHORT: Final = 4
#: By how many bars a copy may be longer or shorter.
_NEAR: Final = 2


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to divide the first bars; strains as (start, length, first strain alike)."""

    cost: float
    strains: tuple[tuple[int, int, int], ...]
    run: int  # how often the last strain has been played in a row; 0 for one that went back
    before: "_OpenWay | None" = None


def find_strains(likeness: Matrix, sizes: Sequence[int] = (), cost: SearchCost | None = None) -> tuple[Strain, ...]:
    """Return the strains of a piece from how alike its bars are.

    Parameters
    ----------
    likeness : square array
        From 0 to 1 for each pair of bars.
    sizes : sequence of int
        How many full bars each one is worth, where not all are worth 1.
    cost : SearchCost, optional
        Other costs than the usual ones.

    Examples
    --------
    >>> bars = [*range(8)] * 2 + [*range(20, 28)]
    >>> same = np.array([[float(one == other) for one in bars] for other in bars], dtype=np.float32)
    >>> [(strain.start, strain.end, strain.like) for strain in find_strains(same)]
    [(0, 8, 0), (8, 16, 0), (16, 24, 2)]
    """
    count = len(likeness)
    if count == 0:
        return ()
    cost = cost or SearchCost()
    differs = _Differences(likeness, cost)
    ways: list[list[_Way]] = [[] for _ in range(count + 1)]
    ways[0] = [_Way(0.0, (), 0)]
    lengths = range(min(2, count), min(LONGEST, count) + 1)
    length_cost = [cost.of_length(length) for length in range(2 * count + LONGEST + 1)]
    worth = [0]
    for at in range(count):
        worth.append(worth[-1] + (min(max(sizes[at], 1), 2) if sizes else 1))
    for at in range(count):
        open_ways = [_OpenWay(way, cost) for way in _best(ways[at])]
        if not open_ways:
            continue
        copies = differs.copies({strain for one in open_ways for strain in one.way.strains}, at)
        for length in lengths:
            if at + length > count or 0 < count - at - length < 2:
                continue
            costs = length_cost[worth[at + length] - worth[at]]
            ways[at + length] += _steps(open_ways, at, length, costs, differs, copies)
    best = min(_best(ways[count]), key=lambda way: way.cost + (cost.single if way.run == 1 else 0.0))
    return tuple(Strain(start, start + length, like) for start, length, like in best.strains)


def _best(ways: list[_Way]) -> list[_Way]:
    """Return the cheapest ways, one for each last strain."""
    found: dict[tuple[object, ...], _Way] = {}
    for way in sorted(ways, key=lambda each: each.cost):
        key = (way.strains[-1][:2] if way.strains else (), way.run)
        if key not in found:
            found[key] = way
            if len(found) >= _KEPT:
                break
    return list(found.values())


class _OpenWay:
    """A way that can go on, and what going on costs however long the next strain is."""

    def __init__(self, way: _Way, cost: SearchCost) -> None:
        self.way = way
        self.single = cost.single if way.run == 1 else 0.0
        self.shrinks_up_to = way.strains[-1][1] // 2 if way.strains else 0
        self.last = way.strains[-1][2] if way.strains else -1
        self.again = way.run + 1 if way.run else 2
        again = cost.again if self.again > 2 else 0.0
        after = _following(way.strains, self.last) if way.strains and way.run == 0 else -1
        #: What it costs to play a strain again: the last one, the one that came after it, another one.
        self.extra = {self.last: again}
        if after != self.last:
            self.extra[after] = cost.back + self.single
        self.jump = cost.jump + self.single
        #: For each length the strains that it may copy, the latest of each kind first: (start, length, like).
        self.copies: dict[int, list[tuple[int, int, int]]] = {}
        if way.before is not None:
            newest = way.strains[-1]
            _, size, like = newest
            self.copies = way.before.copies.copy()
            for length in range(size - _NEAR, size + _NEAR + 1):
                others = [one for one in self.copies.get(length, ()) if one[2] != like]
                self.copies[length] = [newest, *others]


def _steps(
    ways: Sequence[_OpenWay],
    at: int,
    length: int,
    costs: float,
    differs: "_Differences",
    copies: Mapping[tuple[int, int, int], Sequence[float]],
) -> list[_Way]:
    """Return the ways that go on with a strain of `length` bars: new, the last one again, an earlier one.

    Of those that end in the same run of the strain only the cheapest, as no other would be kept.
    """
    new_bars, shrinks, again = differs.new(at, length), differs.cost.shrinks, differs.cost.again
    cheapest: dict[int, tuple[float, int, _OpenWay, int]] = {}
    order = 0
    for one in ways:
        base = one.way.cost + costs
        new = base + one.single + new_bars
        if length <= one.shrinks_up_to:
            new += shrinks
        order += 1
        if 1 not in cheapest or new < cheapest[1][0]:
            cheapest[1] = (new, order, one, len(one.way.strains))
        most = new + again
        for strain in one.copies.get(length, ()):
            order += 1
            like = strain[2]
            run = one.again if like == one.last else 0
            extra = one.extra.get(like, one.jump)
            total = base + (copies[strain][length - strain[1] + _NEAR] + extra)
            if total < most and (run not in cheapest or total < cheapest[run][0]):
                cheapest[run] = (total, order, one, like)
    found = sorted((order, total, one, like, run) for run, (total, order, one, like) in cheapest.items())
    return [_Way(total, (*one.way.strains, (at, length, like)), run, one) for _, total, one, like, run in found]


def _following(strains: Sequence[tuple[int, int, int]], like: int) -> int:
    """Return the strain that came after strain `like` the first time, its repeats aside; -1 for none."""
    return next((other for _, _, other in strains[like:] if other != like), -1)


class _Differences:
    """Sums of what is new in bars and of what differs between spans."""

    def __init__(self, likeness: Matrix, cost: SearchCost) -> None:
        count = len(likeness)
        before = np.tril(likeness, -1).max(axis=1) if count > 1 else np.zeros(count)
        self._new = np.concatenate([[0.0], np.cumsum(1 - cost.known * before)]).tolist()
        apart = 1 - likeness.astype(np.float64)
        self._first = _along_diagonals(cost.differs * apart + cost.unlike * (likeness < _SAME))
        self._apart = _along_diagonals(apart)
        self.cost = cost

    def new(self, at: int, length: int) -> float:
        return float(self._new[at + length] - self._new[at])

    def copies(self, strains: Collection[tuple[int, int, int]], at: int) -> dict[tuple[int, int, int], list[float]]:
        """Return what it costs that each of `strains` (start, length, first alike) comes again at `at`.

        Of so many bars as it has and `_NEAR` fewer up to `_NEAR` more; infinite where the piece ends before.
        """
        if not strains:
            return {}
        count = len(self._new) - 1
        start, size, _ = np.array(list(strains), dtype=np.int64).T[:, :, None]
        length = size + np.arange(-_NEAR, _NEAR + 1)[None, :]
        fits = at + length <= count
        shared = np.where(fits, np.minimum(size, length), 0)
        half = (shared + 1) // 2
        first, apart = self._first, self._apart
        short = (at + length == count) & (shared <= _SHORT)
        weight = np.where(short, self.cost.short, self.cost.ending)
        cost = first[start + half, at + half] - first[start, at]
        cost += weight * (apart[start + shared, at + shared] - apart[start + half, at + half])
        cost += self.cost.longer * np.abs(size - length)
        return dict(zip(strains, np.where(fits, cost, np.inf).tolist(), strict=True))


def _along_diagonals(values: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Return sums of values along diagonals: the one at (a, b) is up to, and without, (a, b)."""
    count = len(values)
    sums = np.zeros((count + 1, count + 1))
    for at in range(count):
        sums[at + 1, 1:] = sums[at, :-1] + values[at]
    return sums
