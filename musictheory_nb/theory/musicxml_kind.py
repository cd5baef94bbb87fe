"""Chords as MusicXML writes them: a `kind` value with altered, added and subtracted degrees.

The degrees of each kind follow the W3C MusicXML 4.0 schema (`kind-value`). It gives none for the functional kinds, so
these follow common practice with the chord's own lowest tone as root: an augmented sixth stands on its flat sixth
degree (A flat in C), a Neapolitan on the flat second with its third in the bass, the Tristan chord on its lowest tone
(F B D♯ G♯). As in the schema, the alteration of an added degree counts from a dominant chord (an added 7 with no
alteration is a minor seventh), that of an altered or subtracted degree from the degree that the kind has.
"""

from collections.abc import Iterable
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord_degree import (
    DEGREE_PARTS,
    DEGREE_TEXT,
    NO_CHORD,
    ChordParts,
    check_spellable,
    degree_name,
    in_order,
    lowest_tone,
)
from musictheory_nb.theory.pitch_name import PitchName

#: Degrees of every kind value of MusicXML 4.0.
MUSICXML_KINDS: Final = MappingProxyType(
    {
        "major": ("1", "3", "5"),
        "minor": ("1", "b3", "5"),
        "augmented": ("1", "3", "#5"),
        "diminished": ("1", "b3", "b5"),
        "dominant": ("1", "3", "5", "b7"),
        "major-seventh": ("1", "3", "5", "7"),
        "minor-seventh": ("1", "b3", "5", "b7"),
        "diminished-seventh": ("1", "b3", "b5", "bb7"),
        "augmented-seventh": ("1", "3", "#5", "b7"),
        "half-diminished": ("1", "b3", "b5", "b7"),
        "major-minor": ("1", "b3", "5", "7"),
        "major-sixth": ("1", "3", "5", "6"),
        "minor-sixth": ("1", "b3", "5", "6"),
        "dominant-ninth": ("1", "3", "5", "b7", "9"),
        "major-ninth": ("1", "3", "5", "7", "9"),
        "minor-ninth": ("1", "b3", "5", "b7", "9"),
        "dominant-11th": ("1", "3", "5", "b7", "9", "11"),
        "major-11th": ("1", "3", "5", "7", "9", "11"),
        "minor-11th": ("1", "b3", "5", "b7", "9", "11"),
        "dominant-13th": ("1", "3", "5", "b7", "9", "11", "13"),
        "major-13th": ("1", "3", "5", "7", "9", "11", "13"),
        "minor-13th": ("1", "b3", "5", "b7", "9", "11", "13"),
        "suspended-second": ("1", "2", "5"),
        "suspended-fourth": ("1", "4", "5"),
        "Neapolitan": ("1", "3", "5"),
        "Italian": ("1", "3", "#6"),
        "French": ("1", "3", "#4", "#6"),
        "German": ("1", "3", "5", "#6"),
        "pedal": ("1",),
        "power": ("1", "5"),
        "Tristan": ("1", "#4", "#6", "#9"),
        "other": ("1",),
        "none": (),
    }
)
_NOT_WRITTEN: Final = ("Neapolitan", "other", "none")
_OMIT_WEIGHT: Final = 1.1


class KindDegree(NamedTuple):
    """One MusicXML `degree` element: value, alteration in semitones, and type ``add``, ``alter`` or ``subtract``."""

    value: int
    alter: int
    type: str


class MusicXMLKind(NamedTuple):
    """A `kind` value with its degrees."""

    kind: str
    degrees: tuple[KindDegree, ...]


def read_musicxml_kind(
    root: PitchName | None,
    kind: str,
    degrees: Iterable[tuple[int, int, str]] = (),
    bass: PitchName | None = None,
) -> ChordParts:
    """Read a MusicXML harmony.

    Parameters
    ----------
    root : PitchName or None
        None with kind ``none``.
    kind : str
        A kind value of MusicXML 4.0.
    degrees : iterable of (value, alter, type)
        The `degree` elements in their order.
    bass : PitchName, optional
        The bass, where one is given.

    Raises
    ------
    ChordError
        No such kind or degree, or no root.

    Examples
    --------
    >>> read_musicxml_kind(PitchName("C"), "dominant", [(9, -1, "add"), (5, 1, "alter")]).degrees
    ('1', '3', '#5', 'b7', 'b9')
    >>> read_musicxml_kind(PitchName("C"), "suspended-fourth", [(7, 0, "add")]).degrees
    ('1', '4', '5', 'b7')
    >>> read_musicxml_kind(PitchName("C"), "dominant-seventh")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: kind 'dominant-seventh': is no kind value of MusicXML; it has major, minor, ...
    """
    base = MUSICXML_KINDS.get(kind) if isinstance(kind, str) else None
    if base is None:
        raise ChordError(f"kind {kind!r}: is no kind value of MusicXML; it has {', '.join(MUSICXML_KINDS)}")
    if kind == "none":
        return NO_CHORD
    if root is None:
        raise ChordError(f"kind {kind!r}: needs a root; only kind 'none' has none")
    tones = list(base)
    for value, alter, how in _degree_elements(degrees):
        _change(tones, value, alter, how)
    if not tones:
        raise ChordError(f"kind {kind!r}: its degrees leave no tone")
    ordered = in_order(tones)
    check_spellable(root, ordered, f"{root.name} {kind}")
    if bass is None:
        bass = degree_name(root, "3") if kind == "Neapolitan" else lowest_tone(root, ordered)
    return ChordParts(root, ordered, bass)


