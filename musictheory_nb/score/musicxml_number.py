"""Numbers in a MusicXML file, read strictly: no infinity, no exponent, nothing of unreasonable size."""

import re
from fractions import Fraction
from typing import Final

from musictheory_nb.errors import ScoreError

_WHOLE: Final = re.compile(r"[+-]?[0-9]{1,9}")
_DECIMAL: Final = re.compile(r"[+-]?(?:[0-9]{1,9}(?:\.[0-9]*)?|\.[0-9]+)")


def whole_number(text: str | None, what: str, lowest: int, highest: int) -> int:
    """Return the whole number that `text` writes.

    Raises
    ------
    ScoreError
        It writes none, or one outside `lowest` to `highest`.

    Examples
    --------
    >>> whole_number(" -4 ", "fifths", -7, 7)
    -4
    >>> whole_number("1e9", "octave", 0, 9)
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: octave '1e9': a whole number from 0 to 9 must stand there
    """
    stripped = (text or "").strip()
    if _WHOLE.fullmatch(stripped) and lowest <= int(stripped) <= highest:
        return int(stripped)
    number = decimal_number(stripped, what) if _DECIMAL.fullmatch(stripped) else None
    if number is not None and number.denominator == 1 and lowest <= number <= highest:
        return int(number)
    raise ScoreError(f"{what} {stripped[:40]!r}: a whole number from {lowest} to {highest} must stand there")


def decimal_number(text: str | None, what: str) -> Fraction:
    """Return the decimal number that `text` writes, exactly; digits after the ninth place are dropped.

    Raises
    ------
    ScoreError
        It writes none.

    Examples
    --------
    >>> decimal_number("0.5", "duration")
    Fraction(1, 2)
    >>> decimal_number("", "duration")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: duration '': a number must stand there
    """
    stripped = (text or "").strip()
    if not _DECIMAL.fullmatch(stripped):
        raise ScoreError(f"{what} {stripped[:40]!r}: a number must stand there")
    whole, _, places = stripped.partition(".")
    return Fraction(f"{whole or '0'}.{places[:9]}" if places else whole)
