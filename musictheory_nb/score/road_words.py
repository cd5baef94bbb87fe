"""Words that lead players through a piece: D.C., D.S., Fine, To Coda, in the languages that print them.

Source: common practice; the Italian words and their abbreviations as dictionaries of music give them.
"""

import re
from typing import Final

# Without its points an abbreviation is one in capitals only: "d c" are letters of a song's words.
_DA_CAPO: Final = re.compile(r"\b(D\.?\s?C\b\.?|d\.\s?c\b\.?|(?i:da\s+capo|from the (beginning|top)|vom anfang))")
_DAL_SEGNO: Final = re.compile(r"(\bD\.?\s?S\b\.?|\bd\.\s?s\b\.?|(?i:\bda?l\s+seg(no|\.)|\bdal?\s?[𝄋§]|from the sign))")
_TO_CODA: Final = re.compile(r"(\b(to|al|alla|go to)\s+(the\s+)?(coda|𝄌|⊕)|\bda\s+coda\b)", re.I)
_FINE: Final = re.compile(r"^[\s(\[]*(fine|fin|ende|the end)\b[\s.)\]]*$", re.I)
_CODA: Final = re.compile(r"^[\s(\[𝄌⊕]*coda[\s.)\]𝄌⊕:]*$", re.I)
_SEGNO: Final = re.compile(r"^[\s(\[]*(segno|𝄋)[\s.)\]]*$", re.I)
_UNTIL_FINE: Final = re.compile(r"\b(al|to|till|until|bis)\s+(the\s+)?(fine|end|segno|sign|𝄋|§)", re.I)
_UNTIL_SIGN: Final = re.compile(r"\b(al|to|till|until|bis)\s+(the\s+)?(segno|sign|𝄋|§)", re.I)
_UNTIL_CODA: Final = re.compile(r"\b(al|alla|to|e poi|then)\s+(la\s+|the\s+)?(coda|𝄌|⊕)", re.I)
_WITH_REPEATS: Final = re.compile(r"\b(con|with)\s+(le\s+)?(rep|ritorn)", re.I)
_SECTION: Final = re.compile(
    r"\b(men\b\.?|menuett?o?|minuett?o?|minuet|scherzo|march|marcia|polonaise|valse|waltz)", re.I
)


def road_kind(text: str) -> str:
    """Return which sign of the road the words are; ``''`` if none.

    Examples
    --------
    >>> [road_kind(words) for words in ("D.C. al Fine", "Menuetto da capo", "D.S. al Coda", "To Coda", "Fine", "dolce")]
    ['dacapo', 'dacapo', 'dalsegno', 'tocoda', 'fine', '']
    """
    if _DA_CAPO.search(text):
        return "dacapo"
    if _DAL_SEGNO.search(text):
        return "dalsegno"
    if _TO_CODA.search(text):
        return "tocoda"
    if _FINE.match(text):
        return "fine"
    if _CODA.match(text):
        return "coda"
    if _SEGNO.match(text):
        return "segno"
    return ""


def jump_until(text: str) -> str:
    """Return ``'fine'`` or ``'coda'`` if the words of a D.C. or D.S. say where the music is left, else ``''``."""
    if _UNTIL_CODA.search(text):
        return "coda"
    return "fine" if _UNTIL_FINE.search(text) else ""


def until_sign(text: str) -> bool:
    """Whether the words of a D.C. lead to the sign: "da capo al segno", and perhaps "e poi la coda"."""
    return bool(_UNTIL_SIGN.search(text))


def takes_repeats(text: str) -> bool:
    """Whether the words of a D.C. or D.S. ask for the repeats again."""
    return bool(_WITH_REPEATS.search(text))


def names_section(text: str) -> bool:
    """Whether the words of a D.C. name the section to be played again (minuet, scherzo, march)."""
    return bool(_SECTION.search(text))
