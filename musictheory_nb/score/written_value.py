"""Which note value writes a duration: type, dots and tuplet (`written_values`).

Conventions: the types of MusicXML from breve to 256th, with at most two dots. A tuplet is a run of notes from one place
that no tuplet is needed for to the next; so many in the time of the next lower power of two (3 in 2, 5 in 4, 7 in 4), or
of another number where that needs fewer dots. A duration that no single value writes has none.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.score.musicxml_note_value import NOTE_VALUES

_MOST_DOTS: Final = 2
#: Longest value that is written so; longer ones exist, but no modern notation uses them.
_LONGEST: Final = Fraction(8)
_TYPES: Final = {
    value * (2 - Fraction(1, 2**dots)): (name, dots)
    for dots in range(_MOST_DOTS, -1, -1)
    for name, value in NOTE_VALUES.items()
    if value <= _LONGEST
}


@dataclass(frozen=True, slots=True)
class WrittenValue:
    """How one note or rest is written.

    Parameters
    ----------
    type : str
        ``'quarter'`` and so on, as MusicXML names it.
    dots : int
        Augmentation dots.
    actual, normal : int
        `actual` notes in the time of `normal`; 1 and 1 outside a tuplet.
    begins, ends : bool
        Whether a tuplet begins or ends with it.
    """

    type: str
    dots: int = 0
    actual: int = 1
    normal: int = 1
    begins: bool = False
    ends: bool = False


@lru_cache(maxsize=4096)
def single_value(quarters: Fraction) -> tuple[str, int] | None:
    """Return type and dots of the value that lasts so long outside a tuplet; None if there is none.

    Examples
    --------
    >>> single_value(Fraction(3, 2)), single_value(Fraction(5, 4))
    (('quarter', 1), None)
    """
    return _TYPES.get(quarters)


def is_power_of_two(number: int) -> bool:
    """Whether a whole number above 0 is 1, 2, 4, 8 ...: the lower figure of a usual metre."""
    return number & (number - 1) == 0


def _is_plain(quarters: Fraction) -> bool:
    """Whether it is a multiple of a half, quarter, eighth ...: needs no tuplet."""
    return is_power_of_two(quarters.denominator)


def _odd(number: int) -> int:
    return number // (number & -number)


@lru_cache(maxsize=4096)
def _ratio(durations: tuple[Fraction, ...]) -> tuple[int, int] | None:
    """Return the ratio in which all `durations` have a value, with the fewest dots."""
    actual = math.lcm(*(_odd(duration.denominator) for duration in durations))
    if actual == 1 or actual > 99:
        return None
    below = 1 << (actual.bit_length() - 1)
    found = []
    for normal in (below, 3 * below // 2, 2 * below):
        values = [single_value(duration * actual / normal) for duration in durations]
        if normal != actual and all(values):
            found.append((sum(value[1] for value in values if value), normal))
    return (actual, min(found)[1]) if found else None


def written_values(spans: Sequence[tuple[Fraction, Fraction]]) -> list[WrittenValue | None]:
    """Return how each of the notes and rests of one voice in one measure is written.

    Parameters
    ----------
    spans : sequence of (onset, duration)
        In order, in quarters; they may leave gaps.

    Examples
    --------
    >>> third = Fraction(1, 3)
    >>> for value in written_values([(Fraction(0), third), (third, 2 * third), (Fraction(1), Fraction(3))]): print(value)
    WrittenValue(type='eighth', dots=0, actual=3, normal=2, begins=True, ends=False)
    WrittenValue(type='quarter', dots=0, actual=3, normal=2, begins=False, ends=True)
    WrittenValue(type='half', dots=1, actual=1, normal=1, begins=False, ends=False)
    """
    found: list[WrittenValue | None] = []
    for onset, duration in spans:
        plain = single_value(duration) if _is_plain(onset) and _is_plain(duration) else None
        found.append(WrittenValue(*plain) if plain else None)
    done = 0
    for at, (onset, duration) in enumerate(spans):
        if at < done or (_is_plain(onset) and _is_plain(duration)):
            continue
        first, after = _widened(spans, at, _run_end(spans, at), done)
        ratio = _ratio(tuple(duration for _, duration in spans[first:after]))
        if ratio is None and first < at:
            first, after = at, _run_end(spans, at)
            ratio = _ratio(tuple(duration for _, duration in spans[first:after]))
        if ratio is None:
            first, after = at, at + 1
            ratio = _ratio((duration,))
        done = after
        for place in range(first, after):
            value = single_value(spans[place][1] * ratio[0] / ratio[1]) if ratio else single_value(spans[place][1])
            several = ratio is not None and after - first > 1
            found[place] = (
                WrittenValue(
                    *value, *(ratio or (1, 1)), begins=several and place == first, ends=several and place == after - 1
                )
                if value
                else None
            )
    return found


def _end(span: tuple[Fraction, Fraction]) -> Fraction:
    return span[0] + span[1]


def _run_end(spans: Sequence[tuple[Fraction, Fraction]], first: int) -> int:
    """Return the index behind the run that begins with `first`: up to a place that needs no tuplet, or a gap."""
    after = first + 1
    while after < len(spans) and not _is_plain(_end(spans[after - 1])) and spans[after][0] == _end(spans[after - 1]):
        after += 1
    return after


def _widened(spans: Sequence[tuple[Fraction, Fraction]], first: int, after: int, done: int) -> tuple[int, int]:
    """Return the run widened to the beats that it stands in, if it is uneven and notes begin and end with them.

    A dotted eighth, a sixteenth and an eighth in the time of two eighths are one triplet.
    """
    if len({duration for _, duration in spans[first:after]}) == 1:
        return first, after
    begin, end = Fraction(math.floor(spans[first][0])), Fraction(math.ceil(_end(spans[after - 1])))
    low, high = first, after
    while low > done and spans[low][0] > begin and _end(spans[low - 1]) == spans[low][0]:
        low -= 1
    while high < len(spans) and _end(spans[high - 1]) < end and spans[high][0] == _end(spans[high - 1]):
        high += 1
    return (low, high) if spans[low][0] == begin and _end(spans[high - 1]) == end else (first, after)
