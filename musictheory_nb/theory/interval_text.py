"""The words for intervals: reading what musicians write, and writing names.

Reads ``"m3"``, ``"-m3"``, ``"d5"``, ``"AA4"`` and words such as ``"major third"``, ``"descending doubly augmented
fourth"``, ``"min 6th"``, ``"octave"``. Words that stand for several spellings (tritone, half step, whole step) are
refused with their readings.
"""

import re
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import AmbiguousError, IntervalError

_NUMBER_WORDS: Final = [
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "fifteenth",
    "sixteenth",
    "seventeenth",
    "eighteenth",
    "nineteenth",
    "twentieth",
]
_TENS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_TENTHS: Final = tuple(f"{ten[:-1]}ieth" for ten in _TENS)
_UNIT_ORDINALS: Final = ["first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth"]
_MULTIPLES: Final = ("", "doubly ", "triply ", "quadruply ", "quintuply ", "sextuply ")

#: Words and short forms of each quality.
QUALITY_WORDS: Final = MappingProxyType(
    {
        "P": ("perfect", "perf", "per"),
        "M": ("major", "maj"),
        "m": ("minor", "min"),
        "A": ("augmented", "aug"),
        "d": ("diminished", "dim"),
    }
)
#: Words that stand for intervals of several spellings, each with its readings.
AMBIGUOUS_WORDS: Final = MappingProxyType(
    {
        "tritone": ("A4", "d5"),
        "tri tone": ("A4", "d5"),
        "tt": ("A4", "d5"),
        "half step": ("m2", "A1"),
        "half tone": ("m2", "A1"),
        "semitone": ("m2", "A1"),
        "whole step": ("M2", "d3"),
        "whole tone": ("M2", "d3"),
        "step": ("m2", "M2"),
        "tone": ("M2", "d3"),
    }
)
#: The trade's other names of an interval, by its short name.
OTHER_NAMES: Final = MappingProxyType(
    {
        "P1": ("perfect prime",),
        "A1": ("chromatic half step", "chromatic semitone", "half step", "semitone"),
        "m2": ("diatonic half step", "diatonic semitone", "half step", "semitone"),
        "M2": ("whole step", "whole tone", "tone"),
        "d3": ("whole step by sound",),
        "A4": ("tritone",),
        "d5": ("tritone",),
        "P15": ("double octave",),
        "P22": ("triple octave",),
    }
)
_UNIQUE_WORDS: Final = MappingProxyType(
    {
        "unison": "P1",
        "prime": "P1",
        "octave": "P8",
        "double octave": "P15",
        "triple octave": "P22",
        "chromatic half step": "A1",
        "chromatic semitone": "A1",
        "diatonic half step": "m2",
        "diatonic semitone": "m2",
    }
)

_SHORT: Final = re.compile(r"([-+]?)(P|M|m|A{1,9}|d{1,9})([1-9][0-9]{0,2})")
_LOOSE_SHORT: Final = re.compile(_SHORT.pattern.replace("([1-9]", " ?([1-9]") + "(?:st|nd|rd|th)?")
_WORDED: Final = re.compile(
    r"(?:(?P<times>\w+(?:-times)?)[ -])?(?P<quality>perfect|perf?|major|maj|minor|min|augmented|aug|diminished|dim)\.?"
    r"[ -]?(?:(?P<digits>[1-9][0-9]{0,2})(?:st|nd|rd|th)?|(?P<word>[a-z]+(?:-[a-z]+)?))"
)
_TIMES: Final = MappingProxyType(
    {None: 1, "double": 2, "doubly": 2, "triple": 3, "triply": 3, "quadruply": 4, "quintuply": 5, "sextuply": 6}
)
_DIRECTIONS: Final = MappingProxyType(
    {"descending": -1, "down": -1, "falling": -1, "ascending": 1, "up": 1, "rising": 1}
)


def number_word(number: int) -> str:
    """Word for an interval's number.

    Examples
    --------
    >>> number_word(4), number_word(15), number_word(22), number_word(30)
    ('fourth', 'fifteenth', 'twenty-second', 'thirtieth')
    """
    if number <= len(_NUMBER_WORDS):
        return _NUMBER_WORDS[number - 1]
    tens, units = divmod(number, 10)
    if tens > 9:
        return f"{number}th"
    return f"{_TENS[tens - 2]}-{_UNIT_ORDINALS[units - 1]}" if units else _TENTHS[tens - 2]


def quality_word(quality: str) -> str:
    """Word for an interval's quality.

    Examples
    --------
    >>> quality_word("m"), quality_word("dd"), quality_word("AAAAAAA")
    ('minor', 'doubly diminished', '7-times augmented')
    """
    times = len(quality)
    multiple = _MULTIPLES[times - 1] if times <= len(_MULTIPLES) else f"{times}-times "
    return multiple + QUALITY_WORDS[quality[0]][0]


