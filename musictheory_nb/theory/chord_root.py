"""The root and the bass of a chord symbol, and where a text is cut between upper and lower part."""

import re
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import AmbiguousError, ChordError, PitchError
from musictheory_nb.theory.chord_degree import NAMES_BY_FIFTHS
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import split_pitch_name

_ROOT: Final = re.compile(r"([A-Ga-g])(#{1,3}|b{1,3}|ʙb?|x#?|#x|♮)?")
NOTES_BY_TEXT: Final = MappingProxyType(
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


def split_root(plain: str, text: str, names: str) -> tuple[PitchName, str, str]:
    """Root of a chord, the root as it is written with a capital, and the suffix behind it.

    Raises
    ------
    ChordError
        The text does not begin with a root.
    AmbiguousError
        A doubled accidental stands before a bare 5, or the root is German "Bb".

    Examples
    --------
    >>> split_root("Bbm7", "Bbm7", "english"), split_root("fis7", "fis7", "german")
    ((PitchName('Bb'), 'Bb', 'm7'), (PitchName('F#'), 'Fis', '7'))
    >>> split_root("H7", "H7", "english")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: chord 'H7': H is German for B; write 'B7', or read it with names='german'
    """
    if not plain:
        raise ChordError(f"chord {text!r}: a chord is missing above or below the line")
    capital = plain[0].upper() + plain[1:]
    if names != "english":
        try:
            root, suffix = split_pitch_name(capital, names)
        except AmbiguousError as error:
            raise AmbiguousError(str(error), tuple(f"{name}{plain[2:]}" for name in error.readings)) from None
        except PitchError as error:
            raise ChordError(f"chord {text!r}: {error}") from None
        return root, capital[: len(capital) - len(suffix)], suffix
    if match := _DOUBLED.match(capital):
        one, last, rest = match[1], match[2], capital[match.end() :]
        tail = f",{rest.strip('()')})" if rest else ")"
        readings = f"{one}({last}5{tail}", f"{one}{last}(no3{tail}"
        raise AmbiguousError(f"chord {text!r}: may be {readings[0]} or {readings[1]}", readings)
    match = _ROOT.match(plain)
    if match is None:
        raise ChordError(f"chord {text!r}: {_root_advice(plain)}")
    suffix = plain[match.end() :]
    if match[2] and suffix.startswith(match[2][-1]):
        raise ChordError(f"chord {text!r}: a root has at most three sharps or flats")
    root = _name(match)
    return root, root.name, suffix


def split_lower(plain: str, names: str) -> tuple[str, str, str]:
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


def read_bass(below: str, names: str) -> PitchName | None:
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
    return NOTES_BY_TEXT[match[1].upper() + _ACCIDENTALS.get(accidentals, accidentals)]


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


def whole_text_advice(plain: str, names: str) -> str:
    """Advice that needs the whole text, where the suffix cannot be read."""
    if "quart" in plain.lower():
        return "a chord in fourths has no symbol of its own; write what it stands for, such as 'C7sus4' or 'Cm11'"
    if names == "english" and (match := _GERMAN_LOOK.match(plain)):
        return f"{match[0]} is a German note name; read it with names='german', or write it in English"
    if _PITCH_LOOK.fullmatch(plain):
        return f"looks like a pitch; write Pitch({plain!r}), or a chord such as '{plain[:-1]}7'"
    if plain[0].islower():
        return "begin with the root, a capital letter A to G, such as 'Cm7'"
    return ""
