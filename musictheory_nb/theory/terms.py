"""North-American and British words for note values, bars, intervals and degrees, as one setting.

The package writes its texts in North-American words; `term` gives one word in either vocabulary, `reworded` a whole
sentence, and `duration_name` the name of a note value.
Source: the names of note values and of steps in English-language music primers on either side of the Atlantic (common
practice, no source).
"""

import re
from collections.abc import Iterator
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.theory.interval import Interval

#: The vocabularies, with whose they are.
VOCABULARIES: Final = MappingProxyType(
    {"american": "North-American words (default)", "british": "British and Commonwealth words"}
)

#: North-American word, British word. Plurals are regular unless `_PLURALS` has them.
TERMS: Final[tuple[tuple[str, str], ...]] = (
    ("double whole note", "breve"),
    ("whole note", "semibreve"),
    ("half note", "minim"),
    ("quarter note", "crotchet"),
    ("eighth note", "quaver"),
    ("sixteenth note", "semiquaver"),
    ("thirty-second note", "demisemiquaver"),
    ("sixty-fourth note", "hemidemisemiquaver"),
    ("hundred twenty-eighth note", "semihemidemisemiquaver"),
    ("double whole rest", "breve rest"),
    ("whole rest", "semibreve rest"),
    ("half rest", "minim rest"),
    ("quarter rest", "crotchet rest"),
    ("eighth rest", "quaver rest"),
    ("sixteenth rest", "semiquaver rest"),
    ("thirty-second rest", "demisemiquaver rest"),
    ("sixty-fourth rest", "hemidemisemiquaver rest"),
    ("hundred twenty-eighth rest", "semihemidemisemiquaver rest"),
    ("measure", "bar"),
    ("measure number", "bar number"),
    ("measure rest", "bar rest"),
    ("half step", "semitone"),
    ("whole step", "tone"),
    ("chromatic half step", "chromatic semitone"),
    ("diatonic half step", "diatonic semitone"),
    ("leading tone", "leading note"),
    ("chord tone", "chord note"),
    ("passing tone", "passing note"),
    ("neighbor tone", "auxiliary note"),
    ("nonchord tone", "non-harmony note"),
    ("authentic cadence", "perfect cadence"),
    ("perfect authentic cadence", "perfect cadence"),
    ("imperfect authentic cadence", "perfect cadence"),
    ("half cadence", "imperfect cadence"),
    ("deceptive cadence", "interrupted cadence"),
    ("pickup", "upbeat"),
    ("staff", "stave"),
)
_PLURALS: Final = MappingProxyType({"staff": "staves"})
#: Note values by length in quarters, as index of `TERMS`.
_VALUES: Final = MappingProxyType({Fraction(8) / 2**place: place for place in range(9)})
#: Notes in a group, and the factor by which each is shortened.
_TUPLETS: Final = MappingProxyType(
    {"triplet": Fraction(2, 3), "quintuplet": Fraction(4, 5), "septuplet": Fraction(4, 7)}
)
_DOTS: Final = ("", "dotted ", "double-dotted ", "triple-dotted ")
#: Most dots of a note in a tuplet.
_MOST_TUPLET_DOTS: Final = 1


def check_vocabulary(words: str) -> None:
    """Raise `TheoryError` unless `words` is one of `VOCABULARIES`.

    Examples
    --------
    >>> check_vocabulary("british")
    >>> check_vocabulary("welsh")
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: words 'welsh': must be one of 'american', 'british'
    """
    if not isinstance(words, str) or words not in VOCABULARIES:
        raise TheoryError(f"words {words!r}: must be one of {', '.join(map(repr, VOCABULARIES))}")


def term(word: str, words: str = "american", count: int = 1) -> str:
    """Word for a thing in one vocabulary, given its word in either.

    Parameters
    ----------
    word : str
        Singular, such as ``"quarter note"`` or ``"crotchet"``.
    words : {'american', 'british'}
        Vocabulary of the answer.
    count : int
        How many; other than 1 gives the plural.

    Raises
    ------
    TheoryError
        No such vocabulary, or a word that is in neither.

    Examples
    --------
    >>> term("quarter note", "british"), term("crotchet"), term("measure", "british", count=4)
    ('crotchet', 'quarter note', 'bars')
    >>> term("bleat", "british")
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: word 'bleat': is in neither vocabulary; give a singular such as 'quarter note'
    """
    check_vocabulary(words)
    for american, british in TERMS:
        if word in (american, british):
            found = american if words == "american" else british
            return found if count == 1 else _plural(found)
    raise TheoryError(f"word {word!r}: is in neither vocabulary; give a singular such as 'quarter note'")


