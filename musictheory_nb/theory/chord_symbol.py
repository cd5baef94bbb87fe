"""Reading a chord symbol as musicians write it on charts: root, suffix, bass or second chord.

The longest run of accidentals behind the first letter belongs to the root: ``Bb5`` is a power chord on B flat, and
``B(b5)`` has a flat fifth. A doubled accidental before a bare 5 is refused with its readings. Behind a slash a bare
note is a bass, a chord with a quality is the lower half of a polychord, a number is part of the chord (``6/9``);
behind ``|`` a bare note is a triad. A small letter is read as a root where the text itself says what the third is
(``am``, ``dsus4``); ``a`` and ``a7`` are refused, because they are written for the major and for the minor chord.
In German texts a small letter is a minor chord.
"""

import re
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import AmbiguousError, ChordError, PitchError
from musictheory_nb.theory.chord_degree import (
    NAMES_BY_FIFTHS,
    NO_CHORD,
    ChordParts,
    check_spellable,
    in_order,
    lowest_tone,
)
from musictheory_nb.theory.chord_polychord import merge_chords
from musictheory_nb.theory.chord_quality import DEGREES_BY_SUFFIX
from musictheory_nb.theory.chord_suffix import TWO_SETTINGS, read_suffix
from musictheory_nb.theory.chord_text import is_no_chord, plain_chord_text
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import check_pitch_names, split_pitch_name

_ROOT: Final = re.compile(r"([A-Ga-g])(#{1,3}|b{1,3}|ʙb?|x#?|#x|♮)?")
_NOTES: Final = MappingProxyType(
    {name.name: name for name in NAMES_BY_FIFTHS.values()}
    | {f"{name.step}♯": name for name in NAMES_BY_FIFTHS.values() if name.alter == 1}
    | {f"{name.step}♭": name for name in NAMES_BY_FIFTHS.values() if name.alter == -1}
)
_ACCIDENTALS: Final = {"ʙ": "bb", "ʙb": "bbb", "x": "##", "x#": "###", "#x": "###", "♮": ""}
_BARE_NOTE: Final = re.compile(r"[a-g](?:#{0,3}|b{0,3}|x|ʙ)")
_UPPER_NOTE: Final = re.compile(r"[A-H](?!(?i:DD|LT|UG|IM|OM))")
_DOUBLED: Final = re.compile(r"([A-Ga-g](?:#{1,2}(?=#)|b{1,2}(?=b)))([#b])5(?!\d)")
_GERMAN_LOOK: Final = re.compile(r"([A-Ga-g])(is|es|s)(?![ui])")
_PITCH_LOOK: Final = re.compile(r"[A-G][#b]*[0138]")
_ROMAN: Final = re.compile(r"[b#]?(?:[iv]+|[IV]+)(?![a-z])")


def read_chord_symbol(text: str, *, names: str = "english", two: str = "add") -> ChordParts:
    """Read a chord symbol.

    Parameters
    ----------
    text : str
        Such as ``"Bb13"``, ``"F♯ø7"``, ``"D/C7"``, ``"N.C."``.
    names : {'english', 'german', 'fixed do'}
        System of root and bass names. In German H is B, and B is B flat.
    two : {'add', 'sus'}
        Whether ``C2`` is a triad with an added 2, or Csus2.

    Raises
    ------
    ChordError
        The text is no chord symbol.
    AmbiguousError
        It has several readings; they are listed.
    PitchError
        `names` is no system of names.

    Examples
    --------
    >>> read_chord_symbol("Abmaj7/C")
    ChordParts(root=PitchName('Ab'), degrees=('1', '3', '5', '7'), bass=PitchName('C'))
    >>> read_chord_symbol("H7", names="german").root
    PitchName('B')
    >>> read_chord_symbol("Ebb5")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: chord 'Ebb5': may be Eb(b5) or Ebb(no3); write one of these
    """
    if names == "english" and two == "add" and type(text) is str:
        parts = _read_usual(text)
        if parts is not None:
            return parts
    return _read_any(text, names, two)


