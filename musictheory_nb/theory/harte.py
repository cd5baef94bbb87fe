"""Chord labels in the syntax of Harte et al. for annotated corpora: ``A:min7/b3``, ``C:7(*5,b9)``, ``N``.

Grammar: ``root[:shorthand][(degrees)][/degree]``; accidentals stand before a degree's number, ``*`` before a degree
takes it out of the shorthand; a bare root is a major triad; ``N`` means no chord. The bass is a degree, never a note.

References
----------
C. Harte, M. Sandler, S. Abdallah, E. Gómez: "Symbolic representation of musical chords: a proposed syntax for text
annotations", ISMIR 2005, pp. 66-71. Its sixteen shorthands are marked in the table; the others are in use in the
McGill Billboard annotations (Burgoyne, Wild, Fujinaga, ISMIR 2011).
"""

import re
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord_degree import (
    DEGREE_PARTS,
    NO_CHORD,
    ChordParts,
    check_spellable,
    degree_between,
    degree_name,
    in_order,
    lowest_tone,
)
from musictheory_nb.theory.pitch_name import PitchName

#: The sixteen shorthands of 2005 with the degrees of each.
HARTE_SHORTHANDS: Final = MappingProxyType(
    {
        "maj": ("1", "3", "5"),
        "min": ("1", "b3", "5"),
        "dim": ("1", "b3", "b5"),
        "aug": ("1", "3", "#5"),
        "maj7": ("1", "3", "5", "7"),
        "min7": ("1", "b3", "5", "b7"),
        "7": ("1", "3", "5", "b7"),
        "dim7": ("1", "b3", "b5", "bb7"),
        "hdim7": ("1", "b3", "b5", "b7"),
        "minmaj7": ("1", "b3", "5", "7"),
        "maj6": ("1", "3", "5", "6"),
        "min6": ("1", "b3", "5", "6"),
        "9": ("1", "3", "5", "b7", "9"),
        "maj9": ("1", "3", "5", "7", "9"),
        "min9": ("1", "b3", "5", "b7", "9"),
        "sus4": ("1", "4", "5"),
    }
)
#: Shorthands that corpora use besides; `sus2` and `aug7` are read, but written by the shorthands of 2005.
LATER_SHORTHANDS: Final = MappingProxyType(
    {
        "1": ("1",),
        "5": ("1", "5"),
        "11": ("1", "3", "5", "b7", "9", "11"),
        "maj11": ("1", "3", "5", "7", "9", "11"),
        "min11": ("1", "b3", "5", "b7", "9", "11"),
        "13": ("1", "3", "5", "b7", "9", "11", "13"),
        "maj13": ("1", "3", "5", "7", "9", "11", "13"),
        "min13": ("1", "b3", "5", "b7", "9", "11", "13"),
    }
)
_READ_ONLY: Final = {"sus2": ("1", "2", "5"), "aug7": ("1", "3", "#5", "b7"), "6": ("1", "3", "5", "6")}
_WRITTEN: Final = {**HARTE_SHORTHANDS, **LATER_SHORTHANDS}
_READ: Final = {**_WRITTEN, **_READ_ONLY}

_DEGREE: Final = r"(?:bb?|##?)?(?:1[0-3]|[1-9])"
_LABEL: Final = re.compile(
    rf"(?P<root>[A-G](?:#{{1,3}}|b{{1,3}})?)"
    rf"(?::(?P<shorthand>[a-z0-9]+)?(?:\((?P<degrees>\*?{_DEGREE}(?:,\*?{_DEGREE})*)\))?)?"
    rf"(?:/(?P<bass>{_DEGREE}))?"
)
#: What leaving a degree out of a shorthand weighs against adding one: a minor third more than a major one, because a
#: seventh chord without third is heard as a dominant.
_OMIT_WEIGHT: Final = 1.1
_OMIT_WEIGHTS: Final = {"11": 0.5, "b3": 1.11}


