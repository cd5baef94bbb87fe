"""Progressions in words: the quality of each chord, what it does, how the progression ends."""

from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.answer_option import Option
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.numeral_vocabulary import chord_words, numeral, numeral_shown

#: Qualities to choose from, in the order of the buttons; those that are always there come first.
QUALITIES: Final = (
    "major triad",
    "minor triad",
    "diminished triad",
    "dominant seventh",
    "minor seventh",
    "half-diminished seventh",
    "diminished seventh",
    "augmented sixth",
)
ALWAYS: Final = QUALITIES[:2]
#: Qualities that are alike, so that one in the place of the other is half right: they share third and fifth, or sound alike.
_ALIKE: Final = (
    {"major triad", "dominant seventh"},
    {"minor triad", "minor seventh"},
    {"diminished triad", "half-diminished seventh"},
    {"diminished triad", "diminished seventh"},
    {"half-diminished seventh", "diminished seventh"},
    {"dominant seventh", "augmented sixth"},
)
#: What a quality is worth.
QUALITY_CREDIT: Final = (
    ("the quality", 1.0),
    ("a quality with the same third and fifth, or that sounds alike (augmented sixth and dominant seventh)", 0.5),
    ("any other", 0.0),
)
_ENDINGS: Final = MappingProxyType(
    {
        ("dominant", "tonic"): "an authentic cadence",
        ("predominant", "tonic"): "a plagal cadence",
    }
)


@lru_cache(maxsize=4096)
def quality_of(figure: str, key: str) -> str:
    """Return the quality of a numeral as it is asked for.

    Examples
    --------
    >>> quality_of("V65", "C major"), quality_of("Ger65", "C major"), quality_of("ii°6", "A minor")
    ('dominant seventh', 'augmented sixth', 'diminished triad')
    """
    words = numeral(figure, key).chord.words
    return "augmented sixth" if words.endswith("augmented sixth") else words


def quality_score(right: str, given: str) -> float:
    """Return what a quality is worth.

    Examples
    --------
    >>> [quality_score("dominant seventh", one) for one in ("dominant seventh", "major triad", "minor triad")]
    [1.0, 0.5, 0.0]
    """
    if right == given:
        return 1.0
    return 0.5 if {right, given} in _ALIKE else 0.0


@lru_cache(maxsize=256)
def quality_roles(figures: tuple[str, ...], key: str) -> tuple[Option, ...]:
    """Return the qualities to choose from where chords are drawn from `figures`.

    Examples
    --------
    >>> [option.value for option in quality_roles(("I", "V7"), "C major")]
    ['major triad', 'minor triad', 'dominant seventh']
    """
    there = {*ALWAYS, *(quality_of(figure, key) for figure in figures)}
    return tuple(Option(quality, quality) for quality in QUALITIES if quality in there)


@lru_cache(maxsize=2048)
def cadence_words(figures: tuple[str, ...], key: str) -> str:
    """Return how a progression ends.

    Examples
    --------
    >>> cadence_words(("I", "V7", "I"), "C major"), cadence_words(("I", "IV", "V"), "C major")
    ('an authentic cadence', 'a half cadence')
    >>> cadence_words(("i", "V", "VI"), "A minor"), cadence_words(("I", "iv", "I"), "C major")
    ('a deceptive cadence', 'a plagal cadence')
    """
    last, before = numeral(figures[-1], key), numeral(figures[-2], key)
    if last.degree == "5":
        return "a half cadence"
    if last.degree == "6":
        return "a deceptive cadence"
    return _ENDINGS[before.function, "tonic"]


@lru_cache(maxsize=4096)
def progression_words(figures: tuple[str, ...], key: str, display: Display, style: str) -> str:
    """Return a progression chord by chord, a line each.

    Parameters
    ----------
    figures : tuple of str
        The numerals.
    key : str
        Their key.
    display : Display
        How notes are called.
    style : str
        How figures stand in a numeral: ``'65'`` or ``'6/5'``.

    Examples
    --------
    >>> print(progression_words(("I", "IV6", "V", "I"), "C major", Display(), "65"))
    Chord 1 is I: a major triad on C, tonic.
    Chord 2 is IV6: a major triad on F, A in the bass, predominant.
    Chord 3 is V: a major triad on G, dominant.
    Chord 4 is I: a major triad on C, tonic.
    It ends with an authentic cadence in C major.
    """
    told = []
    for place, figure in enumerate(figures, start=1):
        roman = numeral(figure, key)
        what = chord_words(roman, display)
        bass = (
            ""
            if roman.bass == roman.root and roman.kind == "plain"
            else f", {display.note(roman.bass.name)} in the bass"
        )
        target = roman.applied_to
        does = roman.function if target is None else f"{roman.local_function} of {target.display}"
        told.append(f"Chord {place} is {numeral_shown(figure, key, style)}: {what}{bass}, {does}.")
    told.append(f"It ends with {cadence_words(figures, key)} in {display.scale(key)}.")
    return "\n".join(told)
