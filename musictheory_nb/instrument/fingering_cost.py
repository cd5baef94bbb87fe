"""What a fingering costs: one table of stated costs (`FingeringCost`), and the cost of one note and of one move.

The unit is half of what it takes to begin a shift of the hand with time to spare; the values are a judgement of ours, made
so that fingerings which teachers print come out (they are in the tests), and each can be changed.

Cost of a note: its stretch, the little finger, the open string, and how far the position is from the hand's home.
Cost of a move to the next note: shift + finger + strings, times the hurry.

- A shift costs `shift` and `shift_half_step` for each half step that the hand moves; times `free_hand` after an open
  string or a rest; times `guide_finger` when one finger slides along one string.
- `same_finger` is paid, without a shift or a rest, when the finger that has just stopped a note stops another place,
  or another finger the same place.
- `string_crossing` is paid for the next string, and `string_skip` more for each string passed over.
- The hurry is 1 when at least `fast_seconds` pass from note to note; else it grows as they shrink, to `fast_limit`.

Nothing is paid for moving while an open string is sounded: the hand stays where it was until the next stopped note.
"""

from dataclasses import dataclass, field, fields
from math import isfinite
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import InstrumentError

#: Whether open strings are used, with what each choice means.
OPEN_STRINGS: Final = MappingProxyType(
    {
        "allow": "used where they save more than they cost (default)",
        "prefer": "cost nothing",
        "avoid": "cost four times as much",
        "never": "every note is stopped: closed position",
    }
)
_AVOID_FACTOR: Final = 4


def _row(value: float, meaning: str) -> float:
    """One row of the table: its value, and what it is."""
    return field(default=value, metadata={"meaning": meaning})


@dataclass(frozen=True, slots=True)
class FingeringCost:
    """The table of costs; each is a number from 0 up. `cost_table` prints it with what each row means.

    Raises
    ------
    InstrumentError
        A cost is no number from 0 up.

    Examples
    --------
    >>> FingeringCost().shift, FingeringCost(shift=5).shift
    (2.0, 5)
    >>> FingeringCost(stretch=-1)
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: cost stretch -1: must be a number from 0 up
    """

    shift: float = _row(2.0, "a shift of the hand, however small")
    shift_half_step: float = _row(0.5, "each half step that the hand shifts")
    free_hand: float = _row(0.5, "factor of a shift after an open string or a rest")
    guide_finger: float = _row(0.75, "factor of a shift in which one finger slides along one string")
    same_finger: float = _row(1.5, "one finger on two different places running, or two fingers on the same place")
    string_crossing: float = _row(0.3, "going to the next string")
    string_skip: float = _row(0.6, "each string passed over")
    stretch: float = _row(1.5, "a finger that leaves the hand's frame, for each weight of the hand's table")
    little_finger: float = _row(0.1, "a note of the fourth finger")
    open_string: float = _row(
        0.4, "a note of an open string, which cannot be shaded or stopped from ringing by the finger"
    )
    from_home: float = _row(0.06, "each half step of the position from the hand's home, for a stopped note")
    fast_seconds: float = _row(0.25, "time to the next note under which hurry begins, in seconds")
    fast_limit: float = _row(4.0, "largest factor of hurry")
    hard_spot: float = _row(3.0, "cost of a note with the move to it from which it is marked as hard")

    def __post_init__(self) -> None:
        for row in fields(self):
            value = getattr(self, row.name)
            if isinstance(value, bool) or not isinstance(value, int | float) or not (isfinite(value) and value >= 0):
                raise InstrumentError(f"cost {row.name} {value!r}: must be a number from 0 up")
        if self.fast_limit < 1:
            raise InstrumentError(f"cost fast_limit {self.fast_limit!r}: must be 1 or more")

    def hurry(self, seconds: float) -> float:
        """Factor of a move for which so many seconds are left.

        Examples
        --------
        >>> FingeringCost().hurry(1.0), FingeringCost().hurry(0.125), FingeringCost().hurry(0)
        (1.0, 2.0, 4.0)
        """
        if seconds >= self.fast_seconds:
            return 1.0
        return min(self.fast_limit, self.fast_seconds / seconds) if seconds > 0 else self.fast_limit


def cost_table(costs: FingeringCost | None = None) -> tuple[tuple[str, float, str], ...]:
    """Name, value and meaning of every row of the table.

    Examples
    --------
    >>> cost_table()[0]
    ('shift', 2.0, 'a shift of the hand, however small')
    """
    held = costs or FingeringCost()
    return tuple((row.name, getattr(held, row.name), row.metadata["meaning"]) for row in fields(held))


class Stop(NamedTuple):
    """One way to sound a note.

    Parameters
    ----------
    string, fret : int
        Number of the string; half steps above the nut.
    finger : int
        1 to 4; 0 for an open string.
    position : int
        Where the hand is, in half steps above the nut.
    stretch : int
        Weight of the finger's stretch.
    """

    string: int
    fret: int
    finger: int
    position: int
    stretch: int


class MoveCost(NamedTuple):
    """Parts of the cost of a move, before hurry."""

    shift: float
    finger: float
    strings: float


def note_cost(stop: Stop, costs: FingeringCost, open_strings: str = "allow", home: int = 1) -> float:
    """Cost of sounding one note so, the move to it left out.

    Parameters
    ----------
    home : int
        Position that the hand is at home in.

    Examples
    --------
    >>> table = FingeringCost()
    >>> note_cost(Stop(4, 3, 2, 2, 0), table), note_cost(Stop(4, 0, 0, 2, 0), table), note_cost(Stop(4, 6, 4, 1, 1), table)
    (0.06, 0.4, 1.6)
    """
    if not stop.finger:
        factor = {"prefer": 0, "avoid": _AVOID_FACTOR}.get(open_strings, 1)
        return costs.open_string * factor
    little = costs.little_finger if stop.finger == 4 else 0.0
    return costs.stretch * stop.stretch + little + costs.from_home * abs(stop.position - home)


def move_cost(before: Stop, after: Stop, costs: FingeringCost, rested: bool = False) -> MoveCost:
    """Cost of going from one note to the next, in its parts, without hurry.

    Parameters
    ----------
    rested : bool
        Whether a rest lies between.

    Examples
    --------
    >>> table = FingeringCost()
    >>> tuple(move_cost(Stop(4, 3, 2, 2, 0), Stop(3, 2, 1, 2, 0), table))
    (0.0, 0.0, 0.3)
    >>> tuple(move_cost(Stop(4, 3, 2, 2, 0), Stop(4, 8, 2, 7, 0), table))
    (3.375, 0.0, 0.0)
    >>> tuple(move_cost(Stop(4, 0, 0, 2, 0), Stop(2, 8, 2, 7, 0), table))
    (2.25, 0.0, 0.8999999999999999)
    """
    apart = abs(before.string - after.string)
    strings = costs.string_crossing + costs.string_skip * (apart - 1) if apart else 0.0
    distance = abs(before.position - after.position)
    if distance:
        shift = costs.shift + costs.shift_half_step * distance
        if rested or not before.finger:
            shift *= costs.free_hand
        elif before.finger == after.finger and not apart:
            shift *= costs.guide_finger
        return MoveCost(shift, 0.0, strings)
    if rested or not before.finger or not after.finger:
        return MoveCost(0.0, 0.0, strings)
    same_place = before.string == after.string and before.fret == after.fret
    if (before.finger == after.finger) != same_place:
        return MoveCost(0.0, costs.same_finger, strings)
    return MoveCost(0.0, 0.0, strings)
