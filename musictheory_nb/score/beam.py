"""Beams: which notes shorter than a quarter are joined, and by how many lines (`beams`).

Conventions (common practice of engraving): notes of one beat are beamed together, of three eighths in compound time;
five or seven eighths are twos with a last group of three, unless the metre is written as a sum. A rest ends a beam.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate
from typing import Final

#: Beams of each note type.
_LINES: Final = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4, "128th": 5, "256th": 6}


@lru_cache(maxsize=256)
def metre_figures(metre: str) -> tuple[tuple[str, int], ...]:
    """Return upper and lower figures of a metre; two pairs for a metre such as ``2/4+3/8``.

    Examples
    --------
    >>> metre_figures("3+2/8"), metre_figures("2/4+3/8"), metre_figures("")
    ((('3+2', 8),), (('2', 4), ('3', 8)), ())
    """
    found: list[tuple[str, int]] = []
    upper: list[str] = []
    for figure in metre.split("+") if metre else ():
        above, _, below = figure.partition("/")
        upper.append(above)
        if below:
            found.append(("+".join(upper), int(below)))
            upper = []
    return tuple(found)


@lru_cache(maxsize=256)
def beat_places(metre: str) -> tuple[Fraction, ...]:
    """Return where each group of beamed notes begins in a full bar, in quarters, and where the last one ends.

    Examples
    --------
    >>> [str(place) for place in beat_places("6/8")], [str(place) for place in beat_places("5/8")]
    (['0', '3/2', '3'], ['0', '1', '5/2'])
    """
    lengths: list[Fraction] = []
    for upper, lower in metre_figures(metre):
        numbers = [int(number) for number in upper.split("+")]
        unit = Fraction(4, lower)
        for number in numbers:
            if lower < 8:
                lengths += [Fraction(1)] * int(number * unit)
            elif len(numbers) > 1:
                lengths.append(number * unit)
            elif number % 3 == 0:
                lengths += [3 * unit] * (number // 3)
            else:
                lengths += [2 * unit] * (number // 2 - number % 2) + [3 * unit] * (number % 2 if number > 1 else 0)
                lengths += [unit] if number == 1 else []
    return tuple(accumulate(lengths, initial=Fraction(0)))


def beams(notes: Sequence[tuple[Fraction, Fraction, str]], metre: str) -> list[tuple[str, ...]]:
    """Return for each note of a voice what MusicXML says of its beams: one word for each line.

    Parameters
    ----------
    notes : sequence of (place, duration, type)
        Place in the full bar and duration in quarters; type ``''`` for a rest or a note without a beam.

    Examples
    --------
    >>> half = Fraction(1, 2)
    >>> beams([(Fraction(0), half, "eighth"), (half, half / 2, "16th"), (half * 3 / 2, half / 2, "16th")], "2/4")
    [('begin',), ('continue', 'begin'), ('end', 'end')]
    """
    found: list[tuple[str, ...]] = [() for _ in notes]
    places = beat_places(metre)
    groups: list[list[int]] = []
    last: tuple[int, Fraction] | None = None
    for at, (place, duration, kind) in enumerate(notes):
        group = bisect_right(places, place)
        if kind not in _LINES:
            last = None
            continue
        if last == (group, place):
            groups[-1].append(at)
        else:
            groups.append([at])
        last = (group, place + duration)
    for members in groups:
        if len(members) > 1:
            lines = [_LINES[notes[at][2]] for at in members]
            for place_in_group, at in enumerate(members):
                found[at] = tuple(_beam(lines, place_in_group, line) for line in range(1, lines[place_in_group] + 1))
    return found


def _beam(lines: list[int], at: int, line: int) -> str:
    """Return what one line of a beam does at one note of its group."""
    before, after = at > 0 and lines[at - 1] >= line, at + 1 < len(lines) and lines[at + 1] >= line
    if before:
        return "continue" if after else "end"
    if after:
        return "begin"
    return "forward hook" if at == 0 else "backward hook"
