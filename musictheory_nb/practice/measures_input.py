"""Pointing out measures as an answer."""

from dataclasses import dataclass
from itertools import pairwise
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.plain_data import JSON

#: Most measures that can be shown, and most spans that can be marked among them.
MOST_MEASURES: Final = 2000
MOST_SPANS: Final = 64


@dataclass(frozen=True, slots=True)
class MeasuresInput:
    """Point out where something happens: `spans` spans of measures, or with 0 any number of them (at least one).

    The value is a list of ``[first index, last index]``, both included, which do not overlap. `measures` are the
    printed numbers of all measures.

    Raises
    ------
    ExerciseError
        No measures, too many, or a number of spans that cannot be.

    Examples
    --------
    >>> MeasuresInput(("1", "2", "3", "4")).check("pedal", [[1, 3]])
    [[1, 3]]
    >>> MeasuresInput(("1", "2")).check("pedal", [[1, 0]])
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'pedal': [1, 0]; allowed: [first, last] with indices 0 to 1
    """

    how: ClassVar[str] = "on the strip of measures"

    measures: tuple[str, ...]
    spans: int = 1
    id: str = "measures"

    def __post_init__(self) -> None:
        if not 1 <= len(self.measures) <= MOST_MEASURES:
            raise ExerciseError(f"measures: {len(self.measures)} are given; allowed are 1 to {MOST_MEASURES}")
        if type(self.spans) is not int or not 0 <= self.spans <= MOST_SPANS:
            raise ExerciseError(f"spans {self.spans!r}: give 1 to {MOST_SPANS}, or 0 for any number")

    def check(self, step: str, value: JSON) -> JSON:
        """Return the spans in ascending order, or raise AnswerError."""
        last = len(self.measures) - 1
        most = self.spans or MOST_SPANS
        if not isinstance(value, list) or not (self.spans or 1) <= len(value) <= most:
            number = f"{self.spans}" if self.spans else f"1 to {MOST_SPANS}"
            raise refuse(step, value, f"a list of {number} spans [first, last] with indices 0 to {last}")
        for span in value:
            whole = isinstance(span, list) and len(span) == 2 and all(type(index) is int for index in span)
            if not whole or not 0 <= span[0] <= span[1] <= last:
                raise refuse(step, span, f"[first, last] with indices 0 to {last}")
        spans = sorted(list(span) for span in value)
        for one, other in pairwise(spans):
            if other[0] <= one[1]:
                raise refuse(step, other, "spans that do not overlap")
        return spans

    def words(self, value: JSON) -> str:
        """Return checked spans by the printed numbers of their measures."""
        numbers = [(self.measures[first], self.measures[last]) for first, last in value]
        return ", ".join(f"measure {a}" if a == b else f"measures {a} to {b}" for a, b in numbers)
