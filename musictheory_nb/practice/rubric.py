"""The rubric by which a teacher marks a free response: criteria, each with its points and what earns them."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Final

from musictheory_nb.practice.counting_words import sentence
from musictheory_nb.practice.plain_data import JSON

#: Most criteria of a rubric, and longest text of a row.
MOST_ROWS: Final = 12
MOST_TEXT: Final = 500
#: Most points that one criterion gives.
MOST_POINTS: Final = 1000


@dataclass(frozen=True, slots=True)
class Criterion:
    """One row: its name, the points that it gives at most, and what earns them.

    Examples
    --------
    >>> Criterion("argument", 4, "names the measures").words
    'Argument (4 points): names the measures.'
    >>> Criterion("terms", 1).words
    'Terms (1 point).'
    """

    name: str
    points: float
    earns: str = ""

    @property
    def words(self) -> str:
        """The row in one sentence."""
        told = f"{self.name} ({self.points:g} {'point' if self.points == 1 else 'points'})"
        return sentence(f"{told}: {self.earns}" if self.earns else told)


def is_text(value: JSON) -> bool:
    """Return whether `value` is a text that a row may hold.

    Examples
    --------
    >>> is_text("argument"), is_text("  "), is_text(3)
    (True, False, False)
    """
    return isinstance(value, str) and value.isprintable() and 0 < len(value.strip()) <= MOST_TEXT


def _is_row(row: JSON) -> bool:
    return (
        isinstance(row, list)
        and len(row) in (2, 3)
        and all(is_text(text) for text in (row[0], *row[2:]))
        and type(row[1]) in (int, float)
        and isfinite(row[1])
        and 0 < row[1] <= MOST_POINTS
    )


def is_rubric(value: JSON) -> bool:
    """Return whether `value` is a list of rows ``[criterion, points]`` or ``[criterion, points, what earns them]``.

    Examples
    --------
    >>> is_rubric([["argument", 4], ["terms", 2, "uses the words of the lesson"]]), is_rubric([]), is_rubric([["a", 0]])
    (True, False, False)
    """
    return (
        isinstance(value, list)
        and 1 <= len(value) <= MOST_ROWS
        and all(map(_is_row, value))
        and len({row[0].strip() for row in value}) == len(value)
    )


def rubric_of(rows: Sequence[Sequence[JSON]]) -> tuple[Criterion, ...]:
    """Return the criteria of rows that have passed `is_rubric`.

    Examples
    --------
    >>> [one.points for one in rubric_of([["argument", 4], ["terms", 2]])]
    [4.0, 2.0]
    """
    return tuple(
        Criterion(str(row[0]).strip(), float(row[1]), str(row[2]).strip() if len(row) == 3 else "") for row in rows
    )
