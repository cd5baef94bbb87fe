"""Roman numerals and figures as they are read aloud, for screen readers."""

import re
from functools import lru_cache
from types import MappingProxyType
from typing import Final

_NUMBERS: Final = MappingProxyType(
    {"I": "one", "II": "two", "III": "three", "IV": "four", "V": "five", "VI": "six", "VII": "seven"}
)
_WORDS: Final = MappingProxyType(
    {
        "b": "flat", "♭": "flat", "#": "sharp", "♯": "sharp", "n": "natural", "♮": "natural", "°": "diminished",
        "ø": "half-diminished", "+": "augmented", "N": "Neapolitan", "It": "Italian", "Fr": "French", "Ger": "German",
        "Sw": "Swiss", "Cad": "cadential", "sub": "substitute for",
    }
)  # fmt: skip
_TOKEN: Final = re.compile(r"[IV]+|[iv]+|It|Fr|Ger|Sw|Cad|sub|/(?=[#b♯♭]*[IViv])|[^/\s-]")
_FIGURES: Final = re.compile(r"[0-9#b♯♭n♮+\\/ -]*[0-9#b♯♭n♮][0-9#b♯♭n♮+\\/ -]*")


def is_figures(text: str) -> bool:
    """Whether a text is figured bass: numbers and accidentals alone.

    Examples
    --------
    >>> [is_figures(text) for text in ("6/5", "#", "7 b", "V7", "b7/V", "")]
    [True, True, True, False, False, False]
    """
    return _FIGURES.fullmatch(text) is not None


@lru_cache(maxsize=4096)
def spoken_numeral(text: str) -> str:
    """Return a numeral, or figures, as read aloud; capitals and small letters are told apart.

    Examples
    --------
    >>> spoken_numeral("vii°65/V"), spoken_numeral("V6/5/V"), spoken_numeral("bVI"), spoken_numeral("Ger65")
    ('small seven diminished 6 5 of capital five', 'capital five 6 5 of capital five', 'flat capital six', 'German 6 5')
    >>> spoken_numeral("♯6/♮4")
    'sharp 6 natural 4'
    """
    said = []
    for token in _TOKEN.findall(text):
        if number := _NUMBERS.get(token.upper()):
            said.append(f"{'capital' if token.isupper() else 'small'} {number}")
        elif token == "/":
            said.append("of")
        else:
            said.append(_WORDS.get(token, token))
    return " ".join(said)
