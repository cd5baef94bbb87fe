"""Augmented sixth chords: which notes each has, and which of them is in the bass for each figure.

Each is kept as a chord on the lowered sixth degree of the key (Ab in C), which is its bass in the usual position. The
figures count from the note on which the chord would stand in thirds: F# for the Italian and German sixth in C, D for
the French, D# for the one with a doubly augmented fourth (also called Swiss). Source: common practice, no source.
"""

from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import RomanNumeralError


class AugmentedSixth(NamedTuple):
    """Degrees above the lowered sixth degree of the key, and the degree in the bass by figure; the usual one first."""

    words: str
    degrees: tuple[str, ...]
    bass: tuple[tuple[str, str], ...]


#: The chords by the name that stands before the figures.
AUGMENTED_SIXTHS: Final = MappingProxyType(
    {
        "It": AugmentedSixth("Italian sixth", ("1", "3", "#6"), (("6", "1"), ("53", "#6"), ("64", "3"))),
        "Fr": AugmentedSixth(
            "French sixth", ("1", "3", "#4", "#6"), (("43", "1"), ("7", "#4"), ("65", "#6"), ("42", "3"))
        ),
        "Ger": AugmentedSixth(
            "German sixth", ("1", "3", "5", "#6"), (("65", "1"), ("7", "#6"), ("43", "3"), ("42", "5"))
        ),
        "Sw": AugmentedSixth(
            "Swiss sixth", ("1", "3", "##4", "#6"), (("43", "1"), ("7", "##4"), ("65", "#6"), ("42", "3"))
        ),
    }
)
#: Name by degrees.
SIXTH_BY_DEGREES: Final = MappingProxyType({row.degrees: name for name, row in AUGMENTED_SIXTHS.items()})
#: Distance of the lowered sixth degree from the tonic on the line of fifths.
LOWERED_SIXTH_FIFTHS: Final = -4
#: Figures read like the usual ones.
_ALSO: Final = MappingProxyType({"It": ("", "63"), "Fr": ("", "6", "643"), "Ger": ("", "6", "653"), "Sw": ("", "6")})
_SAME: Final = MappingProxyType({"5": "53", "2": "42", "642": "42", "653": "65", "643": "43"})


def sixth_bass(name: str, figure: str, text: str) -> str:
    """Degree in the bass of an augmented sixth chord, above the lowered sixth degree of the key.

    Raises
    ------
    RomanNumeralError
        The chord has no such figure.

    Examples
    --------
    >>> sixth_bass("Ger", "65", "Ger65"), sixth_bass("Ger", "7", "Ger7"), sixth_bass("It", "6", "It6")
    ('1', '#6', '1')
    >>> sixth_bass("It", "43", "It43")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: Roman numeral 'It43': the figures of It are 6, 53, 64
    """
    row = AUGMENTED_SIXTHS[name]
    if figure in _ALSO[name]:
        return row.bass[0][1]
    for own, degree in row.bass:
        if own == _SAME.get(figure, figure):
            return degree
    figures = ", ".join(own for own, _ in row.bass)
    raise RomanNumeralError(f"Roman numeral {text!r}: the figures of {name} are {figures}")
