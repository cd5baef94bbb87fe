"""The lines of a score, one for each voice of each part, note after note (`melodic_lines`).

Conventions: ties are joined, grace notes left out; where a voice strikes a chord, its line goes on in the highest note.
"""

from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

import numpy as np

from musictheory_nb.score.score import Score
from musictheory_nb.score.tie import struck_rows


@dataclass(frozen=True, slots=True)
class MelodicLine:
    """One voice of one part; every tuple has one entry for each of its notes.

    Parameters
    ----------
    part, staff, voice : int
        Where it stands.
    rows : tuple of int
        Rows of `Score.notes`; of tied notes the first.
    starts, ends : tuple of int
        Ticks from the start of the score.
    pitches : tuple of int
        Sounding, as MIDI numbers.
    letters : tuple of int
        Sounding, in steps of the staff: 0 for any C-1, 7 for C0.
    measures : tuple of int
        Indices of the measures in which they begin.
    ticks_per_quarter : int
        Unit of `starts` and `ends`.
    """

    part: int
    staff: int
    voice: int
    rows: tuple[int, ...]
    starts: tuple[int, ...]
    ends: tuple[int, ...]
    pitches: tuple[int, ...]
    letters: tuple[int, ...]
    measures: tuple[int, ...]
    ticks_per_quarter: int

    def __len__(self) -> int:
        return len(self.rows)

    def follows(self, at: int, rest: Fraction | int = Fraction(1, 2)) -> bool:
        """Whether note `at` + 1 follows note `at` with no more than a rest of so many quarters between."""
        gap = self.starts[at + 1] - self.ends[at]
        return gap <= 0 or gap * rest.denominator <= rest.numerator * self.ticks_per_quarter


def melodic_lines(score: Score) -> tuple[MelodicLine, ...]:
    r"""Return the lines of a score, in the order of parts, staves and voices.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> duo = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nV:1\nC[EG]-|[EG]2|\nV:2\nz2|C,2|\n", cache=False)
    >>> [(line.pitches, line.ends, line.rows) for line in melodic_lines(duo)]
    [((60, 67), (24, 96), (0, 2)), ((48,), (96,), (5,))]
    """
    rows = struck_rows(score.notes)
    table = score.joined_notes
    keep = np.nonzero((table.column("step") >= 0) & (table.column("grace") == 0) & (table.column("duration") > 0))[0]
    columns = [table.column(name)[keep] for name in ("part", "staff", "voice", "start", "duration", "measure")]
    part, staff, voice, start, duration, measure = columns
    pitch = table.chromatic[keep]
    letter = (7 * (table.column("sounding_octave") + 1) + table.column("sounding_step"))[keep]
    order = np.lexsort((-pitch, start, voice, staff, part))
    first_of_chord = np.ones(len(order), dtype=bool)
    sorted_columns = [column[order] for column in (part, staff, voice, start)]
    if len(order) > 1:
        first_of_chord[1:] = np.any([column[1:] != column[:-1] for column in sorted_columns], axis=0)
    order = order[first_of_chord]
    if not len(order):
        return ()
    place = np.stack([column[order] for column in (part, staff, voice)])
    edges = [0, *(1 + np.nonzero(np.any(place[:, 1:] != place[:, :-1], axis=0))[0]).tolist(), len(order)]
    found = []
    for begin, end in pairwise(edges):
        at = order[begin:end]
        found.append(
            MelodicLine(
                int(place[0, begin]),
                int(place[1, begin]),
                int(place[2, begin]),
                tuple(rows[keep[at]].tolist()),
                tuple(start[at].tolist()),
                tuple((start + duration)[at].tolist()),
                tuple(pitch[at].tolist()),
                tuple(letter[at].tolist()),
                tuple(measure[at].tolist()),
                table.ticks_per_quarter,
            )
        )
    return tuple(found)