def _read_usual(text: str) -> ChordParts | None:
    """Read a root, a suffix of the table and a bass; None for whatever else there may be in the text."""
    end = 1
    while text[end : end + 1] in ("#", "b", "♯", "♭"):
        end += 1
    root = _NOTES.get(text[:end])
    if root is None or end > 2:
        return None
    degrees = DEGREES_BY_SUFFIX.get(text[end:])
    if degrees is not None:
        return ChordParts(root, degrees, root)
    suffix, slash, bass_text = text[end:].rpartition("/")
    if not slash:
        return None
    bass, degrees = _NOTES.get(bass_text), DEGREES_BY_SUFFIX.get(suffix)
    if bass is None or degrees is None:
        return None
    return ChordParts(root, degrees, bass)


def _read_any(text: object, names: str, two: str) -> ChordParts:
    """Read by the whole grammar."""
    if not isinstance(text, str):
        raise ChordError(f"chord {text!r}: write it as text, such as 'Cm7' or 'G7/B'")
    check_pitch_names(names)
    if two not in TWO_SETTINGS:
        raise ChordError(f"two {two!r}: must be one of {', '.join(map(repr, TWO_SETTINGS))}")
    plain = plain_chord_text(text)
    if is_no_chord(plain):
        return NO_CHORD
    if plain.startswith("(") and plain.endswith(")") and _closing(plain) == len(plain) - 1:
        plain = plain[1:-1]  # a chord in brackets may be played
    if not plain:
        raise ChordError(f"chord {text!r}: is empty; write a chord such as 'Cm7', or 'N.C.' for no chord")
    upper, sign, lower = _split_lower(plain, names)
    if not sign:
        return _read_one(upper, text, names, two)
    over = _read_one(upper, text, names, two)
    bass = _read_bass(lower, names)
    if bass is not None and sign == "/":
        return _with_bass(over, bass)
    under_text, under_sign, under_bass = _split_lower(lower, names)
    under = _read_one(under_text, text, names, two)
    if under_sign:
        note = _read_bass(under_bass, names)
        if note is None or under_sign == "|" or (sign == "/" and _read_bass(under_text, names) is not None):
            raise ChordError(f"chord {text!r}: write at most one chord over another and one bass")
        under = _with_bass(under, note)
    merged = merge_chords(over, under)
    assert merged.root is not None
    check_spellable(merged.root, merged.degrees, text)
    return merged


def _closing(plain: str) -> int:
    """Place of the bracket that closes the first one."""
    depth = 0
    for place, character in enumerate(plain):
        depth += (character == "(") - (character == ")")
        if depth == 0:
            return place
    return -1


def _split_lower(plain: str, names: str) -> tuple[str, str, str]:
    """Cut a text at the first slash with a note behind it, or at ``|``: what is above, the sign, what is below."""
    depth = 0
    for place, character in enumerate(plain):
        if character in "([{":
            depth += 1
        elif character in ")]}":
            depth -= 1
        elif depth == 0 and character in "/|":
            below = plain[place + 1 :]
            if character == "|" or _begins_note(below, names):
                return plain[:place], character, below
    return plain, "", ""


def _begins_note(below: str, names: str) -> bool:
    if names == "fixed do":
        return re.match(r"Do|Ut|R[eé]|Mi|Fa|Sol|La|Si|Ti", below) is not None
    if _BARE_NOTE.fullmatch(below) is not None or (names == "german" and below == "h"):
        return True
    return _UPPER_NOTE.match(below) is not None


def _read_bass(below: str, names: str) -> PitchName | None:
    """Note that stands alone behind a slash, or None."""
    if names == "english":
        match = _ROOT.fullmatch(below)
        if match is None:
            return None
        return _name(match)
    try:
        name, rest = split_pitch_name(below[:1].upper() + below[1:], names)
    except AmbiguousError:
        raise
    except PitchError:
        return None
    return None if rest else name


def _name(match: re.Match[str]) -> PitchName:
    accidentals = match[2] or ""
    return _NOTES[match[1].upper() + _ACCIDENTALS.get(accidentals, accidentals)]


