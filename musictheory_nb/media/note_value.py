"""Note values: the one value that writes a duration, or the several, tied or as rests, that it takes."""

from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Final

from musictheory_nb.media.metre import Metre

#: The longest and shortest values written (a breve and a 256th note), in quarters.
LONGEST, SHORTEST = Fraction(8), Fraction(1, 64)
MOST_DOTS: Final = 2


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A written value: its head, in quarters (a power of two), and its dots."""

    head: Fraction
    dots: int = 0


def _is_power_of_two(number: int) -> bool:
    return number & (number - 1) == 0


def is_dyadic(quarters: Fraction) -> bool:
    """Whether `quarters` is a multiple of a half, quarter, eighth …: needs no tuplet."""
    return _is_power_of_two(quarters.denominator)


def odd_part(number: int) -> int:
    """Return `number` without its factors of two."""
    while number % 2 == 0:
        number //= 2
    return number


def single_value(quarters: Fraction) -> NoteValue | None:
    """Return the one value that lasts `quarters` outside a tuplet, or None where it takes several.

    Examples
    --------
    >>> single_value(Fraction(3, 2))
    NoteValue(head=Fraction(1, 1), dots=1)
    >>> single_value(Fraction(5, 4)) is None
    True
    """
    for dots in range(MOST_DOTS + 1):
        head = quarters / (2 - Fraction(1, 2**dots))
        if SHORTEST <= head <= LONGEST and _is_power_of_two(head.numerator) and is_dyadic(head):
            return NoteValue(head, dots)
    return None


def is_single(quarters: Fraction) -> bool:
    """Whether one value writes `quarters`, in the usual tuplet where it needs one."""
    odd = odd_part(quarters.denominator)
    return single_value(quarters * odd / (1 << (odd.bit_length() - 1))) is not None


def tuplet_spans(begin: Fraction, end: Fraction) -> tuple[Fraction, ...]:
    """Return the durations of the tied values that write a note from `begin` to `end` of a tuplet, the longest first.

    Examples
    --------
    >>> [str(span) for span in tuplet_spans(Fraction(0), Fraction(5, 6))]
    ['2/3', '1/6']
    """
    odd = lcm(odd_part(begin.denominator), odd_part(end.denominator))
    ratio = Fraction(odd, 1 << (odd.bit_length() - 1))
    left, part = (end - begin) * ratio, LONGEST
    if single_value(left):
        return (end - begin,)
    spans = []
    while left and part >= SHORTEST:
        if part <= left:
            spans.append(part / ratio)
            left -= part
        part /= 2
    return tuple(spans) if not left else (end - begin,)


def note_spans(position: Fraction, quarters: Fraction, metre: Metre) -> tuple[Fraction, ...]:
    """Return the durations of the tied notes that write one note of `quarters` at `position` of the measure.

    It is split only where no single value lasts so long, at the strongest place of the measure within it.

    Examples
    --------
    >>> [str(span) for span in note_spans(Fraction(3, 2), Fraction(5, 2), Metre("4/4"))]
    ['1/2', '2']
    """
    if not is_single(quarters):
        for step in metre.strong_steps:
            cut = (position // step + 1) * step - position
            if cut < quarters:
                return note_spans(position, cut, metre) + note_spans(position + cut, quarters - cut, metre)
    return (quarters,)


def rest_spans(position: Fraction, quarters: Fraction, metre: Metre) -> tuple[Fraction, ...]:
    """Return the durations of the rests that fill `quarters` from `position`: every beat is shown.

    Examples
    --------
    >>> [str(span) for span in rest_spans(Fraction(1, 2), Fraction(7, 2), Metre("4/4"))]
    ['1/2', '1', '2']
    >>> [str(span) for span in rest_spans(Fraction(1), Fraction(2), Metre("3/4"))]
    ['1', '1']
    """
    end = position + quarters
    # Before `head` and after `tail` lie the rests of tuplets that begin or end within a beat.
    head, tail = position, end
    if not is_dyadic(position):
        stops = (min(end, (position // step + 1) * step) for step in metre.strong_steps)
        head = next((stop for stop in stops if is_single(stop - position)), end)
    if not is_dyadic(end) and head < end:
        anchors = (end // step * step for step in metre.strong_steps if step <= metre.beat)
        tail = next((anchor for anchor in anchors if anchor >= head and is_single(end - anchor)), head)
    spans, at = [], head
    while at < tail:
        fits = (step for step in metre.strong_steps if at % step == 0 and at + step <= tail and is_single(step))
        span = next(fits, tail - at)
        spans.append(span)
        at += span
    return tuple(span for span in (head - position, *spans, end - tail) if span)
