"""Which bar of a return stands for which bar of the section that comes back, if one is longer (`paired_bars`)."""

from typing import Final

import numpy as np

from musictheory_nb.score.measure_likeness import Matrix

#: What a bar more or less costs, in bars that are quite unlike.
_EXTRA: Final = 0.55


def paired_bars(likeness: Matrix) -> tuple[tuple[int, int], ...]:
    """Return the pairs of bars (there, here), from 0, in order; a bar in none of them is added or left out.

    Parameters
    ----------
    likeness : array of bars there by bars here
        From 0 to 1. Where several pairings are as good, the bars at the end are the ones added or left out.

    Examples
    --------
    >>> there, here = "abcd", "abxycd"
    >>> paired_bars(np.array([[float(one == other) for other in here] for one in there], dtype=np.float32))
    ((0, 0), (1, 1), (2, 4), (3, 5))
    """
    count, other = likeness.shape
    if count == other:
        return tuple((at, at) for at in range(count))
    # From the end, so that among equals the first bars are paired.
    cost = np.zeros((count + 1, other + 1))
    cost[count, :] = _EXTRA * np.arange(other, -1, -1)
    cost[:, other] = _EXTRA * np.arange(count, -1, -1)
    for one in range(count - 1, -1, -1):
        for two in range(other - 1, -1, -1):
            cost[one, two] = min(
                cost[one + 1, two + 1] + 1 - float(likeness[one, two]),
                cost[one + 1, two] + _EXTRA,
                cost[one, two + 1] + _EXTRA,
            )
    found = []
    one = two = 0
    while one < count and two < other:
        if cost[one, two] >= cost[one + 1, two + 1] + 1 - float(likeness[one, two]) - 1e-9:
            found.append((one, two))
            one, two = one + 1, two + 1
        elif cost[one, two] >= cost[one + 1, two] + _EXTRA - 1e-9:
            one += 1
        else:
            two += 1
    return tuple(found)