def read_interval_text(text: object) -> tuple[str, int, int]:
    """Read an interval as quality, number and direction (1 up, -1 down). The quality may not yet suit the number.

    Raises
    ------
    AmbiguousError
        A word with several spellings, such as "tritone".
    IntervalError
        Anything else that is no interval.

    Examples
    --------
    >>> read_interval_text("-m3"), read_interval_text("doubly augmented fourth"), read_interval_text("min 6th")
    (('m', 3, -1), ('AA', 4, 1), ('m', 6, 1))
    >>> read_interval_text("half step")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: interval 'half step': may be m2 or A1; write 'm2' or 'A1'
    """
    if not isinstance(text, str):
        raise IntervalError(f"interval {text!r}: write quality then number as text, such as 'm3' or 'P5'")
    match = _SHORT.fullmatch(text)
    if match is not None:
        sign, quality, digits = match.groups()
        return quality, int(digits), -1 if sign == "-" else 1
    return _read_words(text)


def _read_words(text: str) -> tuple[str, int, int]:
    plain = re.sub(r"\s+", " ", text.replace("−", "-").replace("–", "-")).strip()
    words, direction = _split_direction(plain)
    if match := _LOOSE_SHORT.fullmatch(words):
        return match[2], int(match[3]), -direction if match[1] == "-" else direction
    lower = words.lower()
    sign = "-" if direction < 0 else ""
    if (unique := _UNIQUE_WORDS.get(lower)) is not None:
        return unique[0], int(unique[1:]), direction
    if (readings := AMBIGUOUS_WORDS.get(lower.replace("-", " "))) is not None:
        signed = tuple(sign + reading for reading in readings)
        either = " or ".join(signed)
        raise AmbiguousError(f"interval {text!r}: may be {either}; write {' or '.join(map(repr, signed))}", signed)
    if match := _WORDED.fullmatch(lower):
        quality = next(key for key, forms in QUALITY_WORDS.items() if match["quality"] in forms)
        number = int(match["digits"]) if match["digits"] else _number_of(match["word"])
        times = _times_of(match["times"])
        if number and times and (times == 1 or quality in "Ad"):
            return quality * times, number, direction
    raise IntervalError(f"interval {text!r}: {_advice(words)}")


def _split_direction(plain: str) -> tuple[str, int]:
    """Words without a leading or trailing word of direction, and the direction."""
    first, _, rest = plain.partition(" ")
    if rest and first.lower() in _DIRECTIONS:
        return rest, _DIRECTIONS[first.lower()]
    rest, _, last = plain.rpartition(" ")
    if rest and last.lower() in _DIRECTIONS:
        return rest.rstrip(","), _DIRECTIONS[last.lower()]
    return plain, 1


def _times_of(word: str | None) -> int:
    """How often a quality is doubled, 0 for a word that does not say so."""
    if word is not None and (match := re.fullmatch(r"([1-9])-times", word)):
        return int(match[1])
    return _TIMES.get(word, 0)


def _number_of(word: str) -> int:
    """Interval number of a word, 0 where it is none."""
    return next((number for number in range(1, 100) if number_word(number) == word), 1 if word == "prime" else 0)


def _advice(words: str) -> str:
    """What to write instead, where that is certain."""
    general = "write quality (P, M, m, A, d) then number, such as 'm3' or 'P5', with '-' before it if it descends"
    if match := re.fullmatch(r"(P|M|m|A+|d+)-([1-9][0-9]{0,2})", words):
        return f"write the minus sign first: '-{match[1]}{match[2]}'"
    if match := re.fullmatch(r"([-+]?)([1-9][0-9]{0,2})(P|M|m|A+|d+)", words):
        return f"write quality before number: '{match[1]}{match[3]}{match[2]}'"
    if match := re.fullmatch(r"([-+]?)(p|a+|D+)([1-9][0-9]{0,2})", words):
        quality = match[2].lower() if match[2].startswith("D") else match[2].upper()
        return f"qualities are written P, M, m, A, d: write '{match[1]}{quality}{match[3]}'"
    if match := re.fullmatch(r"(#{1,2}|♯{1,2}|b{1,2}|♭{1,2})([1-9][0-9]{0,2})", words):
        return f"that is a degree of a scale or chord; as an interval write '{_of_degree(match[1], int(match[2]))}'"
    if re.fullmatch(r"[-+]?[1-9][0-9]{0,2}(st|nd|rd|th)?", words) or words.lower() in _NUMBER_WORDS:
        return "the quality is missing; write 'M' or 'm', 'P', 'A' or 'd' before the number, such as 'm3' or 'P5'"
    return general


def _of_degree(signs: str, number: int) -> str:
    """Interval above the tonic of an altered degree of the major scale."""
    if signs[0] in "#♯":
        return f"{'A' * len(signs)}{number}"
    perfect = (number - 1) % 7 in (0, 3, 4)
    return f"{('d' * len(signs)) if perfect else ('m', 'd')[len(signs) - 1]}{number}"
