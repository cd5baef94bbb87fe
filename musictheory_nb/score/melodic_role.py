"""How each note of a line is reached and left: what it may be where it does not belong to the chord.

A line is one voice of one part. What a note may be (`MELODIC_ROLES`) depends on the notes before and after it in its
line alone; whether it is foreign to a chord is decided elsewhere. Source: harmony courses (common practice, no source).
"""

from collections.abc import Sequence
from types import MappingProxyType
from typing import Final

import numpy as np

from musictheory_nb.score.note_table import NoteTable

#: What a note may be that is foreign to its chord, with what each means.
MELODIC_ROLES: Final = MappingProxyType(
    {
        "passing note": "reached and left by step in one direction",
        "neighbour note": "reached and left by step, there and back",
        "suspension": "held or struck again from before, and left by step",
        "appoggiatura": "reached by leap and left by step",
        "anticipation": "struck again in the next chord",
        "escape note": "reached by step and left by leap",
        "pedal point": "stays in the bass while the chords change",
        "foreign note": "none of these",
    }
)
#: Semitones of a step.
_STEP: Final = 2


def melodic_roles(notes: NoteTable) -> tuple[str, ...]:
    r"""Return for each row what it may be, a name of `MELODIC_ROLES`.

    Parameters
    ----------
    notes : NoteTable
        Pitched notes with their ties joined.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> line = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEC|GFGA|c4|]\n", cache=False).joined_notes
    >>> melodic_roles(line)[1], melodic_roles(line)[5]
    ('passing note', 'neighbour note')
    """
    lines = list(zip(*(notes.column(name).tolist() for name in ("part", "staff", "voice")), strict=True))
    starts = notes.column("start").tolist()
    ends = (notes.column("start") + notes.column("duration")).tolist()
    pitches = notes.chromatic.tolist()
    ending: dict[tuple[tuple[int, ...], int], list[int]] = {}
    starting: dict[tuple[tuple[int, ...], int], list[int]] = {}
    for row, line in enumerate(lines):
        ending.setdefault((line, ends[row]), []).append(pitches[row])
        starting.setdefault((line, starts[row]), []).append(pitches[row])
    pedals = _pedals(notes, pitches)
    roles = []
    for row, line in enumerate(lines):
        if row in pedals:
            roles.append("pedal point")
            continue
        before = _nearest(pitches[row], ending.get((line, starts[row]), ()))
        after = _nearest(pitches[row], starting.get((line, ends[row]), ()))
        roles.append(_role(before, after))
    return tuple(roles)


def _nearest(pitch: int, others: Sequence[int]) -> int | None:
    """Return the distance to the nearest other pitch, None where there is none."""
    return min((other - pitch for other in others), key=abs, default=None)


def _role(before: int | None, after: int | None) -> str:
    left_by_step = after is not None and 0 < abs(after) <= _STEP
    reached_by_step = before is not None and 0 < abs(before) <= _STEP
    if left_by_step:
        assert after is not None
        if before == 0:
            return "suspension"
        if reached_by_step:
            assert before is not None
            return "passing note" if before * after < 0 else "neighbour note"
        return "appoggiatura"
    if after == 0 and before != 0:
        return "anticipation"
    return "escape note" if reached_by_step and after is not None else "foreign note"


def _pedals(notes: NoteTable, pitches: Sequence[int]) -> frozenset[int]:
    """Rows of the lowest notes that stay at one pitch, held or struck again, for two measures or more."""
    measures, first = np.unique(notes.column("measure"), return_index=True)
    edges = [*first.tolist(), len(pitches)]
    runs: list[tuple[int, int, int]] = []  # lowest pitch, first and last place among the measures
    for at, measure in enumerate(measures.tolist()):
        low = min(pitches[edges[at] : edges[at + 1]])
        if runs and runs[-1][0] == low and runs[-1][2] == at - 1 and measure == int(measures[at - 1]) + 1:
            runs[-1] = (low, runs[-1][1], at)
        else:
            runs.append((low, at, at))
    found: set[int] = set()
    for low, begin, last in runs:
        inside = range(edges[begin], edges[last + 1])
        # Nothing else moves within a step above it: else it is the bass of a moving line.
        if last > begin and not any(low < pitches[row] <= low + _STEP for row in inside):
            found.update(row for row in inside if pitches[row] == low)
    return frozenset(found)
