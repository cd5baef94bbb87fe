"""One setting of an exercise: what a teacher may write, and what it means."""

from collections.abc import Callable
from dataclasses import dataclass

from musictheory_nb.practice.plain_data import JSON


@dataclass(frozen=True, slots=True)
class Setting:
    """One setting of a family, as its check, its error text and its documentation read it.

    Parameters
    ----------
    name : str
        As the teacher writes it.
    default : JSON
        Used when the exercise does not set it; None when it must be set.
    meaning : str
        One sentence for the teacher.
    allowed : str
        What may be written, in words.
    check : callable
        Returns whether a value may be written.
    """

    name: str
    default: JSON
    meaning: str
    allowed: str
    check: Callable[[JSON], bool]
