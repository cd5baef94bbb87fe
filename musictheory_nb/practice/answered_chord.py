"""Chords that a student writes as numerals or as chord symbols, against the numerals asked for."""

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.numeral_credit import NUMERAL_CREDIT, NUMERAL_SCORES, numeral_case_of
from musictheory_nb.practice.numeral_vocabulary import numeral, numeral_shown
from musictheory_nb.practice.symbol_reading import SAME_CHORD
from musictheory_nb.theory.chord import Chord

#: What stands before a chord that was written as a symbol.
_SYMBOL: Final = "symbol "
_SEVENTH_SIZES: Final = frozenset({3, 4})
#: What is told of each case, with its cost in slips.
ANSWERED_CREDIT: Final = (
    *((what, f"{1 - score:g}") for _, what, score in NUMERAL_CREDIT),
    ("a chord missing or too many, or that begins too early or late", "1"),
    ("a chord that is held too long or too short", "1"),
)


def chord_tokens(text: str, used: str, names: str) -> tuple[str, ...]:
    """Return the chords of a checked text, as the marking compares them; a chord that stays is ``/``.

    Parameters
    ----------
    text : str
        Numerals or chord symbols, with blanks between them.
    used : str
        ``'numerals'`` or ``'symbols'``.
    names : {'english', 'german', 'fixed do'}
        System of pitch names of symbols.

    Examples
    --------
    >>> chord_tokens("ii7 / V65", "numerals", "english"), chord_tokens("H7 E", "symbols", "german")
    (('ii7', '/', 'V65'), ('symbol B7', 'symbol E'))
    """
    if used == "numerals":
        return tuple(text.split())
    return tuple(one if one == SAME_CHORD else f"{_SYMBOL}{Chord(one, names=names).symbol}" for one in text.split())


@lru_cache(maxsize=4096)
def chord_of_token(token: str, key: str) -> Chord:
    """Return the chord of a token.

    Examples
    --------
    >>> chord_of_token("V65", "C major").symbol, chord_of_token("symbol G7/B", "C major").symbol
    ('G7/B', 'G7/B')
    """
    return Chord(token.removeprefix(_SYMBOL)) if token.startswith(_SYMBOL) else numeral(token, key).chord


def chord_shown(token: str, key: str, style: str, display: Display) -> str:
    """Return a token as printed.

    Examples
    --------
    >>> chord_shown("bVI6", "C major", "65", Display()), chord_shown("symbol Bb7", "C major", "65", Display("german"))
    ('♭VI6', 'B7')
    """
    if token.startswith(_SYMBOL):
        return chord_of_token(token, key).spelled(display.theory_names, printed=True)
    return numeral_shown(token, key, style)


@lru_cache(maxsize=16384)
def answered_case(figure: str, token: str, key: str) -> str:
    """Return the case of `NUMERAL_CREDIT` of what was answered.

    Examples
    --------
    >>> [answered_case("V65", "symbol " + text, "C major") for text in ("G7/B", "G7", "G/B", "Gm", "Am")]
    ['right', 'position', 'seventh', 'root', 'other']
    >>> answered_case("V65", "V7", "C major"), answered_case("Ger65", "symbol Ab7", "C major")
    ('position', 'reading')
    """
    if not token.startswith(_SYMBOL):
        return numeral_case_of(figure, token, key)
    asked, given = numeral(figure, key).chord, chord_of_token(token, key)
    if given == asked:
        return "right"
    assert asked.bass is not None
    if given.bass is None or given.root is None:
        return "other"
    is_same_bass = given.bass.pitch_class == asked.bass.pitch_class
    if given.pitch_classes == asked.pitch_classes and is_same_bass:
        return "reading"
    if given.root != asked.root:
        return "other"
    if given.degrees == asked.degrees:
        return "position"
    sizes = {len(asked.degrees), len(given.degrees)}
    has_seventh = sizes == _SEVENTH_SIZES or sizes == {4}
    if has_seventh and given.degrees[:3] == asked.degrees[:3] and is_same_bass:
        return "seventh"
    return "root"


@lru_cache(maxsize=64)
def chord_difference(key: str) -> Callable[[str, str], float]:
    """Return how far a token is from a numeral, from 0 to 1.

    Examples
    --------
    >>> chord_difference("C major")("V65", "V7"), chord_difference("C major")("V65", "symbol G7/B")
    (0.5, 0.0)
    """

    def difference(figure: str, token: str) -> float:
        return 1.0 - NUMERAL_SCORES[answered_case(figure, token, key)]

    return difference