def read_harte(label: str) -> ChordParts:
    """Read a label.

    Raises
    ------
    ChordError
        The label is malformed, or is ``X``, an unknown chord.

    Examples
    --------
    >>> read_harte("A:min7/b3")
    ChordParts(root=PitchName('A'), degrees=('1', 'b3', '5', 'b7'), bass=PitchName('C'))
    >>> read_harte("G:(3,5,b7,b9)").degrees, read_harte("C:maj(*3)").degrees
    (('1', '3', '5', 'b7', 'b9'), ('1', '5'))
    >>> read_harte("F:b3)")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: Harte label 'F:b3)': write root:shorthand(degrees)/degree, such as 'A:min7(11)/b3'
    """
    if label == "N":
        return NO_CHORD
    if label == "X":
        raise ChordError("Harte label 'X': stands for an unknown chord; there is nothing to read")
    match = _LABEL.fullmatch(label) if isinstance(label, str) else None
    if match is None or label.endswith(":") or ":/" in label:
        raise ChordError(f"Harte label {label!r}: write root:shorthand(degrees)/degree, such as 'A:min7(11)/b3'")
    root = PitchName(match["root"])
    shorthand, listed, bass_degree = match["shorthand"], match["degrees"], match["bass"]
    entries = listed.split(",") if listed else []
    if shorthand is not None:
        if shorthand not in _READ:
            raise ChordError(f"Harte label {label!r}: shorthand {shorthand!r} must be one of {', '.join(_READ)}")
        degrees = list(_READ[shorthand])
    elif any(not entry.startswith("*") for entry in entries):
        degrees = ["1"]
    else:
        degrees = ["1", "3", "5"]
    degrees += [entry for entry in entries if not entry.startswith("*")]
    for entry in entries:
        if entry.startswith("*"):
            if entry[1:] not in degrees:
                raise ChordError(f"Harte label {label!r}: there is no {entry[1:]} to take out")
            degrees = [degree for degree in degrees if degree != entry[1:]]
    if not degrees:
        raise ChordError(f"Harte label {label!r}: leaves no tone")
    ordered = in_order(degrees)
    check_spellable(root, ordered, label)
    bass = degree_name(root, bass_degree) if bass_degree else lowest_tone(root, ordered)
    return ChordParts(root, ordered, bass)


def write_harte(parts: ChordParts) -> str:
    """Write a label, which `read_harte` reads back.

    Of several ways the one with the fewest changes of a shorthand is taken.

    Raises
    ------
    ChordError
        The bass is more than two alterations from any degree.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> [write_harte(read_chord_symbol(t)) for t in ("C7#5", "Bb13#11", "Am7/D", "Csus2", "C9sus4", "N.C.")]
    ['C:aug(b7)', 'Bb:13(*11,#11)', 'A:min7/4', 'C:(2,5)', 'C:sus4(b7,9)', 'N']
    """
    root, degrees, bass = parts
    if root is None or bass is None:
        return "N"
    slash = "" if bass == lowest_tone(root, degrees) else f"/{_bass_degree(root, degrees, bass)}"
    return f"{root.name}:{_quality(degrees)}{slash}"


def _quality(degrees: tuple[str, ...]) -> str:
    """Shorthand with its list of changes, or a bare list."""
    best_weight = float(len(degrees) - 1) if "1" in degrees and len(degrees) > 1 else 1e9
    best: tuple[str, list[str], list[str]] = ("", [], [degree for degree in degrees if degree != "1"])
    for shorthand, base in _WRITTEN.items():
        if len(base) < 3 and base != degrees:
            continue  # a bare list says the same
        omitted = [degree for degree in base if degree not in degrees]
        added = [degree for degree in degrees if degree not in base]
        weight = len(added) + sum(_OMIT_WEIGHTS.get(d, _OMIT_WEIGHT) for d in omitted)
        if weight < best_weight or (weight == best_weight and len(base) > len(_WRITTEN.get(best[0], ()))):
            best_weight, best = weight, (shorthand, omitted, added)
    shorthand, omitted, added = best
    entries = sorted([f"*{degree}" for degree in omitted] + added, key=_entry_order)
    return f"{shorthand}({','.join(entries)})" if entries else shorthand


def _entry_order(entry: str) -> tuple[int, bool, int]:
    number, alter = DEGREE_PARTS[entry.lstrip("*")]
    return number, not entry.startswith("*"), alter


def _bass_degree(root: PitchName, degrees: tuple[str, ...], bass: PitchName) -> str:
    """Degree of the bass: that of the tone of the chord, if it is one."""
    for degree in degrees:
        if degree_name(root, degree) == bass:
            return degree
    return degree_between(root, bass)
