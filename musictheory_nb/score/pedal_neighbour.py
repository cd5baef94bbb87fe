"""The shortest pedal points: a bass that strikes its note again while a chord goes to a neighbour and back.

Conventions (common practice): where chords change on half beats, a note that the bass strikes three times or more in a
row, in octaves or not, is a pedal point if the parts above move to a chord of which it is no tone and return.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.pedal_beat import BeatLine, Beats, beats_of, chord_masks
from musictheory_nb.score.score import Score

#: Least number of half beats, and how many the bass must strike another note in, before and behind.
_LEAST: Final = 3
_MOVING: Final = 2


@dataclass(frozen=True, slots=True)
class NeighbourPedal:
    """A short pedal: index of its measure, its part, its pitch class."""

    measure: int
    part: int
    pitch_class: int


def neighbour_pedals(score: Score) -> list[NeighbourPedal]:
    r"""Return the pedals of a few half beats, in order.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> upper, bass = "[Bd][Af][Bd][EG] [EG]4", "G,G,,G,C, [C,,C,]4"
    >>> text = f"X:1\nM:4/4\nL:1/8\nK:C\nV:1\n[EG]2[DF]2 [EG]2[EB]2|{upper}|\nV:2\nCB,A,G, CGEF|{bass}|\n"
    >>> text += "V:3\nc2d2 c2g2|dcde e4|\n"
    >>> [(one.measure, one.pitch_class) for one in neighbour_pedals(load_score(text.encode(), cache=False))]
    [(1, 7)]
    """
    beats = beats_of(score, 2)
    found = []
    for line in beats.lines:
        struck = _struck(line)
        for pitch_class, first, last in _runs(struck):
            if _is_pedal(beats, line, struck, pitch_class, first, last):
                found.append(NeighbourPedal(int(beats.measure[first]), line.part, pitch_class))
    return sorted(found, key=lambda one: (one.measure, one.part))


def _struck(line: BeatLine) -> npt.NDArray[np.int64]:
    """Return the only pitch class that the line strikes in each half beat; -1 where it strikes none or more than one."""
    alone = ((line.share > 0).sum(axis=1) == 1) & line.begins.any(axis=1)
    return np.where(alone, line.share.argmax(axis=1), -1)


def _runs(struck: npt.NDArray[np.int64]) -> Iterator[tuple[int, int, int]]:
    """Runs of one pitch class, long enough and with a bass that moves on half beats before and behind."""
    count = len(struck)
    edges = [0, *(np.nonzero(np.diff(struck))[0] + 1).tolist(), count]
    for first, after in pairwise(edges):
        if struck[first] < 0 or after - first < _LEAST:
            continue
        around = [*range(max(0, first - _MOVING), first), *range(after, min(count, after + _MOVING))]
        if len(around) >= _MOVING and all(struck[at] >= 0 for at in around):
            yield int(struck[first]), first, after - 1


def _is_pedal(
    beats: Beats, line: BeatLine, struck: npt.NDArray[np.int64], pitch_class: int, first: int, last: int
) -> bool:
    if beats.measure[first] != beats.measure[last]:
        return False
    here = slice(first, last + 1)
    low = line.lowest[here, pitch_class]
    others = [other for other in beats.lines if other is not line]
    moving = sum(len(other.masks(first, last, pitch_class)) > 1 for other in others)
    if moving < 2 or (low > beats.lowest[here]).any():
        return False
    own = 1 << pitch_class
    masks = [beats.heard.mask(at, pitch_class) for at in range(first, last + 1)]
    chords = chord_masks()
    opening, closing = masks[0] | own, masks[-1] | own
    if not any(not (opening | closing) & ~chord for chord in chords):
        return False
    return any(
        mask and all((mask | own) & ~chord for chord in chords) and not mask & opening & ~own for mask in masks[1:-1]
    )
