"""How far a line that was answered is from the line that was asked for, in slips, and what became of each note.

The distance is an edit distance: the least that turns one line into the other. One slip costs one slip, whatever follows
it: a missed note, an extra note, a wrong pitch, a wrong length. A slip in the middle of a measure has to be made good in
time elsewhere in it; so that it is not counted twice, three moves join what belongs together:

* one note in the place of two that last as long together: one note was missed, and its time went to the other;
* two notes in the place of one that lasts as long as both: one note is extra;
* two notes that last as long together as the two asked for: the second begins too early or too late.

Notes
-----
The first two are the consolidation and fragmentation of M. Mongeau and D. Sankoff, "Comparison of musical sequences",
Computers and the Humanities 24 (1990), pp. 161-175; the others the classic moves of edit distance. The third is ours.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from math import lcm
from typing import Final

#: What can be wrong, in the words of feedback.
SLIPS: Final = ("missed", "extra", "pitch", "spelling", "length", "moved")


@dataclass(frozen=True, slots=True)
class LineNote:
    """One note or rest of a line.

    Parameters
    ----------
    pitch : str
        What sounds: a pitch, a chord symbol, or anything that can be compared; empty for a rest.
    quarters : Fraction
        How long.
    onset : Fraction
        In quarters from the beginning of the line.
    """

    pitch: str
    quarters: Fraction
    onset: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class SlipCosts:
    """What each kind of slip costs; a note of wrong pitch and wrong length costs both."""

    pitch: float = 1.0
    length: float = 1.0
    missed: float = 1.0
    extra: float = 1.0


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip.

    Parameters
    ----------
    kind : str
        One of `SLIPS`; ``'spelling'`` is a pitch that is partly right, ``'moved'`` a note that begins too early or late.
    right, given : LineNote or None
        The note asked for (None for an extra one) and the note answered (None for a missed one).
    cost : float
        What it costs.
    """

    kind: str
    right: LineNote | None
    given: LineNote | None
    cost: float


@dataclass(frozen=True, slots=True)
class Alignment:
    """Two lines note against note.

    Parameters
    ----------
    pairs : tuple of (int or None, int or None)
        Indices into the line asked for and into the answer that stand against each other, in order.
    slips : tuple of Slip
        In order.
    cost : float
        Their sum: the distance.
    """

    pairs: tuple[tuple[int | None, int | None], ...]
    slips: tuple[Slip, ...]
    cost: float

    def score(self, notes: int) -> float:
        """Return 1 less the share of slips among `notes` notes and rests asked for, 0 at least."""
        return max(0.0, 1.0 - self.cost / notes)


def differs(right: str, given: str) -> float:
    """Return 1 for different pitches, 0 for the same: the plainest comparison."""
    return float(right != given)


def line_notes(notes: Sequence[tuple[str, Fraction]]) -> tuple[LineNote, ...]:
    """Return (pitch, quarters) in time order with their onsets; rests that follow each other are one, the last none.

    Examples
    --------
    >>> half = Fraction(1, 2)
    >>> [(note.pitch, str(note.onset)) for note in line_notes([("C4", half), ("", half), ("", half), ("D4", half)])]
    [('C4', '0'), ('', '1/2'), ('D4', '3/2')]
    """
    found: list[LineNote] = []
    at = Fraction(0)
    for pitch, quarters in notes:
        if not pitch and found and not found[-1].pitch:
            found[-1] = LineNote("", found[-1].quarters + quarters, found[-1].onset)
        else:
            found.append(LineNote(pitch, quarters, at))
        at += quarters
    return tuple(found[:-1] if found and not found[-1].pitch else found)


#: The moves by their names: how many notes of the line asked for and of the answer each takes; what is preferred first.
_MOVES: Final = (
    ("pair", (1, 1)),
    ("two for two", (2, 2)),
    ("one for two", (2, 1)),
    ("two for one", (1, 2)),
    ("missed", (1, 0)),
    ("extra", (0, 1)),
)