def _with_bass(parts: ChordParts, bass: PitchName) -> ChordParts:
    return ChordParts(parts.root, parts.degrees, bass)


def _read_one(plain: str, text: str, names: str, two: str) -> ChordParts:
    """Read a chord without bass."""
    small = plain[:1].islower()
    if names == "english":
        if match := _DOUBLED.match(plain):
            flat_five = f"{match[1][0].upper()}{match[1][1:]}({match[2]}5)"
            power = f"{match[1][0].upper()}{match[1][1:]}{match[2]}(no3)"
            raise AmbiguousError(
                f"chord {text!r}: may be {flat_five} or {power}; write one of these", (flat_five, power)
            )
        root_match = _ROOT.match(plain)
        if root_match is None:
            raise ChordError(f"chord {text!r}: {_root_advice(plain)}")
        root, suffix = _name(root_match), plain[root_match.end() :]
        if root_match[2] and suffix.startswith(root_match[2][-1]):
            raise ChordError(f"chord {text!r}: a root has at most three sharps or flats")
    else:
        try:
            root, suffix = split_pitch_name(plain[:1].upper() + plain[1:], names)
        except AmbiguousError as error:
            readings = tuple(f"{name}{plain[2:]}" for name in error.readings)
            raise AmbiguousError(f"chord {text!r}: {error}", readings) from None
        except PitchError as error:
            raise ChordError(f"chord {text!r}: {error}") from None
    degrees = DEGREES_BY_SUFFIX.get(suffix)
    if degrees is None or small:
        try:
            reading = read_suffix(suffix, text, root.name, two)
        except AmbiguousError:
            raise
        except ChordError:
            if advice := _whole_text_advice(plain, names, small):
                raise ChordError(f"chord {text!r}: {advice}") from None
            raise
        degrees = reading.degrees
        if small and not reading.tells_third:
            degrees = _small_letter(degrees, root, suffix, text, names)
    elif suffix == "2" and two == "sus":
        degrees = ("1", "2", "5")
    check_spellable(root, degrees, text)
    return ChordParts(root, degrees, lowest_tone(root, degrees))


def _small_letter(degrees: tuple[str, ...], root: PitchName, suffix: str, text: str, names: str) -> tuple[str, ...]:
    if names == "german":
        return in_order("b3" if degree == "3" else degree for degree in degrees)
    readings = (f"{root.name}{suffix}", f"{root.name}m{suffix}")
    raise AmbiguousError(
        f"chord {text!r}: a small letter may mean {readings[0]} or {readings[1]}; write one of these", readings
    )


def _root_advice(plain: str) -> str:
    if plain[0] in "Hh" and not plain[1:].lower().startswith(("arm", "alf")):
        return f"H is German for B; write 'B{plain[1:]}', or read it with names='german'"
    if plain == "X":
        return "X stands for an unknown chord in annotations; there is nothing to read"
    if plain.strip("%/.x-") == "":
        return "a sign for repetition is no chord; write the chord that is repeated, or 'N.C.' for no chord"
    if _ROMAN.match(plain):
        return "is a Roman numeral; read it with Roman(..., key=...)"
    return "begin with the root, a letter A to G, such as 'Cm7'; 'N.C.' means no chord"


def _whole_text_advice(plain: str, names: str, small: bool) -> str:
    """Advice that needs the whole text, where the suffix cannot be read."""
    if "quart" in plain.lower():
        return "a chord in fourths has no symbol of its own; write what it stands for, such as 'C7sus4' or 'Cm11'"
    if names == "english" and (match := _GERMAN_LOOK.match(plain)):
        return f"{match[0]} is a German note name; read it with names='german', or write it in English"
    if _PITCH_LOOK.fullmatch(plain):
        return f"looks like a pitch; write Pitch({plain!r}), or a chord such as '{plain[:-1]}7'"
    if small:
        return "begin with the root, a capital letter A to G, such as 'Cm7'"
    return ""
