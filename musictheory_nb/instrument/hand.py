"""How a left hand lies on the strings: which finger stops how far above the hand's position.

A position is the place of the first finger, in half steps above the nut (on a fretted instrument: the fret). Within it
each finger has a place or two; a finger may also reach out of the hand's frame, which is a stretch. The tables
``hand.tsv`` and ``hand_position.tsv`` beside this file hold the hands, and say where each row comes from.
"""

from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.named_row import read_rows

#: The hands, with what each is.
HANDS: Final = MappingProxyType(
    {
        "one finger a fret": "four fingers on four frets: bass guitar, guitar, ukulele",
        "1-2-4": "a whole step from 1 to 4, the half step to 2: double bass; also bass guitar in low positions",
        "diatonic": "a fourth from 1 to 4, each finger on a letter of the scale: violin, viola, mandolin",
        "cello": "four half steps, the first finger also reaching back; three fingers from the 5th position up",
    }
)
#: The position in which each hand is at home: the lowest, or first position of the violin and cello.
_HOMES: Final = MappingProxyType({"one finger a fret": 1, "1-2-4": 1, "diatonic": 2, "cello": 2})


@dataclass(frozen=True, slots=True)
class Reach:
    """One finger's place in a hand.

    Parameters
    ----------
    finger : int
        1 index to 4 little finger.
    offset : int
        Half steps above the position.
    stretch : int
        How far out of the hand's frame; 0 within it.
    """

    finger: int
    offset: int
    stretch: int


@dataclass(frozen=True, slots=True)
class Hand:
    """A way to lay the left hand on the strings.

    Parameters
    ----------
    name : str
        One of `HANDS`.
    shapes : tuple
        (first position, reaches) from low to high; a shape holds up to where the next begins.
    positions : tuple
        (first, last or None, name) of every place where the hand is put.
    home : int
        Position that the hand comes back to where nothing else decides.
    """

    name: str
    shapes: tuple[tuple[int, tuple[Reach, ...]], ...]
    positions: tuple[tuple[int, int | None, str], ...]
    home: int

    def places(self, highest: int) -> tuple[int, ...]:
        """Positions from the lowest up to a place on the fingerboard, in half steps above the nut.

        Examples
        --------
        >>> hand("diatonic").places(9)
        (1, 2, 4, 5, 7, 9)
        """
        spans = (
            range(first, (highest if last is None else min(last, highest)) + 1) for first, last, _ in self.positions
        )
        return tuple(place for span in spans for place in span)

    def reaches(self, position: int) -> tuple[Reach, ...]:
        """What each finger reaches in a position.

        Raises
        ------
        InstrumentError
            The hand has no such position.

        Examples
        --------
        >>> [(reach.finger, 1 + reach.offset) for reach in hand("1-2-4").reaches(1) if not reach.stretch]
        [(1, 1), (2, 2), (4, 3)]
        >>> hand("1-2-4").reaches(-9)
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: position -9: the hand '1-2-4' begins at -3
        """
        for first, reaches in reversed(self.shapes):
            if position >= first:
                return reaches
        raise InstrumentError(f"position {position!r}: the hand {self.name!r} begins at {self.shapes[0][0]}")

    def position_name(self, position: int) -> str:
        """Name of a position, as its players say it; books differ.

        Raises
        ------
        InstrumentError
            The hand has no such position.

        Examples
        --------
        >>> hand("1-2-4").position_name(4), hand("diatonic").position_name(5), hand("one finger a fret").position_name(7)
        ('II½ position', '3rd position', 'position 7')
        >>> hand("diatonic").position_name(3)
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: position 3: the hand 'diatonic' is not placed there
        """
        for first, last, name in self.positions:
            if first <= position and (last is None or position <= last):
                return name.format(number=position)
        raise InstrumentError(f"position {position!r}: the hand {self.name!r} is not placed there")


def hand(name: str) -> Hand:
    """Hand of a name.

    Raises
    ------
    InstrumentError
        No such hand.

    Examples
    --------
    >>> hand("one finger a fret").positions
    ((1, None, 'position {number}'),)
    >>> hand("left")
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: hand 'left': must be one of 'one finger a fret', '1-2-4', 'diatonic', 'cello'
    """
    if not isinstance(name, str) or name not in HANDS:
        raise InstrumentError(f"hand {name!r}: must be one of {', '.join(map(repr, HANDS))}")
    return _read_hand(name)


@lru_cache(maxsize=8)
def _read_hand(name: str) -> Hand:
    """Read a hand from the tables."""
    shapes: dict[int, list[Reach]] = {}
    for row in read_rows("hand.tsv"):
        if row["hand"] == name:
            reach = Reach(int(row["finger"]), int(row["offset"]), int(row["stretch"]))
            shapes.setdefault(int(row["first"]), []).append(reach)
    positions = tuple(
        (int(row["first"]), int(row["last"]) if row["last"] else None, row["name"])
        for row in read_rows("hand_position.tsv")
        if row["hand"] == name
    )
    return Hand(name, tuple((first, tuple(shapes[first])) for first in sorted(shapes)), positions, _HOMES[name])