def reworded(text: str, words: str = "american") -> str:
    """Text in North-American words, said in a vocabulary; capitals at the beginning of a word are kept.

    Every word of `TERMS` is taken for the term of music: write no "measure" that means to measure.

    Raises
    ------
    TheoryError
        No such vocabulary, or no text.

    Examples
    --------
    >>> reworded("Measures 1 to 4 hold eighth notes; B to C is a half step.", "british")
    'Bars 1 to 4 hold quavers; B to C is a semitone.'
    >>> reworded("A quarter-note beat", "british"), reworded("Measures 1 to 4", "american")
    ('A crotchet beat', 'Measures 1 to 4')
    """
    check_vocabulary(words)
    if not isinstance(text, str):
        raise TheoryError(f"text {text!r}: write a text")
    if words == "american":
        return text
    return _AMERICAN.sub(lambda match: _british(match["article"] or "", match["word"]), text)


def duration_name(quarters: Fraction | int, words: str = "american") -> str:
    """Name of the note value that lasts a number of quarters, dots and tuplets included.

    Raises
    ------
    TheoryError
        No such vocabulary, or no single note lasts so long (it is written with a tie).

    Examples
    --------
    >>> duration_name(Fraction(3, 2)), duration_name(Fraction(1, 2), "british"), duration_name(Fraction(1, 3))
    ('dotted quarter note', 'quaver', 'triplet eighth note')
    >>> duration_name(Fraction(5, 2))
    Traceback (most recent call last):
    musictheory_nb.errors.TheoryError: quarters 5/2: no single note lasts so long; it is written with a tie
    """
    check_vocabulary(words)
    if isinstance(quarters, bool) or not isinstance(quarters, int | Fraction) or quarters <= 0:
        raise TheoryError(f"quarters {quarters!r}: must be a positive whole number or Fraction")
    length = Fraction(quarters)
    for tuplet, factor in {"": Fraction(1), **_TUPLETS}.items():
        for dots, dotted in enumerate(_DOTS[: _MOST_TUPLET_DOTS + 1] if tuplet else _DOTS):
            plain = length / factor / (2 - Fraction(1, 2**dots))
            if plain in _VALUES:
                value = TERMS[_VALUES[plain]][0 if words == "american" else 1]
                return f"{tuplet} {dotted}{value}".strip()
    raise TheoryError(f"quarters {quarters}: no single note lasts so long; it is written with a tie")


def other_interval_names(interval: Interval | str, words: str = "american") -> tuple[str, ...]:
    """Other names of an interval that one vocabulary uses.

    Raises
    ------
    TheoryError
        No such vocabulary.

    Examples
    --------
    >>> other_interval_names(Interval("m2")), other_interval_names(Interval("m2"), "british")
    (('diatonic half step', 'half step'), ('diatonic semitone', 'semitone'))
    """
    check_vocabulary(words)
    column = 0 if words == "american" else 1
    foreign = {row[1 - column] for row in TERMS if row[0] != row[1]}
    return tuple(name for name in Interval(interval).other_names if name not in foreign)


def _plural(word: str) -> str:
    return _PLURALS.get(word, word + "s")


def _american_forms() -> Iterator[tuple[str, str]]:
    """Every North-American word and its plural, with the British word to match."""
    for american, british in TERMS:
        yield american, british
        yield _plural(american), _plural(british)


_BRITISH_OF: Final = MappingProxyType(dict(_american_forms()))
_AMERICAN: Final = re.compile(
    r"\b(?P<article>an? )?(?P<word>"
    + "|".join(sorted(_BRITISH_OF, key=len, reverse=True)).replace(" ", "[ -]")
    + r")\b",
    re.IGNORECASE,
)


def _british(article: str, found: str) -> str:
    """British word for a North-American one as found, with the article that suits it."""
    british = _BRITISH_OF.get(found.lower()) or _BRITISH_OF[found.lower().replace("-", " ")]
    if found[0].isupper():
        british = british[0].upper() + british[1:]
    if not article:
        return british
    return f"{article[0]}{'n' if british[0] in 'aeiouAEIOU' else ''} {british}"
