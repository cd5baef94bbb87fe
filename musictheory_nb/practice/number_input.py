"""A whole number as an answer."""

from dataclasses import dataclass
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.plain_data import JSON

#: Farthest from 0 that a number can be asked.
FARTHEST: Final = 1_000_000


@dataclass(frozen=True, slots=True)
class NumberInput:
    """Write a whole number from `low` to `high`, both included.

    The value is that number. `unit` stands behind it, such as ``'semitones'``.

    Raises
    ------
    ExerciseError
        The bounds are no whole numbers, or the lower is above the higher.

    Examples
    --------
    >>> NumberInput(0, 12, "semitones").check("size", 6)
    6
    >>> NumberInput(0, 12).check("size", 6.0)
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'size': 6.0; allowed: a whole number from 0 to 12
    """

    how: ClassVar[str] = "with a number"

    low: int
    high: int
    unit: str = ""
    id: str = "number"

    def __post_init__(self) -> None:
        numbers = (self.low, self.high)
        if any(type(one) is not int or abs(one) > FARTHEST for one in numbers) or self.low > self.high:
            raise ExerciseError(
                f"numbers {self.low!r} to {self.high!r}: give whole numbers, the lower first, at most {FARTHEST}"
            )

    def check(self, step: str, value: JSON) -> JSON:
        """Return the number, or raise AnswerError."""
        if type(value) is not int or not self.low <= value <= self.high:
            raise refuse(step, value, f"a whole number from {self.low} to {self.high}")
        return value

    def words(self, value: JSON) -> str:
        """Return the number with its unit."""
        return f"{value} {self.unit}".rstrip()
