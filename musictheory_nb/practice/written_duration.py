"""Durations as a notation writes them: note values, dots and tuplets, read from text and said in words."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

#: Undotted values in quarters, from the longest, and what they are called in North America.
VALUE_NAMES: Final = MappingProxyType(
    {
        Fraction(8): "double whole",
        Fraction(4): "whole",
        Fraction(2): "half",
        Fraction(1): "quarter",
        Fraction(1, 2): "eighth",
        Fraction(1, 4): "sixteenth",
        Fraction(1, 8): "thirty-second",
        Fraction(1, 16): "sixty-fourth",
    }
)
#: Names of tuplets by how many values they hold, with how many of the same value they take the time of.
TUPLETS: Final = MappingProxyType({3: ("triplet", 2), 5: ("quintuplet", 4), 7: ("septuplet", 4)})
DOT_WORDS: Final = ("", "dotted ", "double-dotted ")
_QUARTERS: Final = re.compile(r"[1-9][0-9]{0,2}(/[1-9][0-9]{0,2})?")
#: What a text of a duration may be, for refusals.
DURATION_ALLOWED: Final = "quarters as text, such as '1', '3/2' or, in a triplet, '1/3'"


@dataclass(frozen=True, slots=True)
class WrittenDuration:
    """One written value: its head in quarters, its dots, and how many values its tuplet holds (1: none)."""

    head: Fraction
    dots: int = 0
    tuplet: int = 1

    @property
    def words(self) -> str:
        """What it is called, such as ``'dotted quarter'`` or ``'eighth triplet'``."""
        tail = f" {TUPLETS[self.tuplet][0]}" if self.tuplet > 1 else ""
        return f"{DOT_WORDS[self.dots]}{VALUE_NAMES[self.head]}{tail}"


def _tuplet_of(quarters: Fraction) -> int:
    """How many values the tuplet holds that `quarters` needs, 1 for none: the odd part of the denominator."""
    odd = quarters.denominator
    while odd % 2 == 0:
        odd //= 2
    return odd


def _written_scale(tuplet: int) -> Fraction:
    """From the time that a value of a tuplet lasts to the time for which it is written."""
    return Fraction(tuplet, TUPLETS[tuplet][1]) if tuplet in TUPLETS else Fraction(1)


def read_quarters(text: object) -> Fraction | None:
    """Return the duration that `text` writes, in quarters, or None where no sum of written values lasts so long.

    Examples
    --------
    >>> read_quarters("3/2"), read_quarters("1/3"), read_quarters("1/11"), read_quarters(1.5)
    (Fraction(3, 2), Fraction(1, 3), None, None)
    """
    if not isinstance(text, str) or _QUARTERS.fullmatch(text) is None:
        return None
    quarters = Fraction(text)
    tuplet = _tuplet_of(quarters)
    is_sum = (quarters * _written_scale(tuplet) / min(VALUE_NAMES)).denominator == 1
    return quarters if is_sum and (tuplet == 1 or tuplet in TUPLETS) else None


@lru_cache(maxsize=1024)
def written_value(quarters: Fraction) -> WrittenDuration | None:
    """Return the one value that writes `quarters`, or None where it takes several.

    Examples
    --------
    >>> written_value(Fraction(3, 2)).words, written_value(Fraction(1, 3)).words, written_value(Fraction(5, 2))
    ('dotted quarter', 'eighth triplet', None)
    """
    tuplet = _tuplet_of(quarters)
    if tuplet != 1 and tuplet not in TUPLETS:
        return None
    for dots in range(len(DOT_WORDS)):
        head = quarters * _written_scale(tuplet) / (2 - Fraction(1, 2**dots))
        if head in VALUE_NAMES:
            return WrittenDuration(head, dots, tuplet)
    return None


@lru_cache(maxsize=1024)
def single_values(quarters: Fraction) -> tuple[Fraction, ...]:
    """Return the durations, from the longest, of the values that together last `quarters`: one where one is enough.

    Examples
    --------
    >>> [str(value) for value in single_values(Fraction(5, 2))], single_values(Fraction(3))
    (['2', '1/2'], (Fraction(3, 1),))
    """
    scale = _written_scale(_tuplet_of(quarters))
    found: list[Fraction] = []
    left = quarters * scale
    while left > 0:
        part = left if written_value(left) is not None else next(head for head in VALUE_NAMES if head < left)
        found.append(part / scale)
        left -= part
    return tuple(found)


def duration_words(quarters: Fraction) -> str:
    """Return a duration that `read_quarters` takes in words: one value, or several tied from the longest.

    Examples
    --------
    >>> duration_words(Fraction(3, 4)), duration_words(Fraction(5, 2)), duration_words(Fraction(5, 6))
    ('dotted eighth', 'half tied to eighth', 'quarter triplet tied to sixteenth triplet')
    """
    tuplet = _tuplet_of(quarters)
    plain = (written_value(part * _written_scale(tuplet)) for part in single_values(quarters))
    return " tied to ".join(replace(value, tuplet=tuplet).words for value in plain if value is not None)
