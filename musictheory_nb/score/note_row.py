"""Which rows of a score's notes lie in some measures and parts (`rows_in`), or sound at some time (`rows_sounding`)."""

from collections.abc import Collection
from fractions import Fraction

import numpy as np

from musictheory_nb.score.score import Score


def rows_in(
    score: Score, first: int, last: int, parts: Collection[int] = (), classes: Collection[int] = ()
) -> tuple[int, ...]:
    r"""Return the rows of `Score.notes` in the measures `first` to `last` (indices, both included).

    Parameters
    ----------
    score : Score
        As written.
    first, last : int
        Indices of measures.
    parts : collection of int
        Only these parts; all if not given.
    classes : collection of int
        Only notes of these pitch classes, from 0 for C; all, unpitched ones too, if not given.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nCG|c2|GC|\n", cache=False)
    >>> rows_in(tune, 1, 2), rows_in(tune, 0, 2, classes=[0])
    ((2, 3, 4), (0, 2, 4))
    """
    notes = score.notes
    measure = notes.column("measure")
    begin, end = int(np.searchsorted(measure, first)), int(np.searchsorted(measure, last, side="right"))
    keep = np.ones(end - begin, dtype=bool)
    if parts:
        keep &= np.isin(notes.column("part")[begin:end], list(parts))
    if classes:
        keep &= np.isin(notes.chromatic[begin:end] % 12, list(classes)) & (notes.column("step")[begin:end] >= 0)
    return tuple((begin + np.nonzero(keep)[0]).tolist())


def rows_sounding(score: Score, start: Fraction, end: Fraction) -> tuple[int, ...]:
    r"""Return the rows of `Score.notes` that sound between two places, in quarters from the start of the score.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:2/4\nL:1/4\nK:C\nCG|c2|GC|\n", cache=False)
    >>> rows_sounding(tune, Fraction(1), Fraction(3)), rows_sounding(tune, Fraction(5, 2), Fraction(3))
    ((1, 2), (2,))
    """
    notes = score.notes
    unit = notes.ticks_per_quarter
    begin = int(np.searchsorted(notes.reach, float(start * unit), side="right"))
    stop = int(np.searchsorted(notes.column("start"), float(end * unit)))
    return tuple((begin + np.nonzero(notes.ends[begin:stop] > float(start * unit))[0]).tolist())
