"""Returns inside a section: an earlier opening that comes back, and the phrases of a 32-bar chorus.

Conventions: a return is a place at which the bars are like those of an earlier section's opening (up to eight bars, at
least four) clearly more than at the places around it. It counts if all that sounds agrees, or if the harmony and
the rhythm do while the melody is varied.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.form_chord import BarChords
from musictheory_nb.score.form_label import Span
from musictheory_nb.score.measure_likeness import MeasureLikeness

#: Least agreement of a return.
LEAST: Final = 0.7
#: How much harmony, rhythm and all together count.
_WEIGHTS: Final = (0.5, 0.25, 0.25)
_LEAST_BARS: Final = 4
#: Least bars of a chorus whose changes go round.
_CHORUS: Final = 8
#: A phrase is like another one if the first four bars agree so much in melody.
_PHRASE: Final = 0.7
#: Share of a bar's melody that must have moved by one interval.
_THEME: Final = 0.75


def agreement(likeness: MeasureLikeness, opening: int, size: int, at: int) -> float:
    """Return how far the bars from `at` on agree with the `size` bars from `opening` on."""
    total = 0.0
    for step in range(size):
        one, other = opening + step, at + step
        total += (
            _WEIGHTS[0] * likeness.harmony[one, other]
            + _WEIGHTS[1] * likeness.rhythm[one, other]
            + _WEIGHTS[2] * likeness.overall[one, other]
        )
    return float(total) / size


def returns_inside(
    likeness: MeasureLikeness, openings: Sequence[tuple[int, int]], start: int, end: int
) -> list[tuple[int, int, str]]:
    """Return the returns in the bars `start` to `end` (not included).

    Parameters
    ----------
    openings : sequence of (int, int)
        First bar and number of bars of each earlier opening.

    Returns
    -------
    list of (int, int, str)
        Bars from `start` on, first bar of what returns, and the reason in words.
    """
    peaks: list[tuple[float, int, int]] = []
    for opening, size in openings:
        if size < _LEAST_BARS:
            continue
        values = {}
        for at in range(start + _LEAST_BARS, end - _LEAST_BARS + 1):
            values[at] = agreement(likeness, opening, min(size, end - at), at)
        for at, value in values.items():
            near = max(values.get(other, 0.0) for other in range(at - 4, at + 5))
            if value >= LEAST and value == near:
                peaks.append((value, at, opening))
    chosen: list[tuple[float, int, int]] = []
    for value, at, opening in sorted(peaks, key=lambda peak: (-round(peak[0], 2), peak[1])):
        if all(abs(at - other) >= _LEAST_BARS for _, other, _ in chosen):
            chosen.append((value, at, opening))
    return [
        (at - start, opening, f"an opening returns (agreement {value:.2f})")
        for value, at, opening in sorted(chosen, key=lambda peak: peak[1])
    ]


def song_phrases(likeness: MeasureLikeness, start: int, end: int) -> list[tuple[int, int, str]]:
    """Return the four phrases of a chorus of 32 bars (two more with an ending), if any of them is like the first.

    Returns
    -------
    list of (int, int, str)
        As of `returns_inside`; the first one begins at 0 and returns to nothing.
    """
    if not 30 <= end - start <= 34:
        return []
    found = [(0, -1, "eight bars")]
    heads = [start]
    for number in (1, 2, 3):
        at = start + 8 * number
        like = -1
        for head in heads:
            same = sum(float(likeness.melody[head + step, at + step]) for step in range(4)) / 4
            if same >= _PHRASE:
                like = head
                break
        if like < 0:
            heads.append(at)
        found.append((8 * number, like, "eight bars"))
    likes = [like for _, like, _ in found]
    aaba = likes[1] == start and likes[2] < 0 and likes[3] == start
    abac = likes[1] < 0 and likes[2] == start
    return found if aaba or abac else []


def choruses(
    chords: BarChords, openings: Sequence[tuple[int, int]], start: int, end: int
) -> list[tuple[int, int, str]]:
    """Return the times that the changes of an earlier section go round in the bars `start` to `end` (not included).

    Parameters
    ----------
    openings : sequence of (int, int)
        First bar and number of bars of each earlier section.

    Returns
    -------
    list of (int, int, str)
        As of `returns_inside`, the first one at 0; nothing unless the changes fill the bars two times or more.
    """
    for opening, size in openings:
        times, rest = divmod(end - start, max(size, 1))
        if size < _CHORUS or times < 2 or rest:
            continue
        if all(chords.same_changes(opening, start + size * time, size) for time in range(times)):
            return [(size * time, opening, "the same changes again") for time in range(times)]
    return []


def second_theme(spans: Sequence[Span], likeness: MeasureLikeness) -> int | None:
    """Return the first bar of the exposition that the recapitulation brings in another key, None if there is none.

    It is where the longest run of bars (four at least) begins whose melody comes back a fourth or a fifth away, behind
    the return of the opening.
    """
    first = [span for span in spans if span.role == "exposition"]
    later = [span for span in spans if span.role == "recapitulation"]
    if not first or not later:
        return None
    begin, end = first[0].start, first[0].end
    start = later[0].start
    stop = next(
        (span.start for span in spans if span.start > start and span.role != "recapitulation"), len(likeness.skyline)
    )
    best, theme = 0, None
    for move in (5, 7):
        moved = _moved_alike(likeness.skyline, begin, end, start, stop, move)
        for bar in range(begin + _LEAST_BARS, end):
            for at in range(start + _LEAST_BARS, stop):
                run = 0
                while bar + run < end and at + run < stop and moved[bar + run - begin, at + run - start]:
                    run += 1
                if run > best:
                    best, theme = run, bar
    return theme if best >= _LEAST_BARS else None


def _moved_alike(
    skyline: npt.NDArray[np.int16], begin: int, end: int, start: int, stop: int, move: int
) -> npt.NDArray[np.bool_]:
    """Return which bars from `start` on have the melody of which bars from `begin` on, `move` semitones higher."""
    found = np.zeros((end - begin, stop - start), dtype=bool)
    for bar in range(begin, end):
        here = skyline[bar]
        there = skyline[start:stop]
        both = (here >= 0)[None, :] & (there >= 0)
        same = (both & ((there - here[None, :]) % 12 == move)).sum(axis=1)
        sounds = np.maximum((here >= 0).sum(), (there >= 0).sum(axis=1))
        found[bar - begin] = same >= _THEME * np.maximum(sounds, 1)
    return found
