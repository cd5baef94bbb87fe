"""Odd and changing metres (`metre_devices`).

Conventions (common practice): a metre is odd where its beats cannot be parted into twos or threes alone, as in 5/4, 7/8
or 11/8. Changes that follow each other within `_NEAR` bars are told together.
"""

import re
from typing import Final

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.occurrence import Occurrence, gathered
from musictheory_nb.score.part_activity import runs
from musictheory_nb.score.score import Score

_NEAR: Final = 8


def metre_devices(score: Score) -> list[Finding]:
    """Return the stretches in an odd metre, and where the metre changes."""
    metres = [measure.metre for measure in score.measures]
    found = []
    for first, last in runs(metres):
        if is_odd(metres[first]):
            told = f"the metre is {metres[first]}, which has no even parts"
            details: dict[str, JSON] = {"metre": metres[first]}
            found.append(finding(score, "odd metre", (first, last), told, 0.95, details=details))
    changes = [at for at in range(1, len(metres)) if metres[at] and metres[at - 1] and metres[at] != metres[at - 1]]
    for group in gathered((Occurrence(at, at) for at in changes), _NEAR):
        at = [one.first for one in group]
        order = [metres[at[0] - 1], *(metres[one] for one in at)]
        if len(at) == 1:
            told = f"the metre changes from {order[0]} to {order[1]}"
        else:
            told = f"the metre changes {len(at)} times, between {_listed(list(dict.fromkeys(order)))}"
        details = {"metres": list(order)}
        found.append(finding(score, "change of metre", (at[0], at[-1]), told, 0.95, details=details))
    return found


def _listed(metres: list[str]) -> str:
    return ", ".join(metres[:-1]) + " and " + metres[-1]


def is_odd(metre: str) -> bool:
    """Whether a metre's beats cannot be parted into twos or threes alone.

    Examples
    --------
    >>> [metre for metre in ("2/4", "3/4", "5/4", "6/8", "7/8", "9/8", "3+2/8", "12/8", "") if is_odd(metre)]
    ['5/4', '7/8', '3+2/8']
    """
    match = re.fullmatch(r"(\d+(?:\+\d+)*)/\d+", metre)
    if match is None:
        return False
    count = sum(map(int, match[1].split("+")))
    for small in (2, 3):
        while count and count % small == 0:
            count //= small
    return count > 1
