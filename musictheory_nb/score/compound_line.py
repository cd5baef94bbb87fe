"""A single line heard as several voices: how long each of its notes is held in the ear.

In a line of quick notes (half a beat or less) that leaps, a note goes on in the ear until the line comes back to its place: to it, or to within a step of
it; at the latest to the end of its measure. So a broken chord is heard as a chord. Source: what counterpoint courses
call compound melody or implied polyphony (common practice, no source).
"""

from typing import Final

import numpy as np

from musictheory_nb.score.measure import Measure
from musictheory_nb.score.note_table import NoteTable, Ticks

#: Semitones of a step: a note so near takes an earlier one's place.
_STEP: Final = 2


def is_single_line(starts: Ticks, ends: Ticks) -> bool:
    """Whether no two notes sound at once; starts in order.

    Examples
    --------
    >>> is_single_line(np.array([0, 4, 8]), np.array([4, 8, 9])), is_single_line(np.array([0, 4]), np.array([8, 8]))
    (True, False)
    """
    return bool((starts[1:] >= np.maximum.accumulate(ends)[:-1]).all())


def held_ends(notes: NoteTable, measures: tuple[Measure, ...]) -> Ticks:
    r"""Return for each note of a single line until when it is held in the ear, in ticks.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> piece = load_score(b"X:1\nM:2/4\nL:1/8\nK:C\nCEGA|c4|]\n", cache=False)
    >>> notes = piece.joined_notes
    >>> (held_ends(notes, piece.measures) / notes.ticks_per_quarter).tolist()  # G is taken over by A
    [2.0, 2.0, 1.5, 2.0, 4.0]
    """
    starts = notes.column("start").tolist()
    ends = (notes.column("start") + notes.column("duration")).tolist()
    pitches, bars = notes.chromatic.tolist(), notes.column("measure").tolist()
    limits = [int(measure.end * notes.ticks_per_quarter) for measure in measures]
    beats = [pulse * _pulses(measures[bar]) for pulse, bar in zip(notes.column("pulse").tolist(), bars, strict=True)]
    for row, pitch in enumerate(pitches):
        if 2 * (ends[row] - starts[row]) > beats[row]:
            continue
        until = max(ends[row], limits[bars[row]])
        for later in range(row + 1, len(pitches)):
            if starts[later] >= until:
                break
            back = later + 1 < len(pitches) and pitches[later + 1] == pitch and starts[later + 1] < until
            if abs(pitches[later] - pitch) <= _STEP and (pitches[later] == pitch or not back):
                until = max(ends[row], starts[later])
                break
        ends[row] = until
    return np.array(ends, dtype=np.int64)


def _pulses(measure: Measure) -> int:
    """Return how many of the metre's lower figure make a beat: three in 6/8, 9/8 and 12/8."""
    above, _, below = measure.metre.partition("/")
    is_compound = above.isdigit() and below.isdigit() and int(above) > 3 and int(above) % 3 == 0 and int(below) >= 8
    return 3 if is_compound else 1
