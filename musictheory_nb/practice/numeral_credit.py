"""What a numeral is worth as an answer, against the numeral of the chord."""

from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.numeral_vocabulary import numeral
from musictheory_nb.theory.roman_analysis import roman_readings
from musictheory_nb.theory.roman_numeral import Roman

#: Case, what the answer is, score.
NUMERAL_CREDIT: Final = (
    ("right", "the numeral", 1.0),
    ("reading", "another numeral of the same notes, which does not say where the chord leads (II7 for V7/V)", 0.75),
    ("position", "the numeral with the figures of another position", 0.5),
    ("seventh", "the same triad in the same position without its seventh, or with a seventh that is not there", 0.5),
    ("root", "another chord on the same root", 0.25),
    ("other", "any other numeral", 0.0),
)
NUMERAL_SCORES: Final = MappingProxyType({case: score for case, _, score in NUMERAL_CREDIT})
_DOMINANT_SEVENTH: Final = ("1", "3", "5", "b7")


@lru_cache(maxsize=16384)
def right_numerals(figure: str, key: str) -> tuple[str, ...]:
    """Return the numerals that are right for a chord by itself: the one asked for, and what names it as well.

    VII7 of a minor key is V7/III, too; a six-four of the tonic may be a cadential one.

    Examples
    --------
    >>> right_numerals("VII7", "A minor"), right_numerals("I64", "C major"), right_numerals("Cad64", "A minor")
    (('VII7', 'V7/III'), ('I64', 'Cad64'), ('Cad64', 'i64'))
    """
    asked = numeral(figure, key)
    found = [figure]
    for reading in roman_readings(asked.chord, key):
        roman = reading.roman
        is_dominant = roman.is_applied and asked.chord.degrees == _DOMINANT_SEVENTH
        if roman.figure != figure and (is_dominant or roman.is_diatonic) and roman.chord.degrees == _DOMINANT_SEVENTH:
            found.append(roman.figure)
    for same in ("Cad64", "I64", "i64"):  # two names of the six-four over the dominant
        if numeral(same, key) != asked and numeral(same, key).chord == asked.chord:
            found.append(same)
    return tuple(found)


@lru_cache(maxsize=16384)
def numeral_case_of(figure: str, answered: str, key: str) -> str:
    """Return the case of `NUMERAL_CREDIT` of an answer.

    Examples
    --------
    >>> [numeral_case_of("V65", text, "C major") for text in ("V6/5", "V7", "V6", "v", "viiø7")]
    ['right', 'position', 'seventh', 'root', 'other']
    >>> numeral_case_of("V7/V", "II7", "C major")
    'reading'
    """
    asked, given = numeral(figure, key), numeral(answered, key)
    if any(given == numeral(one, key) for one in right_numerals(figure, key)):
        return "right"
    mine, theirs = asked.chord, given.chord
    if theirs == mine:
        return "reading"
    if given.root != asked.root:
        return "other"
    if theirs.degrees == mine.degrees:
        return "position"
    has_seventh = {3, 4} == {len(mine.degrees), len(theirs.degrees)} or len(mine.degrees) == len(theirs.degrees) == 4
    if has_seventh and theirs.degrees[:3] == mine.degrees[:3] and _inversion(given) == _inversion(asked):
        return "seventh"
    return "root"


def _inversion(roman: Roman) -> int | None:
    try:
        return roman.inversion
    except (TheoryError, KeyError):
        return None
