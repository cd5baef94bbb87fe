"""A chord symbol, numeral, scale name … written as text, as an answer."""

from dataclasses import dataclass
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.symbol_reading import SymbolReading, read_symbol, symbol_kind
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch_text import check_pitch_names

#: Longest text that is read.
MOST_CHARACTERS: Final = 60


@dataclass(frozen=True, slots=True)
class SymbolInput:
    """Write what `reads` names: a chord symbol, a numeral, figures, a scale, pitches or an interval.

    The value is the text, without blanks around it, that theory can read.

    Parameters
    ----------
    reads : str
        A name of `symbol_reading.SYMBOL_KINDS`.
    key : str
        Key of numerals and figures, such as ``'A minor'``; numerals need one.
    names : {'english', 'german', 'fixed do'}
        System of pitch names in which the student writes.

    Raises
    ------
    ExerciseError
        A kind, key or system of names that there is not.

    Examples
    --------
    >>> SymbolInput().check("name", " F#m7b5 ")
    'F#m7b5'
    >>> SymbolInput().check("name", "H7")
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'name': 'H7'; allowed: a chord symbol, such as F#m7b5 (chord 'H7': H is German for B; write 'B7', or read it with names='german')
    """

    how: ClassVar[str] = "by writing it"

    reads: str = "chord"
    key: str = ""
    names: str = "english"
    id: str = "symbol"

    def __post_init__(self) -> None:
        kind = symbol_kind(self.reads)
        if kind.needs_key and not self.key:
            raise ExerciseError(f"key '': {kind.noun} is read in a key, such as 'C major'")
        try:
            check_pitch_names(self.names)
            if self.key:
                Key(self.key)
        except TheoryError as error:
            raise ExerciseError(f"symbol: {error}") from None

    def read(self, value: str) -> SymbolReading:
        """Read a text as this input takes it.

        Raises
        ------
        TheoryError
            Theory cannot read it; the message says what to write.
        """
        return read_symbol(self.reads, value, self.key, self.names)

    def check(self, step: str, value: JSON) -> JSON:
        """Return the text, or raise AnswerError with what theory says of it."""
        kind = symbol_kind(self.reads)
        allowed = f"{kind.noun}, such as {kind.example}"
        if not isinstance(value, str) or not 1 <= len(value.strip()) <= MOST_CHARACTERS or len(value) > 1000:
            raise refuse(step, value, f"{allowed}, in 1 to {MOST_CHARACTERS} characters")
        try:
            self.read(value.strip())
        except TheoryError as error:
            raise refuse(step, value, f"{allowed} ({error})") from None
        return value.strip()

    def words(self, value: JSON) -> str:
        """Return a checked text as printed, and in words."""
        reading = self.read(value)
        return reading.display if reading.display == reading.words else f"{reading.display} ({reading.words})"
