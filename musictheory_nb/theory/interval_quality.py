"""Which qualities an interval's number may have, and how many semitones each makes.

Unisons, fourths, fifths and their octave compounds are perfect, augmented or diminished; seconds, thirds, sixths and
sevenths are major, minor, augmented or diminished. Augmenting and diminishing may be repeated (``AA``, ``ddd``).
"""

from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import IntervalError
from musictheory_nb.theory.interval_text import number_word
from musictheory_nb.theory.major_scale import MAJOR_SEMITONES

#: Most times that a quality is augmented or diminished.
MOST_ALTERATIONS: Final = 9
_AUGMENTED: Final = MappingProxyType({times: "A" * times for times in range(1, MOST_ALTERATIONS + 1)})
_PERFECT: Final = MappingProxyType(
    {0: "P", **_AUGMENTED, **{-times: "d" * times for times in range(1, MOST_ALTERATIONS + 1)}}
)
_MAJOR: Final = MappingProxyType(
    {0: "M", -1: "m", **_AUGMENTED, **{-1 - times: "d" * times for times in range(1, MOST_ALTERATIONS + 1)}}
)
#: Quality by semitones above the reference, for each of the numbers 1 to 7.
_QUALITIES: Final = (_PERFECT, _MAJOR, _MAJOR, _PERFECT, _PERFECT, _MAJOR, _MAJOR)
_OFFSETS: Final = tuple(MappingProxyType({quality: offset for offset, quality in row.items()}) for row in _QUALITIES)


def interval_quality(steps: int, semitones: int) -> str | None:
    """Quality of an ascending interval of so many letters and semitones, None where it would be altered too often.

    Examples
    --------
    >>> interval_quality(4, 6), interval_quality(2, 3), interval_quality(9, 16)
    ('d', 'm', 'M')
    """
    octaves, place = divmod(steps, 7)
    return _QUALITIES[place].get(semitones - 12 * octaves - MAJOR_SEMITONES[place])


def interval_semitones(quality: str, number: int, text: object) -> int:
    """Size in semitones of an ascending interval; it may be negative (a doubly diminished second).

    Parameters
    ----------
    text : object
        What the caller was given, quoted in the error.

    Raises
    ------
    IntervalError
        The number is no whole number from 1, or it has no such quality.

    Examples
    --------
    >>> interval_semitones("m", 3, "m3"), interval_semitones("P", 12, "P12"), interval_semitones("dd", 2, "dd2")
    (3, 19, -1)
    >>> interval_semitones("M", 5, "M5")
    Traceback (most recent call last):
    musictheory_nb.errors.IntervalError: interval 'M5': a fifth is P, A or d, never M
    """
    if not isinstance(number, int) or number < 1:
        raise IntervalError(f"interval {text!r}: the number must be a whole number from 1, not {number!r}")
    octaves, place = divmod(number - 1, 7)
    offset = _OFFSETS[place].get(quality)
    if offset is None:
        allowed = "P, A or d" if _QUALITIES[place] is _PERFECT else "M, m, A or d"
        word = number_word(number)
        article = "an" if word[0] in "eo" else "a"
        raise IntervalError(f"interval {text!r}: {article} {word} is {allowed}, never {quality}")
    if number == 1 and offset < 0:
        advice = f"write '-{'A' * -offset}1' if it descends"
        raise IntervalError(f"interval {text!r}: a unison is never diminished; {advice}")
    return 12 * octaves + MAJOR_SEMITONES[place] + offset
