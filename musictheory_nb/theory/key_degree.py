"""Degrees of a key as text, what an unaltered number stands for, and what a key signature does to a letter."""

from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import KeyNameError
from musictheory_nb.theory.pitch_grammar import STEP_FIFTHS

#: What an unaltered degree number stands for.
DEGREE_CONVENTIONS: Final = MappingProxyType(
    {
        "key": "the key's own scale: in A minor C is 3, G is 7, G# is #7 (default)",
        "harmonic": "in minor, the harmonic minor scale: in A minor C is 3, G# is 7, G is b7",
        "melodic": "in minor, the ascending melodic minor scale: in A minor F# is 6, G# is 7, F is b6, G is b7",
        "major": "the major scale on the tonic: in A minor C is b3, F is b6, G is b7, G# is 7",
    }
)
#: Names of the degrees 1 to 7; a seventh a whole step below the tonic is the subtonic.
DEGREE_NAMES: Final = ("tonic", "supertonic", "mediant", "subdominant", "dominant", "submediant", "leading tone")


def check_degree_convention(convention: str) -> None:
    """Raise `KeyNameError` unless `convention` is one of `DEGREE_CONVENTIONS`.

    Examples
    --------
    >>> check_degree_convention("major")
    >>> check_degree_convention("jazz")
    Traceback (most recent call last):
    musictheory_nb.errors.KeyNameError: convention 'jazz': must be one of 'key', 'harmonic', 'melodic', 'major'
    """
    if not isinstance(convention, str) or convention not in DEGREE_CONVENTIONS:
        choices = ", ".join(map(repr, DEGREE_CONVENTIONS))
        raise KeyNameError(f"convention {convention!r}: must be one of {choices}")


def read_key_degree(degree: str | int) -> tuple[int, int]:
    """Number from 1 to 7 and alteration in semitones of a degree.

    Raises
    ------
    KeyNameError
        The text is no degree.

    Examples
    --------
    >>> read_key_degree("b6"), read_key_degree(5), read_key_degree("♯4")
    ((6, -1), (5, 0), (4, 1))
    >>> read_key_degree("9")
    Traceback (most recent call last):
    musictheory_nb.errors.KeyNameError: degree '9': write accidentals then a number from 1 to 7, such as 'b3'
    """
    text = str(degree).replace("♯", "#").replace("♭", "b")
    signs, number = text[:-1], text[-1:]
    if number not in tuple("1234567") or signs.strip("#" if "#" in signs else "b"):
        raise KeyNameError(f"degree {text!r}: write accidentals then a number from 1 to 7, such as 'b3'")
    return int(number), signs.count("#") - signs.count("b")


def write_key_degree(number: int, alter: int) -> str:
    """Degree as text, accidentals before the number.

    Examples
    --------
    >>> write_key_degree(7, 1), write_key_degree(3, -1), write_key_degree(5, 0)
    ('#7', 'b3', '5')
    """
    return ("#" * alter if alter > 0 else "b" * -alter) + str(number)


def signature_alter(step: str, fifths: int) -> int:
    """Alteration in semitones that a key signature gives a letter; sharps are positive fifths, flats negative.

    Examples
    --------
    >>> signature_alter("F", 1), signature_alter("C", 1), signature_alter("B", -1), signature_alter("F", 8)
    (1, 0, -1, 2)
    """
    return (fifths + 5 - STEP_FIFTHS[step]) // 7
