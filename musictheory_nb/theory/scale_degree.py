"""A degree measured from the major scale on a tonic or root: ``b3``, ``#4``, ``bb7``, ``13``.

Conventions: a number with accidentals before it, counted on the major scale; 9, 11 and 13 are 2, 4 and 6 an octave
higher. On the line of fifths (C = 0, G = 1) a degree is a fixed distance from its tonic, which spells it exactly.
"""

import re
from typing import Final

from musictheory_nb.errors import ScaleError
from musictheory_nb.theory.major_scale import MAJOR_FIFTHS, MAJOR_SEMITONES

#: Degree numbers in the order of the line of fifths, from the fourth below the tonic to the seventh.
_NUMBERS_BY_FIFTHS: Final = (4, 1, 5, 2, 6, 3, 7)
_DEGREE: Final = re.compile(r"(?P<sharps>#{0,3})(?P<flats>b{0,3})(?P<number>[1-9]|1[0-5])")


def read_degree(text: str) -> tuple[int, int]:
    """Number and alteration in semitones of a degree.

    Raises
    ------
    ScaleError
        `text` is not a degree.

    Examples
    --------
    >>> read_degree("b3"), read_degree("#11"), read_degree("bb7")
    ((3, -1), (11, 1), (7, -2))
    >>> read_degree("3b")
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: degree '3b': write accidentals # or b, then a number from 1 to 15, such as 'b3'
    """
    match = _DEGREE.fullmatch(text) if isinstance(text, str) else None
    if match is None or (match["sharps"] and match["flats"]):
        raise ScaleError(f"degree {text!r}: write accidentals # or b, then a number from 1 to 15, such as 'b3'")
    return int(match["number"]), len(match["sharps"]) - len(match["flats"])


def degree_text(number: int, alter: int) -> str:
    """Write a degree.

    Examples
    --------
    >>> degree_text(3, -1), degree_text(4, 1), degree_text(5, 0)
    ('b3', '#4', '5')
    """
    return ("#" * alter if alter > 0 else "b" * -alter) + str(number)


def degree_semitones(degree: str) -> int:
    """Semitones above the tonic; 9, 11 and 13 lie above the octave.

    Examples
    --------
    >>> degree_semitones("b3"), degree_semitones("#11"), degree_semitones("b9")
    (3, 18, 13)
    """
    number, alter = read_degree(degree)
    octaves, place = divmod(number - 1, 7)
    return 12 * octaves + MAJOR_SEMITONES[place] + alter


def degree_fifths(degree: str) -> int:
    """Distance from the tonic on the line of fifths.

    Examples
    --------
    >>> degree_fifths("5"), degree_fifths("b3"), degree_fifths("#11")
    (1, -3, 6)
    """
    number, alter = read_degree(degree)
    return MAJOR_FIFTHS[(number - 1) % 7] + 7 * alter


def fifths_degree(fifths: int) -> str:
    """Degree, from 1 to 7, at a distance from the tonic on the line of fifths.

    Examples
    --------
    >>> fifths_degree(-3), fifths_degree(6), fifths_degree(0)
    ('b3', '#4', '1')
    """
    alter, place = divmod(fifths + 1, 7)
    return degree_text(_NUMBERS_BY_FIFTHS[place], alter)


def simple_degree(degree: str) -> str:
    """Degree within one octave: 9 as 2, 11 as 4, 13 as 6.

    Examples
    --------
    >>> simple_degree("b9"), simple_degree("#11"), simple_degree("b7")
    ('b2', '#4', 'b7')
    """
    number, alter = read_degree(degree)
    return degree_text((number - 1) % 7 + 1, alter)


def display_degree(degree: str) -> str:
    """Degree with printed accidentals.

    Examples
    --------
    >>> display_degree("b3"), display_degree("#11"), display_degree("bb7")
    ('♭3', '♯11', '𝄫7')
    """
    return degree.replace("##", "𝄪").replace("bb", "𝄫").replace("#", "♯").replace("b", "♭")
