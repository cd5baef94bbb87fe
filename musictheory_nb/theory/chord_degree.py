"""Degrees of a chord: ``3``, ``b7``, ``#11``, counted on the major scale of the root.

A degree is kept as text, number behind accidentals, because that is how musicians, Harte's syntax and MusicXML name it.
9, 11 and 13 are 2, 4 and 6 an octave higher and stay apart from them: a chord with an added 2 is not one with a 9.
A degree lies at a fixed distance from its root on the line of fifths (C = 0, G = 1), which spells it exactly.
"""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.major_scale import MAJOR_FIFTHS, MAJOR_SEMITONES
from musictheory_nb.theory.pitch_grammar import HIGHEST_FIFTHS, LOWEST_FIFTHS
from musictheory_nb.theory.pitch_name import PitchName

#: Highest degree number: the thirteenth.
HIGHEST: Final = 13
#: Accidentals of a degree by alteration in semitones.
DEGREE_ACCIDENTALS: Final = MappingProxyType({0: "", -1: "b", 1: "#", -2: "bb", 2: "##"})


class ChordParts(NamedTuple):
    """A chord as plain parts: root, degrees in order, bass. All are None or empty where no chord is meant."""

    root: PitchName | None
    degrees: tuple[str, ...]
    bass: PitchName | None


#: The parts of "no chord".
NO_CHORD: Final = ChordParts(None, (), None)

_ALL: Final = tuple((number, alter) for number in range(1, HIGHEST + 1) for alter in DEGREE_ACCIDENTALS)
#: Degrees by number and alteration in semitones.
DEGREE_TEXT: Final = MappingProxyType({(n, a): f"{DEGREE_ACCIDENTALS[a]}{n}" for n, a in _ALL})
#: Number and alteration of every degree, two sharps or flats at most.
DEGREE_PARTS: Final = MappingProxyType({text: parts for parts, text in DEGREE_TEXT.items()})
#: Distance of every degree from its root on the line of fifths.
DEGREE_FIFTHS: Final = MappingProxyType({t: MAJOR_FIFTHS[(n - 1) % 7] + 7 * a for t, (n, a) in DEGREE_PARTS.items()})
#: Semitones of every degree above its root, from 0 to 11.
DEGREE_CLASS: Final = MappingProxyType(
    {t: (MAJOR_SEMITONES[(n - 1) % 7] + a) % 12 for t, (n, a) in DEGREE_PARTS.items()}
)
#: Degree from 1 to 7 by distance from the root on the line of fifths.
SIMPLE_DEGREES: Final = MappingProxyType({DEGREE_FIFTHS[t]: t for t, (n, _) in DEGREE_PARTS.items() if n <= 7})
#: Every pitch name by its place on the line of fifths.
NAMES_BY_FIFTHS: Final = MappingProxyType(
    {n: PitchName.from_fifths(n) for n in range(LOWEST_FIFTHS, HIGHEST_FIFTHS + 1)}
)
#: The same as text; a plain mapping, because every tone of every chord is looked up in it.
TEXTS_BY_FIFTHS: Final = {n: name.name for n, name in NAMES_BY_FIFTHS.items()}


def in_order(degrees: Iterable[str]) -> tuple[str, ...]:
    """Put degrees in the order of their numbers, each once.

    Examples
    --------
    >>> in_order({"b7", "#9", "1", "b9", "3"})
    ('1', '3', 'b7', 'b9', '#9')
    """
    return tuple(sorted(set(degrees), key=DEGREE_PARTS.__getitem__))


def degree_name(root: PitchName, degree: str) -> PitchName:
    """Spelled name of a degree above a root.

    Raises
    ------
    ChordError
        No such degree, or its name would carry more than three accidentals.

    Examples
    --------
    >>> degree_name(PitchName("Ab"), "b7"), degree_name(PitchName("E"), "#9")
    (PitchName('Gb'), PitchName('F##'))
    >>> degree_name(PitchName("C"), "15")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: degree '15': write a number from 1 to 13 behind up to two # or b, such as 'b9'
    """
    fifths = DEGREE_FIFTHS.get(degree) if isinstance(degree, str) else None
    if fifths is None:
        raise ChordError(f"degree {degree!r}: write a number from 1 to 13 behind up to two # or b, such as 'b9'")
    name = NAMES_BY_FIFTHS.get(root.fifths + fifths)
    if name is None:
        raise ChordError(f"degree {degree!r} of {root.name}: its name would carry more than three accidentals")
    return name


def degree_between(root: PitchName, name: PitchName) -> str:
    """Degree from 1 to 7 of a name above a root.

    Raises
    ------
    ChordError
        The two are more than two alterations apart.

    Examples
    --------
    >>> degree_between(PitchName("C"), PitchName("Bb")), degree_between(PitchName("A"), PitchName("D"))
    ('b7', '4')
    >>> degree_between(PitchName("Cb"), PitchName("E##"))
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: bass 'E##' over root 'Cb': more than two alterations from any degree
    """
    degree = SIMPLE_DEGREES.get(name.fifths - root.fifths)
    if degree is None:
        raise ChordError(f"bass {name.name!r} over root {root.name!r}: more than two alterations from any degree")
    return degree


def lowest_tone(root: PitchName, degrees: tuple[str, ...]) -> PitchName:
    """Bass of a chord with no other bass written: its root, or where that is left out, its next tone.

    Examples
    --------
    >>> lowest_tone(PitchName("C"), ("1", "3", "5")), lowest_tone(PitchName("C"), ("3", "5", "b7"))
    (PitchName('C'), PitchName('E'))
    """
    return root if degrees[0] == "1" else NAMES_BY_FIFTHS[root.fifths + DEGREE_FIFTHS[degrees[0]]]


def check_spellable(root: PitchName, degrees: Iterable[str], text: object) -> None:
    """Raise `ChordError` where a tone would carry more than three accidentals.

    Examples
    --------
    >>> check_spellable(PitchName("F##"), ("1", "3", "5", "b7"), "F##7")
    >>> check_spellable(PitchName("B##"), ("1", "3", "#5"), "B##+")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: chord 'B##+': its 3 would be a D with 4 sharps; write it from an enharmonic root
    """
    base = root.fifths
    for degree in degrees:
        fifths = base + DEGREE_FIFTHS[degree]
        if not LOWEST_FIFTHS <= fifths <= HIGHEST_FIFTHS:
            alter, place = divmod(fifths + 1, 7)
            kind = "sharps" if alter > 0 else "flats"
            raise ChordError(
                f"chord {text!r}: its {degree} would be a {'FCGDAEB'[place]} with {abs(alter)} {kind}; "
                "write it from an enharmonic root"
            )
