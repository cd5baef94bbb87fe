"""How strong each place of a bar is: by the levels of its metre (`metric_weight`)."""

import re
from fractions import Fraction
from functools import lru_cache


@lru_cache(maxsize=1024)
def metric_weight(metre: str, place: Fraction) -> int:
    """Return the weight of a place: 0 for the downbeat, -1, -2 … for each level below.

    Parameters
    ----------
    metre : str
        ``'3/4'``, ``'3+2/8'``; without one only the downbeat is told from the rest.
    place : Fraction
        Quarters from where the full bar starts.

    Notes
    -----
    Common practice, no source: 4/4 has its second accent on 3, the beats of 3/4 after the first are equal, 6/8 is two
    beats of three eighths. Beats divide by two, the beats of compound metres by three and then by two.

    Examples
    --------
    >>> [metric_weight("4/4", Fraction(at, 2)) for at in range(8)]
    [0, -3, -2, -3, -1, -3, -2, -3]
    >>> [metric_weight("6/8", Fraction(at, 2)) for at in range(6)]
    [0, -2, -2, -1, -2, -2]
    """
    levels = _levels(metre)
    for depth, level in enumerate(levels):
        if place in level:
            return -depth
    match = re.fullmatch(r".*/(\d+)", metre)
    unit = Fraction(4, int(match[1])) if match and int(match[1]) else Fraction(1)
    depth = len(levels)
    share = place / unit
    while share.denominator > 1 and depth < len(levels) + 6:
        share *= 3 if share.denominator % 3 == 0 else 2
        depth += 1
    return -(depth - 1 if levels else depth + 1)


@lru_cache(maxsize=256)
def _levels(metre: str) -> tuple[frozenset[Fraction], ...]:
    """Return the places of each level of a metre, from the downbeat to what its lower figure counts."""
    match = re.fullmatch(r"(\d+(?:\+\d+)*)/(\d+)", metre)
    if match is None or not int(match[2]):
        return (frozenset({Fraction(0)}),)
    unit = Fraction(4, int(match[2]))
    groups = [int(group) for group in match[1].split("+")]
    levels = [frozenset({Fraction(0)})]
    if len(groups) > 1:
        levels.append(frozenset(unit * sum(groups[:at]) for at in range(len(groups))))
        count = sum(groups)
    else:
        count = groups[0]
        parts = 1
        while count % (2 * parts) == 0 and (count // parts) % 2 == 0 and count // parts > 3:
            parts *= 2
            levels.append(frozenset(unit * count * at / parts for at in range(parts)))
        if count // parts > 3 and (count // parts) % 3 == 0:
            parts *= 3
            levels.append(frozenset(unit * count * at / parts for at in range(parts)))
    beats = frozenset(unit * at for at in range(count))
    if beats != levels[-1]:
        levels.append(beats)
    return tuple(levels)
