"""How dense and in which register each part plays, section by section (`density`)."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.score import Score


@dataclass(frozen=True, slots=True)
class Density:
    """What one part does in a range of measures.

    Parameters
    ----------
    part, first, last : int
        Index of the part, and of the first and last measure, both included.
    notes : int
        Notes struck, a chord's notes one by one; tied ones count once.
    notes_per_quarter : Fraction
        The same over the length of the measures.
    lowest, highest, median : int or None
        Sounding pitches as MIDI numbers; None where it plays no pitched note.
    """

    part: int
    first: int
    last: int
    notes: int
    notes_per_quarter: Fraction
    lowest: int | None
    highest: int | None
    median: int | None


def density(score: Score, ranges: Sequence[tuple[int, int]]) -> tuple[Density, ...]:
    r"""Return density and register of every part in each range of measures (first and last index, both included).

    Raises
    ------
    ScoreError
        A range is empty or lies outside the score.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nCG|c2|\n", cache=False)
    >>> [(one.notes, one.notes_per_quarter, one.lowest, one.highest) for one in density(tune, [(0, 0), (1, 1)])]
    [(2, Fraction(1, 1), 60, 67), (1, Fraction(1, 2), 72, 72)]
    >>> density(tune, [(1, 5)])
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: measures 1 to 5: this score has the measures 0 to 1 (by index)
    """
    last_measure = len(score.measures) - 1
    table = score.joined_notes
    found = []
    for first, last in ranges:
        if not 0 <= first <= last <= last_measure:
            raise ScoreError(f"measures {first} to {last}: this score has the measures 0 to {last_measure} (by index)")
        length = score.measures[last].end - score.measures[first].start
        for part in score.parts:
            notes = score.notes_of(first, last, [part.index], table)
            notes = notes.where(notes.column("grace") == 0)
            pitched = np.sort(notes.chromatic[notes.column("step") >= 0])
            middle = int(pitched[len(pitched) // 2]) if len(pitched) else None
            found.append(
                Density(
                    part.index,
                    first,
                    last,
                    len(notes),
                    Fraction(len(notes)) / length if length else Fraction(0),
                    int(pitched[0]) if len(pitched) else None,
                    int(pitched[-1]) if len(pitched) else None,
                    middle,
                )
            )
    return tuple(found)
