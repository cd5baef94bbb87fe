"""Pitch names in other languages and systems: English, German, and the fixed-do names of Romance languages.

German: H is B, B is B flat; sharps end in -is (Fis, Fisis), flats in -es (Des, Deses), shortened to Es and As. German
names are read with a capital or a small letter (``fis``), and with printed accidentals (``F#``), which German chord
charts use; ``Bb`` is refused, because German readers mean two different notes by it.
Fixed do: Do Re Mi Fa Sol La Si, with accidental signs or words (dièse, bémol, diesis, bemolle, sostenido, bemol).
Octave numbers are those of scientific pitch notation in every system.
"""

import re
import unicodedata
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import AmbiguousError, PitchError
from musictheory_nb.theory.pitch import Pitch, PitchName
from musictheory_nb.theory.pitch_grammar import DISPLAY_ACCIDENTALS, german_alteration, read_pitch_text

#: The systems of pitch names, with what each does.
PITCH_NAME_SYSTEMS: Final = MappingProxyType(
    {
        "english": "letters A to G, B flat is Bb (default)",
        "german": "H is B, B is B flat; Fis, Es, As, Heses",
        "fixed do": "Do Re Mi Fa Sol La Si for C to B, in every key",
    }
)

_FIXED_DO: Final = MappingProxyType({"C": "Do", "D": "Re", "E": "Mi", "F": "Fa", "G": "Sol", "A": "La", "B": "Si"})
_SYLLABLES: Final = MappingProxyType(
    {
        "do": "C",
        "ut": "C",
        "re": "D",
        "ré": "D",
        "mi": "E",
        "fa": "F",
        "sol": "G",
        "so": "G",
        "la": "A",
        "si": "B",
        "ti": "B",
    }
)
_ACCIDENTAL_WORDS: Final = MappingProxyType(
    {
        1: ("dièse", "diese", "diesis", "sostenido", "sustenido", "sharp"),
        -1: ("bémol", "bemol", "bemolle", "flat"),
        0: ("bécarre", "becarre", "bequadro", "becuadro", "natural"),
    }
)
_DOUBLE_WORDS: Final = ("double", "doppio", "doble", "dobrado", "duplo")
_OCTAVE: Final = r"(?P<octave>-?[0-9]{1,2}|\(-?[0-9]{1,3}\)|)"
_MINUS: Final = str.maketrans("−–", "--")
_SIGNS: Final = "[#♯x𝄪b♭𝄫♮×]"
_GERMAN: Final = re.compile(
    rf"(?P<letter>[A-Ha-h])(?P<ending>(?:is)+|(?:es|as|s)(?:es|as)*|)(?P<signs>{_SIGNS}*)\s*{_OCTAVE}"
)
_GERMAN_PREFIX: Final = re.compile(
    rf"(?P<letter>[A-H])(?P<ending>(?:is){{1,3}}|(?:es|as|s)(?:es|as){{0,2}}|)(?P<signs>{_SIGNS}*)"
)
_ENGLISH_PREFIX: Final = re.compile(rf"[A-G](?:{_SIGNS}+)?")
_FIXED_DO_TEXT: Final = re.compile(
    rf"(?P<syllable>[A-Za-zé]+?)(?:\s?(?P<signs>{_SIGNS}+))?(?P<words>(?:[ -][^\W\d]+)*)\s*{_OCTAVE}"
)
_FIXED_DO_PREFIX: Final = re.compile(rf"(?P<syllable>Do|Ut|R[eé]|Mi|Fa|Sol|La|Si|Ti)(?P<signs>{_SIGNS}*)")


def check_pitch_names(names: str) -> None:
    """Raise `PitchError` unless `names` is a system of `PITCH_NAME_SYSTEMS`.

    Examples
    --------
    >>> check_pitch_names("german")
    >>> check_pitch_names("dutch")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: names 'dutch': must be one of 'english', 'german', 'fixed do'
    """
    if not isinstance(names, str) or names not in PITCH_NAME_SYSTEMS:
        raise PitchError(f"names {names!r}: must be one of {', '.join(map(repr, PITCH_NAME_SYSTEMS))}")


