"""A role for each note of a line as an answer."""

from dataclasses import dataclass
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.plain_data import JSON

#: Most notes that can be asked at once, and most roles to choose from.
MOST_NOTES: Final = 128
MOST_ROLES: Final = 24


@dataclass(frozen=True, slots=True)
class RolesInput:
    """Choose one of `roles` for each of `notes`.

    The value is the list of the roles' values, one a note, in the order of the notes. `notes` are their labels
    (``'F♯4'``, or ``'1'`` where the name would give the answer away).

    Raises
    ------
    ExerciseError
        No notes or roles, too many, or a role twice.

    Examples
    --------
    >>> line = RolesInput(("C5", "B4"), (Option("chord", "chord tone"), Option("passing", "passing tone")))
    >>> line.check("roles", ["chord", "passing"])
    ['chord', 'passing']
    >>> line.check("roles", ["chord"])
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'roles': ['chord']; allowed: a list of 2, each one of chord, passing
    """

    how: ClassVar[str] = "note by note"

    notes: tuple[str, ...]
    roles: tuple[Option, ...]
    id: str = "roles"

    def __post_init__(self) -> None:
        if not 1 <= len(self.notes) <= MOST_NOTES:
            raise ExerciseError(f"notes: {len(self.notes)} are given; allowed are 1 to {MOST_NOTES}")
        values = [option.value for option in self.roles]
        if not 2 <= len(values) <= MOST_ROLES or len(set(values)) != len(values):
            raise ExerciseError(f"roles {', '.join(values)!r}: give 2 to {MOST_ROLES}, each once")

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of roles, or raise AnswerError."""
        values = tuple(option.value for option in self.roles)
        each = f"one of {', '.join(values)}"
        if not isinstance(value, list) or len(value) != len(self.notes):
            raise refuse(step, value, f"a list of {len(self.notes)}, each {each}")
        for role in value:
            if not isinstance(role, str) or role not in values:
                raise refuse(step, role, each)
        return list(value)

    def words(self, value: JSON) -> str:
        """Return each note with the role chosen for it."""
        labels = {option.value: option.label for option in self.roles}
        return ", ".join(f"{note}: {labels[role]}" for note, role in zip(self.notes, value, strict=True))