class _Table:
    """What the moves cost; lengths are whole numbers of ticks here, which compare fast."""

    def __init__(
        self,
        right: Sequence[LineNote],
        given: Sequence[LineNote],
        costs: SlipCosts,
        difference: Callable[[str, str], float],
    ) -> None:
        self.right, self.given, self.costs = right, given, costs
        ticks = lcm(*(note.quarters.denominator for note in (*right, *given)))
        self.lengths = tuple([int(note.quarters * ticks) for note in line] for line in (right, given))
        known = {(a, b): difference(a, b) for a in {n.pitch for n in right} for b in {n.pitch for n in given}}
        self.apart = [[known[one.pitch, other.pitch] for other in given] for one in right]

    def cost(self, move: str, i: int, j: int) -> float | None:
        """Return what a move costs that ends before note `i` and answered note `j`; None where it cannot be made."""
        costs, apart, (rights, givens) = self.costs, self.apart, self.lengths
        if move == "pair":
            return costs.pitch * apart[i - 1][j - 1] + (costs.length if rights[i - 1] != givens[j - 1] else 0.0)
        if move == "missed":
            return costs.missed
        if move == "extra":
            return costs.extra
        if move == "two for two":
            if rights[i - 2] + rights[i - 1] != givens[j - 2] + givens[j - 1]:
                return None
            return costs.length + costs.pitch * (apart[i - 2][j - 2] + apart[i - 1][j - 1])
        if move == "one for two":
            if rights[i - 2] + rights[i - 1] != givens[j - 1]:
                return None
            return costs.missed + costs.pitch * min(apart[i - 2][j - 1], apart[i - 1][j - 1])
        if rights[i - 1] != givens[j - 2] + givens[j - 1]:
            return None
        return costs.extra + costs.pitch * min(apart[i - 1][j - 2], apart[i - 1][j - 1])

    def made(self, move: str, i: int, j: int) -> tuple[list[tuple[int | None, int | None]], list[Slip]]:
        """Return the pairs and the slips of a move."""
        if move == "pair":
            return [(i - 1, j - 1)], [*self._pitch(i - 1, j - 1), *self._length(i - 1, j - 1)]
        if move == "two for two":
            moved = Slip("moved", self.right[i - 1], self.given[j - 1], self.costs.length)
            slips = [*self._pitch(i - 2, j - 2), moved, *self._pitch(i - 1, j - 1)]
            return [(i - 2, j - 2), (i - 1, j - 1)], slips
        if move in ("missed", "extra"):
            return self._alone(move, i - 1 if move == "missed" else j - 1)
        two = (i - 2, i - 1) if move == "one for two" else (j - 2, j - 1)
        told = [(at, j - 1) if move == "one for two" else (i - 1, at) for at in two]
        kept = 0 if self.apart[told[0][0]][told[0][1]] <= self.apart[told[1][0]][told[1][1]] else 1
        halves = [self._alone("missed" if move == "one for two" else "extra", at) for at in two]
        halves[kept] = [told[kept]], list(self._pitch(*told[kept]))
        return halves[0][0] + halves[1][0], halves[0][1] + halves[1][1]

    def _alone(self, kind: str, at: int) -> tuple[list[tuple[int | None, int | None]], list[Slip]]:
        if kind == "missed":
            return [(at, None)], [Slip("missed", self.right[at], None, self.costs.missed)]
        return [(None, at)], [Slip("extra", None, self.given[at], self.costs.extra)]

    def _pitch(self, i: int, j: int) -> tuple[Slip, ...]:
        part = self.apart[i][j]
        kind = "pitch" if part >= 1.0 else "spelling"
        return (Slip(kind, self.right[i], self.given[j], self.costs.pitch * part),) if part else ()

    def _length(self, i: int, j: int) -> tuple[Slip, ...]:
        right, given = self.right[i], self.given[j]
        return () if right.quarters == given.quarters else (Slip("length", right, given, self.costs.length),)


def align(
    right: Sequence[LineNote],
    given: Sequence[LineNote],
    costs: SlipCosts | None = None,
    difference: Callable[[str, str], float] = differs,
) -> Alignment:
    """Return the alignment of an answer with the line asked for that has the least cost.

    Among several, notes stand against each other rather than being missed or extra.

    Parameters
    ----------
    right : sequence of LineNote
        The line asked for.
    given : sequence of LineNote
        The answer.
    costs : SlipCosts, optional
        What slips cost; 1 each by default.
    difference : callable
        How far two pitches are apart, from 0 (the same) to 1.

    Examples
    --------
    >>> def line(text):
    ...     return line_notes([(name, Fraction(length)) for name, length in (part.split(":") for part in text.split())])
    >>> asked = line("C4:1 D4:1 E4:1/2 F4:1/2 G4:1")
    >>> align(asked, asked).cost, align(asked, line("C4:1 E4:1/2 F4:1/2 G4:1")).cost
    (0.0, 1.0)
    >>> [(slip.kind, slip.right.pitch) for slip in align(asked, line("C4:1 D4:3/2 F4:1/2 A4:1")).slips]
    [('missed', 'E4'), ('pitch', 'G4')]
    """
    if [(note.pitch, note.quarters) for note in right] == [(note.pitch, note.quarters) for note in given]:
        return Alignment(tuple((at, at) for at in range(len(right))), (), 0.0)
    return _aligned(tuple(right), tuple(given), costs or SlipCosts(), difference)


@lru_cache(maxsize=256)
def _aligned(
    right: tuple[LineNote, ...],
    given: tuple[LineNote, ...],
    costs: SlipCosts,
    difference: Callable[[str, str], float],
) -> Alignment:
    table = _Table(right, given, costs, difference)
    best: list[list[float]] = [[0.0] * (len(given) + 1) for _ in range(len(right) + 1)]
    came: dict[tuple[int, int], str] = {}
    for i in range(len(right) + 1):
        for j in range(len(given) + 1):
            least = None
            for move, (down, along) in _MOVES:
                if i < down or j < along or (cost := table.cost(move, i, j)) is None:
                    continue
                cost += best[i - down][j - along]
                if least is None or cost < least:
                    least, came[i, j] = cost, move
            best[i][j] = least or 0.0
    way = []
    i, j = len(right), len(given)
    taken = dict(_MOVES)
    while (i, j) != (0, 0):
        move = came[i, j]
        way.append(table.made(move, i, j))
        i, j = i - taken[move][0], j - taken[move][1]
    return Alignment(
        tuple(pair for pairs, _ in reversed(way) for pair in pairs),
        tuple(slip for _, slips in reversed(way) for slip in slips),
        best[len(right)][len(given)],
    )
