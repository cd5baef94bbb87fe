"""Whether a run of bars comes back in another key or mode (`moved_by`, `other_mode`)."""

from typing import Final

import numpy as np

from musictheory_nb.score.measure_likeness import MeasureLikeness

#: Share of the melody that must have moved alike; a run of fewer bars or different notes proves nothing.
_ALIKE: Final = 0.8
_BARS: Final = 4
_NOTES: Final = 3


def moved_by(likeness: MeasureLikeness, one: int, other: int, size: int) -> int:
    """Return the semitones, from 1 to 11 upwards and octaves aside, by which the melody of `size` bars has moved; 0 for none.

    Parameters
    ----------
    one, other : int
        First bars of both runs.
    """
    if size < _BARS:
        return 0
    here, there = likeness.skyline[one : one + size], likeness.skyline[other : other + size]
    both = (here >= 0) & (there >= 0)
    sounding = int(((here >= 0) | (there >= 0)).sum())
    if not both.any() or len(set((here[both] % 12).tolist())) < _NOTES:
        return 0
    counts = np.bincount(((there - here) % 12)[both], minlength=12)
    best = int(counts.argmax())
    return best if counts[best] >= _ALIKE * sounding else 0
