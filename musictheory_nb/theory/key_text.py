"""Reading the name of a key: a tonic and a mode.

A tonic alone is read as teachers write it: a capital letter is major, a small one minor ("A" and "a"). A word for the
mode decides whatever the letter ("a minor" and "A minor" are the same key). German keys take Dur and Moll.
"""

import re
import unicodedata
from typing import Final

from musictheory_nb.errors import KeyNameError, PitchError
from musictheory_nb.theory.key_mode import KEY_MODES, KeyMode, read_mode
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import check_pitch_names, read_pitch_name

_ENGLISH: Final = re.compile(
    r"(?P<letter>[A-Ga-g])(?P<accidentals>[#♯x𝄪b♭𝄫♮]+|[ -]?(?:double[ -]|triple[ -])?(?:sharp|flat|natural)\b|)"
    r"(?P<rest>.*)"
)
_GERMAN: Final = re.compile(
    r"(?P<tonic>[A-Ha-h](?:(?:is){1,3}|(?:es|as|s)(?:es|as){0,2}(?![a-z])|)[#♯x𝄪b♭𝄫]*)(?P<rest>.*)"
)
_FIXED_DO: Final = re.compile(
    r"(?P<tonic>(?:do|ut|r[eé]|mi|fa|sol|la|si|ti)[#♯x𝄪b♭𝄫]*"
    r"(?:[ -](?:dièse|diese|diesis|sostenido|sustenido|bémol|bemolle|bemol|sharp|flat)\b)?)(?P<rest>.*)",
    re.IGNORECASE,
)
_GERMAN_MODES: Final = ("dur", "moll")


def read_key_text(text: object, names: str = "english") -> tuple[PitchName, KeyMode]:
    """Read a key as tonic and mode.

    Parameters
    ----------
    text : str
        Such as ``"A minor"``, ``"Am"``, ``"a"``, ``"E♭"``, ``"F# dorian"``, ``"B-flat major"``, ``"h-Moll"``.
    names : {'english', 'german', 'fixed do'}
        System of pitch names.

    Raises
    ------
    KeyNameError
        The text is no key.

    Examples
    --------
    >>> [(tonic.name, mode.name) for tonic, mode in map(read_key_text, ("A minor", "bb", "E♭", "F# dorian"))]
    [('A', 'minor'), ('Bb', 'minor'), ('Eb', 'major'), ('F#', 'dorian')]
    >>> tonic, mode = read_key_text("h-Moll", "german")
    >>> tonic.name, mode.name
    ('B', 'minor')
    >>> read_key_text("H minor")
    Traceback (most recent call last):
    musictheory_nb.errors.KeyNameError: key 'H minor': H is German for B; write 'B minor', or read it with names='german'
    """
    if not isinstance(text, str):
        raise KeyNameError(f"key {text!r}: write tonic and mode as text, such as 'C major' or 'A minor'")
    check_pitch_names(names)
    plain = unicodedata.normalize("NFC", text).strip()
    pattern = {"english": _ENGLISH, "german": _GERMAN, "fixed do": _FIXED_DO}[names]
    match = pattern.fullmatch(plain)
    if match is None:
        raise KeyNameError(f"key {text!r}: {_advice(plain, names)}")
    tonic_text = match["letter"].upper() + match["accidentals"] if names == "english" else match["tonic"]
    is_small = plain[0].islower()
    rest = match["rest"].strip()
    if rest.startswith("-") and not rest[1:2].isalpha():
        flat = f"{tonic_text}b {rest.lstrip('- ')}".rstrip()
        raise KeyNameError(f"key {text!r}: '-' is not a flat; write '{flat}' if that is meant")
    word = rest.removeprefix("-")
    if names == "english" and word.lower() in _GERMAN_MODES:
        english = "major" if word.lower() == "dur" else "minor"
        raise KeyNameError(
            f"key {text!r}: {word} is German; write '{tonic_text} {english}', or read it with names='german'"
        )
    try:
        tonic = read_pitch_name(tonic_text, names)
        mode = read_mode(word) if word else KEY_MODES["minor" if is_small and names != "fixed do" else "major"]
    except (KeyNameError, PitchError) as error:
        raise KeyNameError(f"key {text!r}: {error}") from error
    return tonic, mode


def _advice(plain: str, names: str) -> str:
    """What to write instead, where that is certain."""
    if names == "english" and plain[:1] in ("H", "h"):
        return f"H is German for B; write 'B{plain[1:]}', or read it with names='german'"
    return "write tonic and mode, such as 'C major', 'A minor' or 'F# dorian'"
