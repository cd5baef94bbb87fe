"""Reading the name of a key: a tonic and a mode.

A tonic alone is read as teachers write it: a capital letter is major, a small one minor ("A" and "a"). A word for the
mode decides whatever the letter ("a minor" and "A minor" are the same key). German keys take Dur and Moll.
"""

import re
import unicodedata
from typing import Final

from musictheory_nb.errors import AmbiguousError, KeyNameError, PitchError
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
#: What may stand before the tonic: "the key of".
_LEAD: Final = re.compile(r"(?:the\s+)?key\s+of\s+", re.IGNORECASE)
_DASHES: Final = str.maketrans("–−‐‑—", "-----")
_GERMAN_NAME: Final = re.compile(r"(?P<tonic>[A-Ha-h](?:is|es|s)(?:is|es|as)*)(?P<rest>[ -].*|)")
_GERMAN_MODE: Final = re.compile(r"(?:dur|moll)$", re.IGNORECASE)


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
    check_pitch_names(names)
    if not isinstance(text, str):
        raise KeyNameError(f"key {text!r}: write tonic and mode as text, such as 'C major' or 'A minor'")
    plain = _LEAD.sub("", unicodedata.normalize("NFC", text).translate(_DASHES).strip())
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
    if names == "english" and (advice := _foreign_name_advice(plain)):
        raise KeyNameError(f"key {text!r}: {advice}")
    try:
        tonic = read_pitch_name(tonic_text, names)
        mode = read_mode(word) if word else KEY_MODES["minor" if is_small and names != "fixed do" else "major"]
    except (KeyNameError, PitchError) as error:
        raise KeyNameError(f"key {text!r}: {error}") from error
    return tonic, mode


def _advice(plain: str, names: str) -> str:
    """What to write instead, where that is certain."""
    if names == "english" and plain[:1] in ("H", "h") and not _GERMAN_MODE.search(plain):
        return f"H is German for B; write 'B{plain[1:]}', or read it with names='german'"
    return _foreign_name_advice(plain) or "write tonic and mode, such as 'C major', 'A minor' or 'F# dorian'"


def _foreign_name_advice(plain: str) -> str:
    """Advice for a German or fixed-do name, and an empty text for others."""
    if match := _GERMAN_MODE.search(plain):
        try:
            tonic, mode = read_key_text(plain, "german")
        except (KeyNameError, PitchError, AmbiguousError):
            return f"{match[0]} is German; write 'major' or 'minor' behind an English name"
        return f"{match[0]} is German; write '{tonic.name} {mode.name}', or read it with names='german'"
    if match := _GERMAN_NAME.fullmatch(plain):
        try:
            english = read_pitch_name(match["tonic"], "german").name
        except PitchError:
            return ""
        return f"{match['tonic']} is German for {english}; write '{english}{match['rest']}', or read it with names='german'"
    if (match := _FIXED_DO.fullmatch(plain)) and (not match["rest"] or match["rest"][0] in " -"):
        english = read_pitch_name(match["tonic"], "fixed do").name
        return f"{match['tonic']} is the fixed-do name of {english}; read it with names='fixed do'"
    return ""
