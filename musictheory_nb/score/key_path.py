"""The keys along a piece, found from chords, notes and cadences together.

The path through 24 keys is that on which chords and notes fit best, cadences (dominant to tonic, most of all under a
fermata) are in the key, and keys change seldom, to near keys, and rather behind a fermata: dynamic programming. Brief applied chords do not
change the key. `harmony_span.KeySpan` is what comes of it.
"""

from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.chord_candidate import chord_tables
from musictheory_nb.score.harmony_cell import HarmonyCells
from musictheory_nb.score.harmony_segment import Segment
from musictheory_nb.score.key_fit import KEY_COUNT, chord_fit, key_distance, note_fit

Amounts = npt.NDArray[np.float64]

#: What a change of key costs, and what each step on the circle of fifths adds.
_CHANGE: Final = 2.73
_PER_STEP: Final = 0.42
#: Weights of the chord and of the notes, by the root of their length in beats (of two beats at most).
_CHORD: Final = 1.0
_NOTES: Final = 1.49
_MOST_BEATS: Final = 2.0
#: What a cadence adds to its key, and what it adds where the music rests on it.
_CADENCE: Final = 1.08
_REST: Final = 0.9
#: What a change of key costs less where the music has rested on the chord before it.
_AFTER_REST: Final = 1.0
#: What the key of the piece adds at its first chord, at its last, and at every one.
_HOME: Final = (1.5, 1.0, 0.1)


class Stretch(NamedTuple):
    """One chord on the way: its number (-1 for no chord), beats, what sounds, metric level, whether it is rested on."""

    chord: int
    beats: float
    sounding: Amounts
    level: int
    rests: bool


def stretches_of(cells: HarmonyCells, segments: Sequence[Segment]) -> tuple[Stretch, ...]:
    """Return segments of cells as stretches."""
    held = _rests(cells)
    return tuple(
        Stretch(
            segment.chord,
            float(cells.beats[segment.first : segment.last].sum()),
            cells.sounding[segment.first : segment.last].sum(axis=0),
            int(cells.level[segment.first]),
            bool(held[segment.first : segment.last].any()),
        )
        for segment in segments
    )


def stretch_keys(stretches: Sequence[Stretch], home: int | None = None) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Return the key (0-11 major from C, 12-23 minor) of each stretch, and by how much it beats the next best.

    Parameters
    ----------
    stretches : sequence of Stretch
        The chords in order.
    home : int, optional
        Key of the piece, with which it begins and ends unless much speaks against it.
    """
    if not stretches:
        return (), ()
    fit = _emissions(stretches)
    if home is not None:
        fit[0, home] += _HOME[0]
        fit[-1, home] += _HOME[1]
        fit[:, home] += _HOME[2]
    change = _CHANGE + _PER_STEP * key_distance()
    np.fill_diagonal(change, 0.0)
    less = np.array([0.0, *(_AFTER_REST * stretch.rests for stretch in stretches[:-1])])
    forward, came = _forward(fit, change, less)
    backward, _ = _forward(fit[::-1], change.T, np.concatenate([less[:1], less[:0:-1]]))
    total = forward + backward[::-1] - fit
    path = [int(forward[-1].argmax())]
    for at in range(len(stretches) - 1, 0, -1):
        path.append(int(came[at, path[-1]]))
    path.reverse()
    margins = [float(total[at, key] - np.delete(total[at], key).max()) for at, key in enumerate(path)]
    return tuple(path), tuple(margins)


def _emissions(stretches: Sequence[Stretch]) -> Amounts:
    chords, notes = chord_fit(), note_fit()
    found = np.zeros((len(stretches), KEY_COUNT))
    for at, stretch in enumerate(stretches):
        weight = min(stretch.beats, _MOST_BEATS) ** 0.5
        if stretch.chord >= 0:
            found[at] = _CHORD * chords[:, stretch.chord] * weight
        if (total := stretch.sounding.sum()) > 0:
            found[at] += _NOTES * weight * (notes @ (stretch.sounding / total))
        if at and (key := cadence_key(stretches[at - 1].chord, stretch.chord)) is not None:
            strength = _CADENCE if stretch.level <= stretches[at - 1].level else _CADENCE / 2
            if stretch.rests:
                strength += _REST
            found[at - 1, key] += strength / 2
            found[at, key] += strength
    return found


def cadence_key(first: int, second: int) -> int | None:
    """Return the key in which two chords are dominant (or leading-tone chord) and tonic, None where they are not.

    Examples
    --------
    >>> cadence_key(12 * 4 + 7, 0), cadence_key(0, 12 * 4 + 7)  # G7 C, and C G7
    (0, None)
    """
    if first < 0 or second < 0:
        return None
    tables = chord_tables()
    if tables.types[second] not in (0, 1):
        return None
    down = (tables.roots[first] - tables.roots[second]) % 12
    kind = int(tables.types[first])
    if (kind in (0, 4) and down == 7) or (kind in (2, 7, 8) and down == 11):
        return int(tables.roots[second]) + (12 if tables.types[second] == 1 else 0)
    return None


def _rests(cells: HarmonyCells) -> npt.NDArray[np.bool_]:
    """Cells in which a note under a fermata begins."""
    found = np.zeros(len(cells), dtype=bool)
    starts = cells.notes.column("start")[cells.notes.column("fermata") > 0]
    if len(starts):
        found[np.clip(np.searchsorted(cells.edges, starts, side="right") - 1, 0, len(cells) - 1)] = True
    return found


def _forward(fit: Amounts, change: Amounts, less: Amounts) -> tuple[Amounts, npt.NDArray[np.int64]]:
    """Best sums up to each stretch, and the keys they came from; a change to stretch `at` costs `less[at]` less."""
    best = np.zeros_like(fit)
    came = np.zeros(fit.shape, dtype=np.int64)
    best[0] = fit[0]
    other = ~np.eye(len(change), dtype=bool)
    for at in range(1, len(fit)):
        reach = best[at - 1][:, None] - change
        if less[at]:
            reach[other] += less[at]
        came[at] = reach.argmax(axis=0)
        best[at] = reach.max(axis=0) + fit[at]
    return best, came


def key_prior(keys: Sequence[int], segments: Sequence[Segment], cells: HarmonyCells, weight: float) -> Amounts:
    """Return what a chord that begins in each cell loses, a beat, where it fits the local key less than its tonic does."""
    fit = chord_fit() - 1.0
    found = np.zeros((len(cells), fit.shape[1]))
    for key, segment in zip(keys, segments, strict=True):
        found[segment.first : segment.last] = fit[key]
    return weight * found
