"""Writing degrees as the suffix of a chord symbol: one spelling for each chord, which the grammar reads back.

The suffix is that of a named quality where there is one (`chord_quality`); else the base that needs the fewest
changes, with alterations first (``7(b9,#11)``; one alone without brackets behind a number: ``m7b5``), then omitted,
then added tones (``m(no5,add9)``). A chord with degrees that only a polychord has is written as one: ``F#|C``.
"""

from typing import Final

from musictheory_nb.theory.chord_degree import DEGREE_PARTS, DEGREE_TEXT, ChordParts, lowest_tone
from musictheory_nb.theory.chord_polychord import split_polychord
from musictheory_nb.theory.chord_quality import BASE_QUALITIES, QUALITY_BY_DEGREES
from musictheory_nb.theory.pitch_name import PitchName

#: How "no chord" is written.
NO_CHORD_TEXT: Final = "N.C."
_SEVENTHS: Final = ("7", "b7", "bb7")
_Changes = tuple[list[str], list[str], list[str]]
_NO_CHANGES: Final[_Changes] = ([], [], [])
_POWER: Final = ("1", "5")
_ALTERABLE: Final = (5, 9, 11, 13)
#: Tensions that need no "add" on a chord with a sixth or seventh.
_TENSIONS: Final = ("b9", "#9", "#11", "b13")
#: Weight of each change in the choice of the base; an unusual added tone weighs more.
_ALTER_WEIGHT, _ADD_WEIGHT, _OMIT_WEIGHT, _UNUSUAL_WEIGHT, _OMIT_SEVENTH_WEIGHT = 1.0, 1.2, 1.3, 2.0, 4.0
_USUAL_ADDS: Final = ("2", "4", "6", "9", "11", "13", "#11", "b6", "b13", "b9", "#9")


def chord_symbol(parts: ChordParts) -> str:
    """Chord symbol of a chord, which `read_chord_symbol` reads back.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> [chord_symbol(read_chord_symbol(t)) for t in ("C-7(♭5)", "F♯△9", "C7(#11,b9)", "Gb6/9/Bb", "NC", "F#/C7")]
    ['Cm7b5', 'F#maj9', 'C7(b9,#11)', 'Gb6/9/Bb', 'N.C.', 'F#|C7']
    """
    root, degrees, bass = parts
    if root is None or bass is None:
        return NO_CHORD_TEXT
    slash = "" if bass == lowest_tone(root, degrees) else f"/{bass.name}"
    suffix = chord_suffix(degrees)
    if _is_polychordal(degrees, suffix) and (layers := split_polychord(root, degrees)):
        upper, lower = layers
        return f"{upper}|{_with_root(root, chord_suffix(lower))}{slash}"
    return f"{_with_root(root, suffix)}{slash}"


def _with_root(root: PitchName, suffix: str) -> str:
    """Root and suffix, where a power chord on a doubly altered root is spelled out, because Ebb5 is ambiguous."""
    if abs(root.alter) > 1 and suffix.startswith("5"):
        suffix = f"(no3{suffix[1:].replace('(', ',') or ')'}"
    return root.name + suffix


def _is_polychordal(degrees: tuple[str, ...], suffix: str) -> bool:
    """Whether the single chord would need several changes that only an upper chord explains."""
    changes = suffix.count(",") + 1
    unusual = any(DEGREE_PARTS[degree][0] in (8, 10, 12) for degree in degrees)
    return (unusual and changes > 1) or (changes > 2 and "add" in suffix)


def chord_suffix(degrees: tuple[str, ...]) -> str:
    """Suffix that stands for degrees behind a root.

    Parameters
    ----------
    degrees : tuple of str
        Degrees in order, such as those of a `Chord`.

    Examples
    --------
    >>> chord_suffix(("1", "b3", "b5", "b7")), chord_suffix(("1", "3", "5", "b7", "9", "#11", "13"))
    ('m7b5', '13#11')
    >>> chord_suffix(("1", "b3", "9")), chord_suffix(("1", "3", "5", "6", "7"))
    ('m(no5,add9)', 'maj7(add6)')
    """
    named = QUALITY_BY_DEGREES.get(degrees)
    if named is not None:
        return named.suffix
    suffix, changes, best = "", _NO_CHANGES, (1e9, 0)
    third = "3" if "3" in degrees else "b3" if "b3" in degrees else ""
    for base in BASE_QUALITIES:
        if (base.degrees == _POWER and "5" not in degrees) or (third not in base.degrees and third):
            continue
        these = _changes(base.degrees, degrees)
        rank = (_weight(these), len(base.degrees))
        if rank < best:
            best, suffix, changes = rank, base.suffix, these
    altered, omitted, added = changes
    tail = altered + [f"no{degree}" for degree in omitted] + [_added_text(degree) for degree in added]
    if len(tail) == 1 and (
        (altered and suffix[-1:].isdigit() and "sus" not in suffix) or (added and not suffix and not omitted)
    ):
        return suffix + tail[0]
    return f"{suffix}({','.join(tail)})"


def _changes(base: tuple[str, ...], degrees: tuple[str, ...]) -> _Changes:
    """Alterations, omissions and additions that make a base into the degrees."""
    omitted = [degree for degree in base if degree not in degrees]
    altered: list[str] = []
    added: list[str] = []
    alterable = () if base == _POWER else _ALTERABLE
    stable = "6" in base or any(seventh in base for seventh in _SEVENTHS)
    for degree in degrees:
        if degree in base:
            continue
        number = DEGREE_PARTS[degree][0]
        natural = DEGREE_TEXT[number, 0]
        replaces = natural in omitted and number in alterable and _is_alteration(degree)
        tension = stable and degree in _TENSIONS and natural not in degrees and natural not in base
        if replaces or tension:
            altered.append(degree)
        else:
            added.append(degree)
    for degree in altered:
        natural = DEGREE_TEXT[DEGREE_PARTS[degree][0], 0]
        if natural in omitted:
            omitted.remove(natural)
    return altered, omitted, added


def _is_alteration(degree: str) -> bool:
    return degree in _TENSIONS or degree in ("b5", "#5")


def _weight(changes: _Changes) -> float:
    altered, omitted, added = changes
    return (
        _ALTER_WEIGHT * len(altered)
        + sum(_OMIT_SEVENTH_WEIGHT if degree in _SEVENTHS else _OMIT_WEIGHT for degree in omitted)
        + sum(_ADD_WEIGHT if degree in _USUAL_ADDS else _UNUSUAL_WEIGHT for degree in added)
    )


def _added_text(degree: str) -> str:
    return "addmaj7" if degree == "7" else f"add{degree}"


def printed_accidentals(text: str) -> str:
    """Symbol with printed accidentals: every # and each b that is one, before a figure or behind a capital.

    Examples
    --------
    >>> printed_accidentals("Bb7(b9,#11)/Db"), printed_accidentals("Bsus2")
    ('B♭7(♭9,♯11)/D♭', 'Bsus2')
    """
    out = []
    for place, character in enumerate(text):
        before, after = text[place - 1 : place], text[place + 1 : place + 2]
        flat = character == "b" and (before.isupper() or before in ("b", "♭") or after.isdigit() or after == "b")
        out.append("♭" if flat else "♯" if character == "#" else character)
    return "".join(out)
