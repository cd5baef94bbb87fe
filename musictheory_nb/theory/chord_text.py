"""The signs and words of a chord symbol, brought to plain ones: ``♭`` and "flat" to ``b``, ``△`` to ``Δ``, ``º`` to ``°``.

Musicians type the same symbol with many characters: typographic and ASCII accidentals, three triangles, four rings,
hyphens and minus signs, superscript figures, words. After `plain_chord_text` one character stands for each, and
blanks are gone except where they part two numbers, which then stand behind a comma.
"""

import re
import unicodedata
from typing import Final

from musictheory_nb.errors import AmbiguousError

_TRIANGLES: Final = "△∆▵▲⃤ᐃ"
_RINGS: Final = "º°˚∘○◦⁰"
_SLASHED: Final = "øØ∅⌀ϕφΦ"
_DASHES: Final = "−–—‐‑‒﹣－⁻₋"
#: Before normalisation, because compatibility forms of these characters would be lost or turned into letters.
_SIGNS: Final = str.maketrans(
    dict.fromkeys(_TRIANGLES, "Δ")
    | dict.fromkeys(_RINGS, "°")
    | dict.fromkeys(_SLASHED, "ø")
    | dict.fromkeys(_DASHES, "-")
    | dict.fromkeys("\u200b\u200c\u200d\u2060\ufe0e\ufe0f\ufeff")  # invisible
    | {"♯": "#", "♭": "b", "𝄪": "x", "𝄫": "ʙ", "∕": "/", "⁄": "/", "／": "/", "\\": "/", "¦": "|", "·": ".", "’": "'"}
)
_ACCIDENTAL_WORD: Final = re.compile(
    r"[\s-]*(?:(?<![a-z])(?P<times>double[\s-]*)?(?P<sign>sharp|flat|natural)(?![a-z])|(?<=\b[a-g])(?P<glued>sharp|flat))"
    r"[\s-]*",
    re.I,
)
_ACCIDENTAL_SIGNS: Final = {"sharp": "#", "flat": "b", "natural": "♮"}
_HAS_ACCIDENTAL_WORD: Final = re.compile("sharp|flat|natural", re.I)
_HAS_NUMBER_WORD: Final = re.compile("th|second|third|two|four|five|six|seven|nine|eleven|triad|chord|power", re.I)
_NUMBER_WORDS: Final = {
    "second": "2",
    "third": "3",
    "fourth": "4",
    "fifth": "5",
    "sixth": "6",
    "seventh": "7",
    "ninth": "9",
    "eleventh": "11",
    "thirteenth": "13",
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "nine": "9",
    "eleven": "11",
    "thirteen": "13",
    "power": "5",
}
_ORDINAL: Final = re.compile(rf"\s*\b({'|'.join(_NUMBER_WORDS)})\b|\s*\b(triad|chord)\b", re.I)
_OVER: Final = re.compile(r"\s+over\s+", re.I)
_SPLIT_ROOT: Final = re.compile(r"[A-Ga-g]\s+[#b][0-9]")
_PARTED_NUMBERS: Final = re.compile(r"(?<=[0-9])\s+(?=[0-9])")
_BLANKS: Final = re.compile(r"\s+")
_NO_CHORD: Final = frozenset({"nc", "n/c", "nochord", "tacet"})
#: Words for accidentals and for the third of a chord, in German and the Romance languages.
_FOREIGN_WORDS: Final = (
    (re.compile(r"[\s-]*\b(?:di[eè]se|diesis|sostenido)\b[\s-]*", re.I), "#"),
    (re.compile(r"[\s-]*\b(?:b[eé]mol|bemolle)\b[\s-]*", re.I), "b"),
    (re.compile(r"[\s-]*\b(?:dur|majeur|maggiore|mayor)\b", re.I), "maj"),
    (re.compile(r"[\s-]*\b(?:moll|mineur|minore|menor)\b", re.I), "m"),
)
_BRACKETS: Final = {"(": ")", "[": "]"}


def plain_chord_text(text: str) -> str:
    """Chord text in plain signs.

    Raises
    ------
    AmbiguousError
        A blank parts a root from an accidental before a number, as in "E b9".

    Examples
    --------
    >>> plain_chord_text("F♯ø7"), plain_chord_text(" C maj 7 "), plain_chord_text("B flat minor seventh")
    ('F#ø7', 'Cmaj7', 'Bbminor7')
    >>> plain_chord_text("C−7♭5"), plain_chord_text("C△⁹"), plain_chord_text("Cm7 9")
    ('C-7b5', 'CΔ9', 'Cm7,9')
    >>> plain_chord_text("E b5")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: chord 'E b5': may be Eb5 or E(b5); write one of these
    """
    plain = text.translate(_SIGNS)
    if not plain.isascii():
        plain = unicodedata.normalize("NFKC", plain).translate(_SIGNS)
    plain = plain.strip()
    if len(plain) > 4 and _HAS_NUMBER_WORD.search(plain) and not is_no_chord(plain):
        plain = _ORDINAL.sub(lambda match: _NUMBER_WORDS.get((match[1] or "").lower(), ""), plain)
    if len(plain) > 4 and _HAS_ACCIDENTAL_WORD.search(plain):
        plain = _ACCIDENTAL_WORD.sub(_accidental, plain)
    if " " in plain or not plain.isprintable():
        if _SPLIT_ROOT.match(plain):
            joined, altered = _BLANKS.sub("", plain), f"{plain[0]}({_BLANKS.sub('', plain[1:])})"
            raise AmbiguousError(f"chord {text!r}: may be {joined} or {altered}; write one of these", (joined, altered))
        plain = _OVER.sub("/", plain)
        plain = _BLANKS.sub("", _PARTED_NUMBERS.sub(",", plain))
    return plain


def _accidental(match: re.Match[str]) -> str:
    return _ACCIDENTAL_SIGNS[(match["sign"] or match["glued"]).lower()] * (2 if match["times"] else 1)


def without_foreign_words(text: str) -> str:
    """Chord text with German, French, Italian and Spanish words in signs.

    Examples
    --------
    >>> without_foreign_words("Fis-Moll"), without_foreign_words("Fa dièse mineur"), without_foreign_words("Sib maggiore")
    ('Fism', 'Fa#m', 'Sibmaj')
    """
    text = unicodedata.normalize("NFC", text)
    for words, sign in _FOREIGN_WORDS:
        text = words.sub(sign, text)
    return text


def is_no_chord(plain: str) -> bool:
    """Whether a plain text says that there is no chord.

    Examples
    --------
    >>> [is_no_chord(text) for text in ("N.C.", "NC", "N", "no chord", "tacet", "Nm")]
    [True, True, True, True, True, False]
    """
    return plain == "N" or _BLANKS.sub("", plain.replace(".", "")).lower() in _NO_CHORD


def without_outer_brackets(plain: str) -> str:
    """Text without the brackets around a chord that may be played or not.

    Examples
    --------
    >>> without_outer_brackets("(C7)"), without_outer_brackets("[C7]"), without_outer_brackets("(C)(b5)")
    ('C7', 'C7', '(C)(b5)')
    """
    opening = plain[:1]
    closing = _BRACKETS.get(opening)
    if closing is None or not plain.endswith(closing):
        return plain
    depth = 0
    for place, character in enumerate(plain):
        depth += (character == opening) - (character == closing)
        if depth == 0:
            return plain[1:-1] if place == len(plain) - 1 else plain
    return plain
