"""Pitch-class sets: normal order, prime form, interval vector, and the set class with its catalogue number.

Conventions: pitch classes are 0 to 11, C = 0. A set class holds the transpositions and inversions of a set, so that
the major and the minor triad are one. Prime forms are Forte's; Rahn's, which differ for six classes, are a setting.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch_grammar import STEP_SEMITONES, read_pitch_text
from musictheory_nb.theory.pitch_name import HasPitchClass

_FILE: Final = Path(__file__).with_name("set_class.tsv")
_DIGITS: Final = "0123456789AB"

#: A member of a set: a pitch class, a note with one, or the text of a pitch or pitch name.
Member = int | str | HasPitchClass


def _packed_from_left(order: tuple[int, ...]) -> tuple[int, ...]:
    """Span, then distance of each note from the first, the second note before the third."""
    return order[-1], *order[1:-1]


def _packed_from_right(order: tuple[int, ...]) -> tuple[int, ...]:
    """Span, then distance of each note from the first, the last but one before the one before it."""
    return order[::-1]


#: Which of the orders of smallest span counts as the most packed.
PRIME_FORMS: Final = MappingProxyType({"forte": _packed_from_left, "rahn": _packed_from_right})


def pitch_class_set(members: Iterable[Member] | str) -> tuple[int, ...]:
    """Pitch classes in a set, rising from 0, each once.

    Raises
    ------
    TheoryError
        No members, or a number outside 0 to 11.
    PitchError
        A text that is no pitch.

    Examples
    --------
    >>> pitch_class_set(["C4", "E4", "G4", "C5"])
    (0, 4, 7)
    >>> pitch_class_set([0, 12])
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: pitch class 12: must be a whole number from 0 to 11, C = 0
    """
    found = set()
    for member in note_list(members):
        if isinstance(member, str):
            step, alter, _ = read_pitch_text(member, "note")
            found.add((STEP_SEMITONES[step] + alter) % 12)
        elif isinstance(member, int):
            if not 0 <= member <= 11:
                raise TheoryError(f"pitch class {member!r}: must be a whole number from 0 to 11, C = 0")
            found.add(int(member))
        elif hasattr(member, "pitch_class"):
            found.add(member.pitch_class)
        else:
            raise TheoryError(f"note {member!r}: write it as text, such as 'C4', as Pitch, or as a number from 0 to 11")
    if not found:
        raise TheoryError("set []: a set class needs at least one note")
    return tuple(sorted(found))


def _packing(convention: str) -> Callable[[tuple[int, ...]], tuple[int, ...]]:
    if not isinstance(convention, str) or convention not in PRIME_FORMS:
        raise TheoryError(f"convention {convention!r}: must be one of {', '.join(PRIME_FORMS)}")
    return PRIME_FORMS[convention]


def _orders(classes: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Each rotation of a rising set, as distances from its own first note."""
    size = len(classes)
    return [tuple((classes[(i + k) % size] - classes[i]) % 12 for k in range(size)) for i in range(size)]


def normal_order(members: Iterable[Member] | str, *, convention: str = "forte") -> list[int]:
    """Pitch classes of a set in their most packed order.

    Parameters
    ----------
    members : iterable
        Pitch classes, notes, or texts of notes.
    convention : {'forte', 'rahn'}
        How ties of span are broken; see `PRIME_FORMS`.

    Raises
    ------
    TheoryError, PitchError
        As `pitch_class_set`; or no such convention.

    Examples
    --------
    >>> normal_order(["G", "B", "D", "F"])
    [11, 2, 5, 7]
    >>> normal_order(["C"], convention="strauss")
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: convention 'strauss': must be one of forte, rahn
    """
    packing = _packing(convention)
    classes = pitch_class_set(members)
    orders = _orders(classes)
    first = min(range(len(classes)), key=lambda i: packing(orders[i]))
    return [*classes[first:], *classes[:first]]


def prime_form(members: Iterable[Member] | str, *, convention: str = "forte") -> tuple[int, ...]:
    """Most packed order of a set or of its inversion, moved to begin on 0.

    Parameters
    ----------
    members : iterable
        Pitch classes, notes, or texts of notes.
    convention : {'forte', 'rahn'}
        How ties of span are broken; see `PRIME_FORMS`.

    Raises
    ------
    TheoryError, PitchError
        As `normal_order`.

    Notes
    -----
    A. Forte, The Structure of Atonal Music (1973), pp. 3-5, and J. Rahn, Basic Atonal Theory (1980), ch. 4 (from
    memory): both take the smallest span; then Forte packs from the first note on, Rahn from the last one back.

    Examples
    --------
    >>> prime_form(["C", "E", "G"]), prime_form(["C", "Eb", "G"])
    ((0, 3, 7), (0, 3, 7))
    >>> prime_form([0, 1, 3, 7, 8]), prime_form([0, 1, 3, 7, 8], convention="rahn")
    ((0, 1, 3, 7, 8), (0, 1, 5, 6, 8))
    """
    packing = _packing(convention)
    classes = pitch_class_set(members)
    inverted = tuple(sorted(-sound % 12 for sound in classes))
    return min(_orders(classes) + _orders(inverted), key=packing)


