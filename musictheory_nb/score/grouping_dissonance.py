"""Figures whose length does not fit the bar (`grouping_dissonances`).

Conventions: a figure that comes three times or more without a pause, each time as long after the last as no even part
or multiple of the bar, so that it begins on another place each time: three quavers again and again in 4/4, two beats
again and again in 3/4. The term is that of H. Krebs, Fantasy Pieces (1999), from memory. The figure has a shape: not all
its notes are of one pitch, and it is neither a scale nor broken into equal smaller figures.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

import numpy as np

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import part_names

_LEAST_TIMES: Final = 3
_MOST_NOTES: Final = 12
#: Shortest figure, in quarters.
_SHORTEST: Final = Fraction(3, 4)


def grouping_dissonances(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    """Return where a line repeats a figure at a distance that does not fit the bar."""
    found: dict[tuple[int, int, Fraction], list[tuple[MelodicLine, range]]] = {}
    for line in lines:
        starts, pitches = np.array(line.starts), np.array(line.pitches)
        gaps = np.diff(starts)
        taken = np.zeros(len(line), dtype=bool)
        for size in range(2, min(_MOST_NOTES, len(line) // _LEAST_TIMES) + 1):
            same = np.append(gaps[size:] == gaps[:-size], True)[: len(line) - size]
            same &= (pitches[size:] == pitches[:-size]) | _moved(pitches, size)
            edges = [0, *(np.nonzero(same[1:] != same[:-1])[0] + 1).tolist(), len(same)]
            for first, after in pairwise(edges):
                times = 1 + (after - first) // size
                last = first + size * times - 1
                if not same[first] or times < _LEAST_TIMES or taken[first : last + 1].any():
                    continue
                taken[first : last + 1] = True
                if _does_not_fit(score, line, first, size, times):
                    period = Fraction(line.starts[first + size] - line.starts[first], line.ticks_per_quarter)
                    at = (line.measures[first], line.measures[last], period)
                    found.setdefault(at, []).append((line, range(first, last + 1)))
    return [_told(score, at, its) for at, its in found.items()]


def _moved(
    pitches: np.ndarray[tuple[int], np.dtype[np.int64]], size: int
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return where the contour to the next note is that of a figure before: up, down or level by the same interval."""
    moves = np.diff(pitches)
    same = np.zeros(len(pitches) - size, dtype=bool)
    same[: len(moves) - size] = moves[size:] == moves[:-size]
    return same


def _does_not_fit(score: Score, line: MelodicLine, first: int, size: int, times: int) -> bool:
    bar = score.measures[line.measures[first]]
    period = Fraction(line.starts[first + size] - line.starts[first], line.ticks_per_quarter)
    if (
        not bar.metre
        or period < _SHORTEST
        or not bar.full_length
        or any(score.measures[line.measures[at]].metre != bar.metre for at in range(first, first + size * times))
    ):
        return False
    ratio = period / bar.full_length
    if ratio.numerator == 1 or ratio.denominator == 1:
        return False
    if period * times < bar.full_length:
        return False
    shape = [line.pitches[at + 1] - line.pitches[at] for at in range(first, first + size)]
    gaps = [line.starts[at + 1] - line.starts[at] for at in range(first, first + size)]
    return any(shape) and len(set(zip(shape, gaps, strict=True))) > 1 and len({*line.pitches[first : first + size]}) > 1


def _told(score: Score, at: tuple[int, int, Fraction], its: Sequence[tuple[MelodicLine, range]]) -> Finding:
    first, last, period = at
    parts = sorted({line.part for line, _ in its})
    rows = [line.rows[one] for line, notes in its for one in notes]
    line, notes = its[0]
    times = round(Fraction(line.ends[notes[-1]] - line.starts[notes[0]], line.ticks_per_quarter) / period)
    metre = score.measures[first].metre
    plural = "" if len(parts) > 1 else "s"
    told = f"{part_names(score, parts)} repeat{plural} a figure of {_quarters(period)} {times} times against the {metre} bar"
    details: dict[str, JSON] = {"quarters": str(period), "times": times, "metre": metre}
    sure = min(0.95, 0.55 + 0.05 * times)
    return finding(score, "grouping dissonance", (first, last), told, sure, parts=parts, notes=rows, details=details)


def _quarters(length: Fraction) -> str:
    """Return a length as text: ``'3 eighths'``, ``'2 quarters'``."""
    for unit, name in ((Fraction(1), "quarter"), (Fraction(1, 2), "eighth"), (Fraction(1, 4), "sixteenth")):
        if (length / unit).denominator == 1:
            count = int(length / unit)
            return f"{count} {name}{'s' * (count > 1)}"
    return f"{length} quarters"