def _degree_elements(degrees: Iterable[tuple[int, int, str]]) -> list[tuple[int, int, str]]:
    """The degree elements, refused where one is no triple."""
    listed = list(degrees) if isinstance(degrees, Iterable) else [degrees]
    for element in listed:
        if not isinstance(element, tuple | list) or len(element) != 3:
            raise ChordError(f"degree {element!r}: give each as (value, alter, type), such as (9, -1, 'add')")
    return [(value, alter, how) for value, alter, how in listed]


def _change(tones: list[str], value: int, alter: int, how: str) -> None:
    there = [degree for degree in tones if DEGREE_PARTS[degree][0] == value]
    if how == "add":
        added = alter - 1 if value == 7 else alter
        degree = DEGREE_TEXT.get((value, added))
        if degree is None:
            raise ChordError(f"degree {value} altered by {alter}: write a number from 1 to 13, altered by two at most")
        tones.append(degree)
        return
    if how not in ("alter", "subtract"):
        raise ChordError(f"degree type {how!r}: must be one of 'add', 'alter', 'subtract'")
    if not there:
        if how == "alter":  # written by programs for "add"
            _change(tones, value, alter, "add")
            return
        raise ChordError(f"degree {value}: there is none to subtract")
    first = next((d for d in there if how == "subtract" and DEGREE_PARTS[d][1] == alter), there[0])
    tones.remove(first)
    if how == "alter":
        degree = DEGREE_TEXT.get((value, DEGREE_PARTS[first][1] + alter))
        if degree is None:
            raise ChordError(f"degree {value} altered by {alter}: would be altered by more than two")
        tones.append(degree)


def write_musicxml_kind(parts: ChordParts) -> MusicXMLKind:
    """Write a chord as kind and degrees; root and bass are written as they are.

    Of several ways the one with the fewest degrees is taken.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> write_musicxml_kind(read_chord_symbol("C7b9"))
    MusicXMLKind(kind='dominant', degrees=(KindDegree(value=9, alter=-1, type='add'),))
    >>> write_musicxml_kind(read_chord_symbol("C13#11"))
    MusicXMLKind(kind='dominant-13th', degrees=(KindDegree(value=11, alter=1, type='alter'),))
    >>> write_musicxml_kind(read_chord_symbol("N.C.")).kind
    'none'
    """
    if parts.root is None:
        return MusicXMLKind("none", ())
    best_weight, best = 1e9, MusicXMLKind("other", ())
    for kind, base in MUSICXML_KINDS.items():
        if kind in _NOT_WRITTEN:
            continue
        weight, degrees = _changes(base, parts.degrees)
        if weight < best_weight:
            best_weight, best = weight, MusicXMLKind(kind, degrees)
    return best


def _changes(base: tuple[str, ...], degrees: tuple[str, ...]) -> tuple[float, tuple[KindDegree, ...]]:
    """Weight and list of the degree elements that make a kind into the degrees."""
    omitted = [degree for degree in base if degree not in degrees]
    changes: list[KindDegree] = []
    added: list[KindDegree] = []
    for degree in degrees:
        if degree in base:
            continue
        number, alter = DEGREE_PARTS[degree]
        replaced = [d for d in omitted if DEGREE_PARTS[d][0] == number]
        if replaced and number not in (3, 7) and _is_alone(base, number):
            omitted.remove(replaced[0])
            changes.append(KindDegree(number, alter - DEGREE_PARTS[replaced[0]][1], "alter"))
        else:
            added.append(KindDegree(number, alter + 1 if number == 7 else alter, "add"))
    removed = [KindDegree(DEGREE_PARTS[degree][0], 0, "subtract") for degree in omitted]
    weight = len(changes) + len(added) + _OMIT_WEIGHT * len(removed)
    return weight, (*changes, *removed, *added)


def _is_alone(base: tuple[str, ...], number: int) -> bool:
    return sum(DEGREE_PARTS[degree][0] == number for degree in base) == 1
