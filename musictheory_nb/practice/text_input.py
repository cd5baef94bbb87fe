"""A free text as an answer."""

from dataclasses import dataclass
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.plain_data import JSON

#: Most characters that a free text can be given, and most lines that its field shows.
MOST_CHARACTERS: Final = 20_000
MOST_LINES: Final = 40


@dataclass(frozen=True, slots=True)
class TextInput:
    r"""Write up to `most` characters; the field shows `lines` lines.

    The value is the text, without blanks around it and with plain line breaks.

    Raises
    ------
    ExerciseError
        A size that cannot be.

    Examples
    --------
    >>> TextInput().check("why", " The bass holds D.\r\nThat is a pedal point. ")
    'The bass holds D.\nThat is a pedal point.'
    >>> TextInput(most=5).check("why", "Because")
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'why': 'Because'; allowed: a text of 1 to 5 characters
    """

    how: ClassVar[str] = "in words"

    most: int = 2000
    lines: int = 4
    id: str = "text"

    def __post_init__(self) -> None:
        if type(self.most) is not int or not 1 <= self.most <= MOST_CHARACTERS:
            raise ExerciseError(f"most {self.most!r}: a text has from 1 to {MOST_CHARACTERS} characters")
        if type(self.lines) is not int or not 1 <= self.lines <= MOST_LINES:
            raise ExerciseError(f"lines {self.lines!r}: a field shows from 1 to {MOST_LINES} lines")

    def check(self, step: str, value: JSON) -> JSON:
        """Return the text, or raise AnswerError."""
        allowed = f"a text of 1 to {self.most} characters"
        if not isinstance(value, str) or len(value) > 4 * self.most + MOST_LINES:
            raise refuse(step, value, allowed)
        plain = value.replace("\r\n", "\n").replace("\r", "\n").strip()
        if not 1 <= len(plain) <= self.most:
            raise refuse(step, value, allowed)
        if any(not one.isprintable() and one not in "\n\t" for one in plain):
            raise refuse(step, value, f"{allowed} that can be printed, and line breaks")
        return plain

    def words(self, value: JSON) -> str:
        """Return the text itself."""
        return str(value)
