"""Tuplets: where in a run of durations they begin and end, and in what ratio they are written."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import lcm

from musictheory_nb.errors import MediaError
from musictheory_nb.media.note_value import is_dyadic, odd_part, single_value


@dataclass(frozen=True, slots=True)
class TupletRatio:
    """`num` values in the time of `base`: 3 in the time of 2."""

    num: int
    base: int


@dataclass(frozen=True, slots=True)
class Stretch:
    """Values from index `first` up to, not including, `after`; with a ratio where they form a tuplet."""

    first: int
    after: int
    ratio: TupletRatio | None = None


def _ratio(places: Sequence[Fraction]) -> TupletRatio | None:
    """Ratio in which the durations between `places` are written with the fewest dots; None if in none."""
    durations = [b - a for a, b in pairwise(places)]
    num = lcm(*(odd_part(duration.denominator) for duration in durations))
    below = 1 << (num.bit_length() - 1)
    best: tuple[int, int] | None = None
    for base in (below, 3 * below // 2, 2 * below):
        values = [single_value(duration * num / base) for duration in durations]
        if base != num and all(values):
            dots = sum(value.dots for value in values if value)
            best = min(best or (dots, base), (dots, base))
    return TupletRatio(num, best[1]) if best else None


def _whole_beat(places: Sequence[Fraction], first: int, after: int, beat: Fraction) -> tuple[int, int] | None:
    """Indices of the beat that holds the values, if values begin and end with it."""
    begin = places[first] // beat * beat
    if begin + beat < places[after] or begin not in places or begin + beat not in places:
        return None
    return places.index(begin), places.index(begin + beat)


def can_be_written(places: Sequence[Fraction], beat: Fraction) -> bool:
    """Whether `stretches` finds tuplets for all values, and every one outside a tuplet has a note value.

    Examples
    --------
    >>> can_be_written([Fraction(0), Fraction(1, 3), Fraction(11, 6), Fraction(2)], Fraction(1))
    False
    """
    try:
        found = stretches(places, beat)
    except MediaError:
        return False
    return all(one.ratio or single_value(places[one.after] - places[one.first]) for one in found)


def stretches(places: Sequence[Fraction], beat: Fraction) -> tuple[Stretch, ...]:
    """Cut a run of values into tuplets and single values outside them.

    Parameters
    ----------
    places : sequence of Fraction
        Positions in the measure where the values begin, and where the last one ends.
    beat : Fraction
        Length of a beat. An uneven tuplet that fills only a part of a beat is widened to the beat: a dotted eighth, a
        sixteenth and an eighth in the time of two eighths are one triplet.

    Raises
    ------
    MediaError
        No tuplet writes the durations.

    Examples
    --------
    >>> places = [Fraction(0), Fraction(1, 3), Fraction(2, 3), Fraction(1), Fraction(2)]
    >>> for stretch in stretches(places, Fraction(1)): print(stretch)
    Stretch(first=0, after=3, ratio=TupletRatio(num=3, base=2))
    Stretch(first=3, after=4, ratio=None)
    """
    out: list[Stretch] = []
    at, count = 0, len(places) - 1
    while at < count:
        after = at + 1
        while after < count and not is_dyadic(places[after]):
            after += 1
        if after == at + 1 and is_dyadic(places[after]):
            out.append(Stretch(at, after))
            at = after
            continue
        first, ratio = at, _ratio(places[at : after + 1])
        uneven = len({b - a for a, b in pairwise(places[at : after + 1])}) > 1
        if uneven and (wide := _whole_beat(places, at, after, beat)):
            wide_ratio = _ratio(places[wide[0] : wide[1] + 1])
            if wide_ratio and (ratio is None or wide_ratio.num == ratio.num):
                (first, after), ratio = wide, wide_ratio
        if ratio is None:
            durations = ", ".join(f"'{b - a}'" for a, b in pairwise(places[at : after + 1]))
            raise MediaError(f"durations {durations}: no tuplet writes them; write quarters such as '1/3' or '1/5'")
        while out and out[-1].first >= first:
            out.pop()
        out.append(Stretch(first, after, ratio))
        at = after
    return tuple(out)
