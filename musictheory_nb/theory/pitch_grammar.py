"""How the text of a pitch is read: a capital letter, accidentals, an octave number.

The grammar, written as musicians and scientific pitch notation write it::

    letter      A B C D E F G
    accidentals # ♯ x 𝄪 (also ## ### x#)   b ♭ bb 𝄫 (also bbb)   ♮     up to three of one kind
                or in words: "E flat", "F double sharp"
    octave      4, 10, -1, -2 (also in subscript); any octave in brackets: (-5)

A bare minus sign before an octave number below -2 is refused, because texts such as ``E-4`` come from programs that
write ``-`` for a flat. This module knows nothing of the pitch classes built on it.
"""

import re
import unicodedata
from typing import Final

from musictheory_nb.errors import PitchError

#: Letter names from C upwards, as positions 0-6 within an octave.
STEP_INDEX: Final = {"C": 0, "D": 1, "E": 2, "F": 3, "G": 4, "A": 5, "B": 6}
#: Semitones above C of each letter without accidentals.
STEP_SEMITONES: Final = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
#: Place of each letter on the line of fifths, C = 0.
STEP_FIFTHS: Final = {"F": -1, "C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5}
#: Places of Fbbb and B### on the line of fifths: what can be spelled.
LOWEST_FIFTHS: Final = -22
HIGHEST_FIFTHS: Final = 26
#: Letters by position.
STEPS: Final = "CDEFGAB"

#: Most accidentals that any pitch carries, of one kind.
MOST_ACCIDENTALS: Final = 3
#: ASCII accidentals by alteration in semitones.
ACCIDENTALS: Final = {-3: "bbb", -2: "bb", -1: "b", 0: "", 1: "#", 2: "##", 3: "###"}
#: Accidentals as they are printed.
DISPLAY_ACCIDENTALS: Final = {-3: "♭𝄫", -2: "𝄫", -1: "♭", 0: "", 1: "♯", 2: "𝄪", 3: "♯𝄪"}

#: Lowest octave that is read behind a bare minus sign.
_LOWEST_BARE_OCTAVE: Final = -2
_PLAIN: Final = re.compile(r"([A-G])(#{1,3}|b{1,3}|)(-[12]|[0-9]{1,2}|)")
_ALTERS: Final = {accidental: alter for alter, accidental in ACCIDENTALS.items()}
_LOOSE: Final = re.compile(
    r"(?P<letter>[A-Za-z])\s*(?P<accidentals>[#bxn]*)\s*(?P<octave>-?[0-9]{1,3}|\(\s*-?[0-9]{1,3}\s*\)|)"
)
_ASCII: Final = str.maketrans({"♯": "#", "♭": "b", "♮": "n", "𝄪": "x", "𝄫": "bb", "×": "x", "−": "-", "–": "-"})
_WORDS: Final = re.compile(
    r"(?<=^[A-Za-z])[\s-]*(?P<times>double|triple)?[\s-]*(?P<sign>sharp|flat|natural)(?![a-z])", re.I
)
_SIGNS: Final = {"sharp": "#", "flat": "b", "natural": "n"}
_TIMES: Final = {None: 1, "double": 2, "triple": 3}
_GERMAN: Final = re.compile(
    r"(?P<letter>[A-Ha-h])(?P<ending>(?:is){1,3}|(?:es|as|s)(?:es|as){0,2}|)(?P<octave>-?[0-9]*)"
)
_MISPLACED: Final = re.compile(
    r"(?P<letter>[A-G])(?P<octave>-?[0-9]{1,2})(?P<behind>[#bx]{1,3})|(?P<before>[#bx]{1,3})(?P<last>[A-G])(?P<end>-?[0-9]{0,2})"
)
_SYLLABLE: Final = re.compile(r"(do|ut|r[eé]|mi|fa|sol|so|la|si|ti)(?![a-z])", re.I)
_SYLLABLE_LETTERS: Final = dict(
    zip(["do", "ut", "re", "ré", "mi", "fa", "sol", "so", "la", "si", "ti"], "CCDDEFGGABB", strict=True)
)


def read_pitch_text(text: object, argument: str = "pitch") -> tuple[str, int, int | None]:
    """Read a pitch as letter, alteration in semitones, and octave (None where none is written).

    Parameters
    ----------
    text : str
        Such as ``"F#4"``, ``"E♭"``, ``"Cb-1"``, ``"B double flat 3"``.
    argument : str
        What the text stands for, named in the error.

    Raises
    ------
    PitchError
        The text is not a pitch. The message says what to write instead where that is certain.

    Notes
    -----
    Octave numbers follow the letter and change at C: Cb4 lies below C4, B#3 above B3 (scientific pitch notation).

    Examples
    --------
    >>> read_pitch_text("F𝄪4"), read_pitch_text("E flat"), read_pitch_text("Cb-1")
    (('F', 2, 4), ('E', -1, None), ('C', -1, -1))
    >>> read_pitch_text("H4")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: pitch 'H4': H is German for B; write 'B4'
    """
    match = _PLAIN.fullmatch(text) if isinstance(text, str) else None
    if match is not None:
        letter, accidentals, octave = match.groups()
        return letter, _ALTERS[accidentals], int(octave) if octave else None
    return _read_loosely(text, argument)


def _read_loosely(text: object, argument: str) -> tuple[str, int, int | None]:
    """Read printed signs, words and blanks; raise with advice on anything else."""
    if not isinstance(text, str):
        raise PitchError(f"{argument} {text!r}: write it as text, such as 'F#4' or 'Eb4'")
    plain = unicodedata.normalize("NFKC", text.translate(_ASCII)).translate(_ASCII).strip()
    plain = _WORDS.sub(lambda m: _SIGNS[m["sign"].lower()] * _TIMES[m["times"] and m["times"].lower()], plain)
    match = _LOOSE.fullmatch(plain)
    if match is None or match["letter"] not in STEP_INDEX:
        raise PitchError(f"{argument} {text!r}: {_advice(plain)}")
    octave_text = match["octave"]
    octave = int(octave_text.strip("()")) if octave_text else None
    if octave is not None and octave < _LOWEST_BARE_OCTAVE and not octave_text.startswith("("):
        raise PitchError(
            f"{argument} {text!r}: '-' is not a flat; write '{match['letter']}b{-octave}' for the flat, "
            f"or '{match['letter']}({octave})' for octave {octave}"
        )
    return match["letter"], _read_accidentals(match["accidentals"], text, argument), octave


def _read_accidentals(signs: str, text: str, argument: str) -> int:
    """Alteration in semitones of a run of ``#``, ``x``, ``b`` or one ``n``."""
    if signs == "n":
        return 0
    sharps = signs.count("#") + 2 * signs.count("x")
    flats = signs.count("b")
    if "n" in signs or (sharps and flats):
        raise PitchError(f"{argument} {text!r}: write sharps, flats or one natural sign, not a mixture")
    if sharps + flats > MOST_ACCIDENTALS:
        raise PitchError(f"{argument} {text!r}: at most three sharps or three flats are written")
    return sharps - flats


def _advice(plain: str) -> str:
    """What to write instead of a text that is no pitch, where that is certain."""
    general = "write a capital letter A to G, accidentals # or b, and an octave number, such as 'F#4' or 'Bb3'"
    if (match := _LOOSE.fullmatch(plain)) and match["letter"] in "abcdefg":
        return f"write the letter as a capital: '{plain[0].upper()}{plain[1:]}'"
    if match and match["letter"] in "Hh" and not match["accidentals"]:
        return f"H is German for B; write 'B{plain[1:].strip()}'"
    if (match := _GERMAN.fullmatch(plain)) and match["ending"]:
        german = german_alteration(match["letter"], match["ending"])
        if german is not None:
            english = german[0] + ACCIDENTALS[german[1]]
            name = match["letter"] + match["ending"]
            return f"{name} is German for {english}; write '{english}{match['octave']}'"
    if match := _SYLLABLE.match(plain):
        letter = _SYLLABLE_LETTERS[match[0].lower()]
        return f"{match[0]} is the fixed-do name of {letter}; write the letter, or read it with names='fixed do'"
    if match := _MISPLACED.fullmatch(plain):
        letter, octave = match["letter"] or match["last"], match["octave"] or match["end"] or ""
        signs = match["before"] or match["behind"]
        return f"accidentals stand between letter and octave number: write '{letter}{signs}{octave}'"
    if len(plain) > 1 and plain[0] in STEP_INDEX and "-" in plain:
        return f"'-' is not a flat; write '{plain[0]}b', and an octave number behind it, such as '{plain[0]}b4'"
    return general


def german_alteration(letter: str, ending: str) -> tuple[str, int] | None:
    """Letter and alteration of a German pitch name cut into letter and ending, or None if there is no such name.

    Examples
    --------
    >>> german_alteration("F", "is"), german_alteration("E", "s"), german_alteration("H", "eses")
    (('F', 1), ('E', -1), ('B', -2))
    >>> german_alteration("B", ""), german_alteration("E", "es")
    (('B', -1), None)
    """
    letter, ending = letter.upper(), ending.lower()
    if letter == "B":  # German B is B flat, and takes no ending
        return ("B", -1) if not ending else None
    step = "B" if letter == "H" else letter
    if step not in STEP_INDEX:
        return None
    if not ending:
        return step, 0
    if ending.startswith("i"):
        return step, len(ending) // 2
    if letter in "EA":  # Es, Eses; As, Ases or Asas
        tail = ending[1:]
        whole = ending.startswith("s") and (
            tail.replace("es", "") == "" or (letter == "A" and tail.replace("as", "") == "")
        )
        return (step, -1 - len(tail) // 2) if whole else None
    return (step, -len(ending) // 2) if ending.replace("es", "") == "" else None
