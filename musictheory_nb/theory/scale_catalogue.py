"""The kinds of scale (`ScaleType`), read from ``scale_catalogue.tsv`` beside this file, and the modes made from them.

The file says in its head what each column holds and where the names are taught. A scale on a tonic is a `Scale`
(in ``scale``); names are read by ``scale_name``.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Final

from musictheory_nb.errors import ScaleError
from musictheory_nb.theory.scale_degree import degree_fifths, degree_semitones, fifths_degree, read_degree

_FILE: Final = Path(__file__).with_name("scale_catalogue.tsv")
#: Level of what a first jazz or theory course teaches, of what is in common use, and of the rest.
LEVELS: Final = (1, 2, 3)
#: Bit of the tonic in a mask over the line of fifths; triple flats and sharps of any degree fit around it.
TONIC_BIT: Final = 24
#: Usual degree of each number of semitones above the tonic.
_USUAL_DEGREES: Final = ("1", "b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")
#: Degrees that take another octave when they are named as tones of a chord.
_TENSIONS: Final = {2: 9, 4: 11, 6: 13}


@dataclass(frozen=True, slots=True)
class ScaleType:
    """A kind of scale, on no tonic. Two are equal when their degrees are, up and down.

    Parameters
    ----------
    name : str
        Name that is shown, such as ``"Lydian dominant"``.
    degrees : tuple of str
        Measured from the major scale, ascending, such as ``("1", "2", "3", "#4", "5", "6", "b7")``.
    family, parent, mode
        Family of modes; name of the scale of which this is a mode; on which of its notes it begins (from 1).
    chord_degrees : tuple of str
        The same notes as tones of a chord (``"b9"``, ``"#11"``); empty where that is only a matter of octaves.
    descending : tuple of str
        Degrees of the way down, written upwards; empty where it is the same as the way up.
    passing : tuple of str
        Degrees that are passing notes by the name's own tradition.
    level : int
        1 first course, 2 in common use, 3 rarer.
    other_names, also_read : tuple of str
        Other names of the trade; spellings that are read but not shown.
    source : str
        Where it is taught; the keys are in the head of the data file.

    Raises
    ------
    ScaleError
        The degrees do not start on 1 or do not ascend.

    Examples
    --------
    >>> t = ScaleType("Lydian b6", ("1", "2", "3", "#4", "5", "b6", "7"))
    >>> t.semitones, t.steps
    ((0, 2, 4, 6, 7, 8, 11), (2, 2, 2, 1, 1, 3, 1))
    >>> ScaleType("upside down", ("1", "5", "3"))
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: scale type 'upside down': degrees must start on 1 and ascend, not '1 5 3'
    """

    name: str = field(compare=False)
    degrees: tuple[str, ...]
    family: str = field(default="other", compare=False)
    parent: str = field(default="", compare=False)
    mode: int = field(default=1, compare=False)
    chord_degrees: tuple[str, ...] = field(default=(), compare=False, repr=False)
    descending: tuple[str, ...] = field(default=(), repr=False)
    passing: tuple[str, ...] = field(default=(), compare=False, repr=False)
    level: int = field(default=3, compare=False, repr=False)
    other_names: tuple[str, ...] = field(default=(), compare=False, repr=False)
    also_read: tuple[str, ...] = field(default=(), compare=False, repr=False)
    source: str = field(default="", compare=False, repr=False)
    #: Semitones above the tonic, of `degrees`.
    semitones: tuple[int, ...] = field(init=False, compare=False, repr=False)
    #: Distance from the tonic on the line of fifths, of `degrees`.
    fifths: tuple[int, ...] = field(init=False, compare=False, repr=False)
    #: Flattest and sharpest place of both ways, up and down.
    reach: tuple[int, int] = field(init=False, compare=False, repr=False)
    #: Pitch classes above the tonic as a bit mask.
    mask: int = field(init=False, compare=False, repr=False)
    #: `fifths` as a bit mask, the tonic at bit `TONIC_BIT`.
    spelling_mask: int = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        semitones = tuple(degree_semitones(degree) for degree in self.degrees)
        if not semitones or self.degrees[0] != "1" or semitones[-1] > 11 or any(a >= b for a, b in pairwise(semitones)):
            given = " ".join(self.degrees)
            raise ScaleError(f"scale type {self.name!r}: degrees must start on 1 and ascend, not {given!r}")
        object.__setattr__(self, "semitones", semitones)
        fifths = tuple(degree_fifths(degree) for degree in self.degrees)
        object.__setattr__(self, "fifths", fifths)
        both_ways = (*fifths, *(degree_fifths(degree) for degree in self.descending))
        object.__setattr__(self, "reach", (min(both_ways), max(both_ways)))
        object.__setattr__(self, "mask", sum(1 << semitone for semitone in semitones))
        object.__setattr__(self, "spelling_mask", sum(1 << place + TONIC_BIT for place in fifths))
        object.__setattr__(self, "parent", self.parent or self.name)

    @property
    def steps(self) -> tuple[int, ...]:
        """Semitones from each note to the next, the last one to the octave."""
        return tuple(b - a for a, b in pairwise((*self.semitones, 12)))

    @property
    def names(self) -> tuple[str, ...]:
        """The name that is shown, then the other names."""
        return (self.name, *self.other_names)

    def as_chord_tones(self) -> tuple[str, ...]:
        """Degrees as the tones of the chord that goes with the scale.

        Examples
        --------
        >>> " ".join(scale_type("altered").as_chord_tones())
        '1 b9 #9 3 #11 b13 b7'
        >>> " ".join(scale_type("Dorian").as_chord_tones())
        '1 9 b3 11 5 13 b7'
        """
        if self.chord_degrees:
            return self.chord_degrees
        numbers = {read_degree(degree)[0] for degree in self.degrees}
        kept = {4 if 3 not in numbers else 0, 6 if 7 not in numbers else 0}
        out = []
        for degree in self.degrees:
            number = read_degree(degree)[0]
            out.append(degree if number in kept else degree[:-1] + str(_TENSIONS.get(number, number)))
        return tuple(out)


def _split(text: str, separator: str | None = None) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(separator) if part.strip())


def _read_row(cells: dict[str, str]) -> ScaleType:
    return ScaleType(
        name=cells["name"],
        degrees=_split(cells["degrees"]),
        family=cells["family"],
        parent=cells["parent"],
        mode=int(cells["mode"]),
        chord_degrees=_split(cells["chord_degrees"]),
        descending=_split(cells["descending"]),
        passing=_split(cells["passing"]),
        level=int(cells["level"]),
        other_names=_split(cells["other_names"], ";"),
        also_read=_split(cells["also_read"], ";"),
        source=cells["source"],
    )


@lru_cache(maxsize=1)
def scale_types() -> tuple[ScaleType, ...]:
    """All kinds of scale in the catalogue, in its order: the common ones first.

    Examples
    --------
    >>> [t.name for t in scale_types()[:4]]
    ['Ionian', 'Dorian', 'Phrygian', 'Lydian']
    """
    lines = [line for line in _FILE.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    head = lines[0].split("\t")
    return tuple(_read_row(dict(zip(head, line.split("\t"), strict=True))) for line in lines[1:])


@lru_cache(maxsize=1)
def _by_name() -> dict[str, ScaleType]:
    """Kinds by every name that is shown, exactly as written; a row's own name beats another row's other name."""
    names = {name: kind for kind in reversed(scale_types()) for name in kind.other_names}
    return names | {kind.name: kind for kind in scale_types()}


def scale_type(name: str) -> ScaleType:
    """Kind of scale by a name exactly as the catalogue writes it. `read_scale_name` reads other spellings.

    Raises
    ------
    ScaleError
        No such name.

    Examples
    --------
    >>> scale_type("super-Locrian").name
    'altered'
    >>> scale_type("dorian")
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: scale type 'dorian': not a name of the catalogue
    """
    try:
        return _by_name()[name]
    except (KeyError, TypeError):
        raise ScaleError(f"scale type {name!r}: not a name of the catalogue") from None


def type_with_notes(semitones: Iterable[int], family: str = "") -> ScaleType | None:
    """Catalogued kind with these semitones above the tonic, or None; `family` is looked through first.

    Examples
    --------
    >>> type_with_notes((0, 2, 3, 5, 7, 9, 10)).name
    'Dorian'
    >>> type_with_notes((0, 1, 2)) is None
    True
    """
    mask = sum(1 << semitone for semitone in semitones)
    found = [kind for kind in scale_types() if kind.mask == mask]
    return min(found, key=lambda kind: kind.family != family, default=None)


def mode_of(kind: ScaleType, number: int) -> ScaleType:
    """Kind of scale that begins on note `number` of `kind`, 1 being `kind` itself.

    A mode without a name of its own is called after its parent: ``"enigmatic mode 3"``.

    Raises
    ------
    ScaleError
        `kind` has no such note.

    Examples
    --------
    >>> mode_of(scale_type("melodic minor"), 7).name, mode_of(scale_type("enigmatic"), 3).name
    ('altered', 'enigmatic mode 3')
    >>> mode_of(scale_type("major"), 8)
    Traceback (most recent call last):
    musictheory_nb.errors.ScaleError: mode 8: Ionian has modes 1 to 7
    """
    size = len(kind.degrees)
    if not 1 <= number <= size:
        raise ScaleError(f"mode {number}: {kind.name} has modes 1 to {size}")
    if number == 1:
        return kind
    first = number - 1
    order = [*range(first, size), *range(first)]
    semitones = [(kind.semitones[i] - kind.semitones[first]) % 12 for i in order]
    if (named := type_with_notes(semitones, kind.family)) is not None:
        return named
    degrees = _rotated(kind, first)
    return ScaleType(f"{kind.name} mode {number}", degrees, family=kind.family, parent=kind.name, mode=number)


def _rotated(kind: ScaleType, first: int) -> tuple[str, ...]:
    """Degrees of `kind` measured from its note at place `first`."""
    size = len(kind.degrees)
    rotated = ["1"]
    for i in range(first + 1, first + size):
        degree = fifths_degree(kind.fifths[i % size] - kind.fifths[first])
        semitones = (kind.semitones[i % size] - kind.semitones[first]) % 12
        # more than seven notes, or repeated letters, can land on a b1 or #7: the usual name instead
        rotated.append(degree if degree_semitones(degree) == semitones else _USUAL_DEGREES[semitones])
    return tuple(rotated)


def with_parent(kind: ScaleType) -> ScaleType:
    """`kind` with its parent filled in, if it is a mode of a scale of the catalogue; else `kind`.

    Examples
    --------
    >>> found = with_parent(ScaleType("Lydian #6", ("1", "2", "3", "#4", "5", "#6", "7")))
    >>> found.parent, found.mode
    ('Neapolitan minor', 2)
    """
    for parent in scale_types():
        if parent.mode == 1 and len(parent.degrees) == len(kind.degrees):
            for first in range(1, len(kind.degrees)):
                if _rotated(parent, first) == kind.degrees:
                    return replace(kind, parent=parent.name, mode=first + 1, family=parent.family)
    return kind
