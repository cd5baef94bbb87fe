"""Why a note of a fingered line is hard, in words, and the stretches of a line that are (`HardSpot`)."""

from collections.abc import Iterable
from dataclasses import dataclass

from musictheory_nb.instrument.fingering_cost import FingeringCost, MoveCost, Stop
from musictheory_nb.instrument.hand import Hand
from musictheory_nb.instrument.tuning import Tuning

_COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


@dataclass(frozen=True, slots=True)
class HardSpot:
    """Neighbouring notes that are hard to play.

    Parameters
    ----------
    first, last : int
        Indices in the line, from 0; the first is the note that is left for the first hard one.
    reasons : tuple of str
        In words, each once.
    cost : float
        What the hard notes and the moves to them cost.
    """

    first: int
    last: int
    reasons: tuple[str, ...]
    cost: float


def counted(number: int, thing: str) -> str:
    """Number and thing in words.

    Examples
    --------
    >>> counted(1, "half step"), counted(5, "half step"), counted(14, "half step")
    ('one half step', 'five half steps', '14 half steps')
    """
    word = _COUNTS[number] if number < len(_COUNTS) else str(number)
    return f"{word} {thing}" if number == 1 else f"{word} {thing}s"


def reasons_of(
    before: Stop | None, after: Stop, move: MoveCost, seconds: float, costs: FingeringCost, tuning: Tuning, hand: Hand
) -> tuple[str, ...]:
    """What makes a note cost more than sounding it, in words; empty where nothing does.

    Examples
    --------
    >>> from musictheory_nb.instrument.hand import hand
    >>> from musictheory_nb.instrument.fingering_cost import move_cost
    >>> low, high, table = Stop(4, 3, 2, 2, 0), Stop(2, 12, 4, 9, 0), FingeringCost()
    >>> reasons_of(low, high, move_cost(low, high, table), 0.1, table, Tuning("bass guitar"), hand("one finger a fret"))
    ('the hand shifts up seven half steps, from position 2 to position 9', 'one string is passed over', 'it is fast: 0.10 seconds from note to note')
    """
    found = []
    if before is not None and move.shift:
        distance = after.position - before.position
        way = "up" if distance > 0 else "down"
        names = f"from {hand.position_name(before.position)} to {hand.position_name(after.position)}"
        found.append(f"the hand shifts {way} {counted(abs(distance), 'half step')}, {names}")
    if before is not None and move.finger:
        old, new = tuning.string_name(before.string), tuning.string_name(after.string)
        if before.finger != after.finger:
            found.append(f"finger {after.finger} takes the place of finger {before.finger}")
        elif before.string != after.string:
            found.append(f"finger {after.finger} goes from the {old} to the {new}")
        else:
            found.append(f"finger {after.finger} slides along the {new}")
    if before is not None and (passed := abs(before.string - after.string) - 1) > 0:
        found.append(f"{counted(passed, 'string')} {'is' if passed == 1 else 'are'} passed over")
    if after.stretch:
        found.append(f"finger {after.finger} stretches out of the hand's frame")
    if found and before is not None and seconds < costs.fast_seconds:
        found.append(f"it is fast: {seconds:.2f} seconds from note to note")
    return tuple(found)


def merged_spots(hard: Iterable[tuple[int, int, tuple[str, ...], float]]) -> tuple[HardSpot, ...]:
    """Spots from hard notes, given as (note before, note, reasons, cost); those that touch are one.

    Examples
    --------
    >>> merged_spots([(0, 1, ("a shift",), 3.0), (1, 2, ("a stretch",), 4.0), (7, 8, ("a shift",), 3.5)])
    (HardSpot(first=0, last=2, reasons=('a shift', 'a stretch'), cost=7.0), HardSpot(first=7, last=8, reasons=('a shift',), cost=3.5))
    """
    spots: list[HardSpot] = []
    for first, last, reasons, cost in hard:
        if spots and first <= spots[-1].last:
            joined = tuple(dict.fromkeys((*spots[-1].reasons, *reasons)))
            spots[-1] = HardSpot(spots[-1].first, last, joined, spots[-1].cost + cost)
        else:
            spots.append(HardSpot(first, last, reasons, cost))
    return tuple(spots)