def write_pitch(pitch: Pitch | PitchName, names: str = "english", *, printed: bool = False) -> str:
    """Name of a pitch in a system, with its octave number if it has one.

    Parameters
    ----------
    names : {'english', 'german', 'fixed do'}
        System of names.
    printed : bool
        Whether accidentals are printed signs (♯ ♭) rather than ``#`` and ``b``. German names need none.

    Raises
    ------
    PitchError
        No such system.

    Notes
    -----
    German endings after the usual German usage (common practice, no source); B double flat is Heses.

    Examples
    --------
    >>> [write_pitch(PitchName(n), "german") for n in ("B", "Bb", "Eb", "F#", "Bbb", "Ab")]
    ['H', 'B', 'Es', 'Fis', 'Heses', 'As']
    >>> write_pitch(Pitch("Bb3"), "fixed do"), write_pitch(Pitch("Bb3"), "fixed do", printed=True)
    ('Sib3', 'Si♭3')
    >>> write_pitch(PitchName("B"), "dutch")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: names 'dutch': must be one of 'english', 'german', 'fixed do'
    """
    check_pitch_names(names)
    if not isinstance(pitch, Pitch | PitchName):
        raise PitchError(f"pitch {pitch!r}: give a Pitch or PitchName, such as Pitch('F#4')")
    if names == "english":
        return pitch.display if printed else pitch.name
    octave = "" if isinstance(pitch, PitchName) else (pitch.display if printed else pitch.name).lstrip("ABCDEFG#b♯♭𝄪𝄫")
    if names == "german":
        return _german_name(pitch.step, pitch.alter) + octave
    signs = DISPLAY_ACCIDENTALS[pitch.alter] if printed else PitchName.of(pitch.step, pitch.alter).name[1:]
    return _FIXED_DO[pitch.step] + signs + octave


def _german_name(step: str, alter: int) -> str:
    if step == "B":
        return "B" if alter == -1 else "H" + ("is" * alter if alter > 0 else "es" * -alter)
    if alter >= 0 or step not in "EA":
        return step + ("is" * alter if alter > 0 else "es" * -alter)
    return step + "s" + "es" * (-alter - 1)


def read_pitch(text: str, names: str = "english") -> Pitch:
    """Read a pitch with an octave number in a system of names.

    Raises
    ------
    PitchError
        No such system, no such pitch, or no octave number.
    AmbiguousError
        German "Bb".

    Examples
    --------
    >>> read_pitch("B3", "german"), read_pitch("H3", "german"), read_pitch("sol dièse 4", "fixed do")
    (Pitch('Bb3'), Pitch('B3'), Pitch('G#4'))
    >>> read_pitch("H3")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: pitch 'H3': H is German for B; write 'B3'
    """
    step, alter, octave = _read(text, names, "pitch")
    if octave is None:
        raise PitchError(
            f"pitch {text!r}: has no octave number; write '{text}4', or read_pitch_name({text!r}, {names!r})"
        )
    return Pitch.of(step, alter, octave)


def read_pitch_name(text: str, names: str = "english") -> PitchName:
    """Read a pitch name without octave in a system of names; raises as `read_pitch` does.

    Examples
    --------
    >>> [read_pitch_name(n, "german").name for n in ("H", "B", "Es", "fis", "Heses", "Asas")]
    ['B', 'Bb', 'Eb', 'F#', 'Bbb', 'Abb']
    >>> [read_pitch_name(n, "fixed do").name for n in ("Do", "Ré", "Sib", "fa dièse", "mi bemolle")]
    ['C', 'D', 'Bb', 'F#', 'Eb']
    >>> read_pitch_name("Bb", "german")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: pitch name 'Bb': in German it may be B (English Bb) or Heses (English Bbb)
    """
    step, alter, octave = _read(text, names, "pitch name")
    if octave is not None:
        raise PitchError(f"pitch name {text!r}: has an octave number; write read_pitch({text!r}, {names!r})")
    return PitchName.of(step, alter)