def interval_vector(members: Iterable[Member] | str) -> tuple[int, ...]:
    """How often each interval class, 1 to 6 semitones, lies between two notes of a set.

    Raises
    ------
    TheoryError, PitchError
        As `pitch_class_set`.

    Examples
    --------
    >>> interval_vector(["G", "B", "D", "F"])
    (0, 1, 2, 1, 1, 1)
    """
    classes = pitch_class_set(members)
    counts = [0] * 7
    for i, low in enumerate(classes):
        for high in classes[i + 1 :]:
            counts[min(high - low, 12 - high + low)] += 1
    return tuple(counts[1:])


@lru_cache(maxsize=1)
def _catalogue() -> tuple[MappingProxyType[tuple[int, ...], str], MappingProxyType[str, tuple[int, ...]]]:
    """Name by prime form, and prime form by name without the Z."""
    lines = [line for line in _FILE.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    pairs = [line.split("\t") for line in lines[1:]]
    forms = {tuple(_DIGITS.index(digit) for digit in form): name for name, form in pairs}
    return MappingProxyType(forms), MappingProxyType({name.replace("Z", ""): form for form, name in forms.items()})


@dataclass(frozen=True, slots=True, init=False, repr=False)
class SetClass:
    """A set class: all transpositions and inversions of a pitch-class set.

    Parameters
    ----------
    name : str
        Number of notes and place in Forte's list, such as ``"4-27"``; the Z of ``"4-Z15"`` may be left out.

    Raises
    ------
    TheoryError
        No such class.

    Notes
    -----
    Source of names: A. Forte, The Structure of Atonal Music (1973), appendix 1.

    Examples
    --------
    >>> c = SetClass.of(["G", "B", "D", "F"])
    >>> c.name, c.text, c.interval_vector
    ('4-27', '<0258>', (0, 1, 2, 1, 1, 1))
    >>> SetClass.of(["C", "E", "G"]) == SetClass.of(["A", "C", "E"])
    True
    >>> SetClass("3-13")
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: set class '3-13': classes of 3 notes are 3-1 to 3-12
    """

    name: str
    prime_form: tuple[int, ...]

    def __init__(self, name: str) -> None:
        plain = name.upper().replace("Z", "").strip() if isinstance(name, str) else repr(name)
        forms, names = _catalogue()
        if plain not in names:
            raise TheoryError(f"set class {name!r}: {_which_exist(plain)}")
        object.__setattr__(self, "prime_form", names[plain])
        object.__setattr__(self, "name", forms[names[plain]])

    @classmethod
    def of(cls, members: Iterable[Member] | str) -> "SetClass":
        """Class of a set.

        Raises
        ------
        TheoryError, PitchError
            As `pitch_class_set`.

        Examples
        --------
        >>> SetClass.of([0, 4, 8])
        SetClass('3-12')
        """
        return cls(_catalogue()[0][prime_form(members)])

    @property
    def text(self) -> str:
        """Prime form as it is printed, 10 and 11 as A and B: ``'<0258>'``."""
        return f"<{''.join(_DIGITS[sound] for sound in self.prime_form)}>"

    @property
    def interval_vector(self) -> tuple[int, ...]:
        """How often each interval class, 1 to 6 semitones, lies between two of its notes."""
        return interval_vector(self.prime_form)

    @property
    def complement(self) -> "SetClass":
        """Class of the notes that are left over.

        Raises
        ------
        TheoryError
            All twelve notes are in it.

        Examples
        --------
        >>> SetClass("5-35").complement
        SetClass('7-35')
        """
        return SetClass.of(sound for sound in range(12) if sound not in self.prime_form)

    @property
    def same_intervals(self) -> list["SetClass"]:
        """Other classes with the same interval vector: its Z-relation.

        Examples
        --------
        >>> SetClass("4-Z15").same_intervals, SetClass("4-27").same_intervals
        ([SetClass('4-Z29')], [])
        """
        own = self.interval_vector
        forms = [form for form in _catalogue()[0] if len(form) == len(self.prime_form) and form != self.prime_form]
        return [SetClass(_catalogue()[0][form]) for form in forms if interval_vector(form) == own]

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"SetClass({self.name!r})"


def _which_exist(name: object) -> str:
    size = name.split("-")[0] if isinstance(name, str) else ""
    count = sum(1 for known in _catalogue()[1] if known.split("-")[0] == size)
    return (
        f"classes of {size} notes are {size}-1 to {size}-{count}"
        if count
        else "write how many notes, 1 to 12, a hyphen and a number, such as '4-27'"
    )
