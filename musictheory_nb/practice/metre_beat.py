"""How long a measure and a beat of a time signature last."""

import re
from fractions import Fraction
from typing import Final

from musictheory_nb.errors import ExerciseError

_METRE: Final = re.compile(r"([1-9][0-9]?)/(1|2|4|8|16|32)")


def metre_numbers(metre: str) -> tuple[int, int]:
    """Return the two numbers of a time signature.

    Raises
    ------
    ExerciseError
        It is no time signature.

    Examples
    --------
    >>> metre_numbers("6/8")
    (6, 8)
    >>> metre_numbers("waltz")
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: metre 'waltz': write a number of beats and a note value, such as '3/4'
    """
    match = _METRE.fullmatch(metre) if isinstance(metre, str) else None
    if match is None:
        raise ExerciseError(f"metre {metre!r}: write a number of beats and a note value, such as '3/4'")
    return int(match[1]), int(match[2])


def measure_quarters(metre: str) -> Fraction:
    """Return the length of a full measure, in quarters.

    Examples
    --------
    >>> measure_quarters("6/8")
    Fraction(3, 1)
    """
    count, unit = metre_numbers(metre)
    return Fraction(4 * count, unit)


def beat_quarters(metre: str) -> Fraction:
    """Return the length of a beat, in quarters: dotted where the metre is compound.

    Notes
    -----
    Common practice: an upper number of 6, 9, 12 … (or 3) over eighths or shorter values counts dotted beats; another
    upper number over eighths or shorter counts quarters where they fill the measure, and the lower number's value else.

    Examples
    --------
    >>> beat_quarters("6/8"), beat_quarters("3/4"), beat_quarters("2/2"), beat_quarters("7/8")
    (Fraction(3, 2), Fraction(1, 1), Fraction(2, 1), Fraction(1, 2))
    """
    count, unit = metre_numbers(metre)
    value = Fraction(4, unit)
    if unit >= 8 and count % 3 == 0:
        return 3 * value
    return max(value, Fraction(1)) if (count * value).denominator == 1 else value