def split_pitch_name(text: str, names: str = "english") -> tuple[PitchName, str]:
    """Pitch name that a text begins with, and the rest of the text: the root of a chord symbol.

    The longest run of accidentals belongs to the name. The name begins with a capital letter.

    Raises
    ------
    PitchError
        The text does not begin with a pitch name of that system.
    AmbiguousError
        German "Bb".

    Examples
    --------
    >>> split_pitch_name("Bb7"), split_pitch_name("H7", "german"), split_pitch_name("Es7", "german")
    ((PitchName('Bb'), '7'), (PitchName('B'), '7'), (PitchName('Eb'), '7'))
    >>> split_pitch_name("Esus4", "german"), split_pitch_name("Asus", "german"), split_pitch_name("Solm7", "fixed do")
    ((PitchName('E'), 'sus4'), (PitchName('A'), 'sus'), (PitchName('G'), 'm7'))
    >>> split_pitch_name("H7")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: chord root 'H7': H is German for B; write 'B7'
    """
    check_pitch_names(names)
    if not isinstance(text, str):
        raise PitchError(f"chord root {text!r}: write it as text, such as 'Bb'")
    if names == "german" and (match := _GERMAN_PREFIX.match(text)):
        end = match.end()
        if match["ending"].endswith("s") and text[end : end + 2] == "us" and match["ending"] in ("s", "as", "es"):
            end -= 1  # the s of "sus": Esus4, Asus
        return read_pitch_name(text[:end], names), text[end:]
    if names == "fixed do" and (match := _FIXED_DO_PREFIX.match(text)):
        return read_pitch_name(match[0], names), text[match.end() :]
    if names == "english" and (match := _ENGLISH_PREFIX.match(text)):
        step, alter, _ = read_pitch_text(match[0], "chord root")
        return PitchName.of(step, alter), text[match.end() :]
    if names == "english" and text[:1] in ("H", "h"):
        raise PitchError(f"chord root {text!r}: H is German for B; write 'B{text[1:]}'")
    raise PitchError(f"chord root {text!r}: begin with a note name in capitals, names={names!r}")


def _read(text: object, names: str, argument: str) -> tuple[str, int, int | None]:
    check_pitch_names(names)
    if names == "english" or not isinstance(text, str):
        return read_pitch_text(text, argument)
    plain = unicodedata.normalize("NFC", text).strip().translate(_MINUS)
    reading = _read_german(plain, text, argument) if names == "german" else _read_fixed_do(plain)
    if reading is None:
        examples = "'H', 'B', 'Fis', 'Es'" if names == "german" else "'Do', 'Fa#', 'Sib', 'sol dièse'"
        raise PitchError(f"{argument} {text!r}: no such {names} name; write names such as {examples}")
    return reading


def _read_german(plain: str, text: str, argument: str) -> tuple[str, int, int | None] | None:
    match = _GERMAN.fullmatch(plain)
    if match is None:
        return None
    letter, ending, signs = match["letter"].upper(), match["ending"], match["signs"]
    octave = int(match["octave"].strip("()")) if match["octave"] else None
    if signs and ending:
        raise PitchError(f"{argument} {text!r}: write the German ending or the sign, not both")
    if letter == "B" and signs in ("b", "♭"):
        raise AmbiguousError(
            f"{argument} {text!r}: in German it may be B (English Bb) or Heses (English Bbb)", ("B", "Heses")
        )
    if letter in "BH" and signs:
        german = _german_name(*read_pitch_text(f"B{signs}", argument)[:2])
        raise PitchError(
            f"{argument} {text!r}: a German name takes no sign on {letter}; write {german!r} if that is meant"
        )
    if signs:
        step, alter, _ = read_pitch_text(letter + signs, argument)
        return step, alter, octave
    altered = german_alteration(letter, ending)
    if altered is None or abs(altered[1]) > 3:
        return None
    return *altered, octave


def _read_fixed_do(plain: str) -> tuple[str, int, int | None] | None:
    match = _FIXED_DO_TEXT.fullmatch(plain)
    if match is None or match["syllable"].lower() not in _SYLLABLES:
        return None
    step = _SYLLABLES[match["syllable"].lower()]
    octave = int(match["octave"].strip("()")) if match["octave"] else None
    words = match["words"].lower().replace("-", " ").split()
    if not words:
        return step, read_pitch_text(f"C{match['signs'] or ''}")[1], octave
    times = 2 if words[0] in _DOUBLE_WORDS or words[-1] in _DOUBLE_WORDS else 1
    signs = [alter for word in words for alter, forms in _ACCIDENTAL_WORDS.items() if word in forms]
    if match["signs"] or len(signs) != 1 or len(words) != times:
        return None
    return step, signs[0] * times, octave
