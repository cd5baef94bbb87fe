"""Things of one kind that happen again and again, gathered into passages (`gathered`)."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class Occurrence:
    """One time that something happens.

    Parameters
    ----------
    first, last : int
        Indices of its measures, both included.
    rows : tuple of int
        Rows of the score's notes.
    told : str
        What happens, in words.
    """

    first: int
    last: int
    rows: tuple[int, ...] = ()
    told: str = ""


def gathered(occurrences: Iterable[Occurrence], apart: int = 1) -> list[list[Occurrence]]:
    """Return occurrences in groups, each begun no more than `apart` measures after the end of those before it.

    Examples
    --------
    >>> [len(group) for group in gathered([Occurrence(1, 1), Occurrence(7, 8), Occurrence(2, 2)])]
    [2, 1]
    """
    groups: list[list[Occurrence]] = []
    end = -1
    for one in sorted(occurrences):
        if groups and one.first - end <= apart:
            groups[-1].append(one)
            end = max(end, one.last)
        else:
            groups.append([one])
            end = one.last
    return groups


def all_rows(group: Iterable[Occurrence]) -> tuple[int, ...]:
    """Return the rows of a group, each once."""
    return tuple(sorted({row for one in group for row in one.rows}))


def told_together(group: list[Occurrence], most: int = 3) -> str:
    """Return what a group tells, each text once, no more than so many of them.

    Examples
    --------
    >>> told_together([Occurrence(1, 1, (), "B to F"), Occurrence(1, 2, (), "F to B"), Occurrence(3, 3, (), "B to F")])
    'B to F, F to B'
    """
    texts = list(dict.fromkeys(one.told for one in group))
    more = len(texts) - most
    return ", ".join(texts[:most]) + (f" and {more} more" if more > 0 else "")
