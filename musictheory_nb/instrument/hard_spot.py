"""Why a note of a fingered line is hard, in words, and the stretches of a line that are (`HardSpot`)."""

from collections.abc import Iterable
from dataclasses import dataclass

from musictheory_nb.instrument.fingering_cost import MoveCost, Stop
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


def reasons_of(before: Stop | None, after: Stop, move: MoveCost, tuning: Tuning, hand: Hand) -> tuple[str, ...]:
    """What makes a note cost more than sounding it, in words; empty where nothing does.

    Examples
    --------
    >>> from musictheory_nb.instrument.hand import hand
    >>> from musictheory_nb.instrument.fingering_cost import FingeringCost, move_cost
    >>> low, high = Stop(4, 3, 2, 2, 0), Stop(2, 12, 4, 9, 0)
    >>> reasons_of(low, high, move_cost(low, high, FingeringCost()), Tuning("bass guitar"), hand("one finger a fret"))
    ('the hand shifts up seven half steps, from position 2 to position 9', 'one string is passed over')
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
    return tuple(found)


@dataclass(frozen=True, slots=True)
class HardNote:
    """A hard note: the index of the one before it, its own, the reasons, its cost, and the seconds between the two."""

    before: int
    index: int
    reasons: tuple[str, ...]
    cost: float
    seconds: float


def merged_spots(hard: Iterable[HardNote], fast_seconds: float) -> tuple[HardSpot, ...]:
    """Spots from hard notes in their order; those that touch are one. Where it is fast, that is the last reason.

    Examples
    --------
    >>> merged_spots([HardNote(0, 1, ("a shift",), 3.0, 1), HardNote(1, 2, ("a stretch",), 4.0, 0.1)], fast_seconds=0.25)
    (HardSpot(first=0, last=2, reasons=('a shift', 'a stretch', 'it is fast: 0.10 seconds from note to note'), cost=7.0),)
    """
    groups: list[list[HardNote]] = []
    for note in hard:
        if groups and note.before <= groups[-1][-1].index:
            groups[-1].append(note)
        else:
            groups.append([note])
    spots = []
    for group in groups:
        shortest = min((note.seconds for note in group if note.before < note.index), default=fast_seconds)
        fast = (f"it is fast: {shortest:.2f} seconds from note to note",) if shortest < fast_seconds else ()
        reasons = dict.fromkeys(reason for note in group for reason in note.reasons)
        cost = sum(note.cost for note in group)
        spots.append(HardSpot(group[0].before, group[-1].index, (*reasons, *fast), cost))
    return tuple(spots)
