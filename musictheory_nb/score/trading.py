"""Two parties that take turns (`find_trading`).

Conventions (common practice): an ensemble and a soloist, or two soloists, take turns for a fixed number of bars, most
often fours, twos or eights; the turns need not be equal. Whoever accompanies throughout belongs to neither party. A
measure is the turn of the party that sounds in clearly more of it; a pickup or the last note of the turn before does
not count against it. Short turns (up to two bars) between one part and a group are a call and response.
"""

from typing import Final

import numpy as np

from musictheory_nb.score.part_activity import PartActivity, runs
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan, part_names, span

_LEAST_TURNS: Final = 3
_LONGEST_TURN: Final = 16
#: The party whose turn it is sounds in at least this share more of the measure than the other.
_CLEARLY: Final = 0.4


def find_trading(score: Score, activity: PartActivity) -> list[TextureSpan]:
    """Return where two parties take turns."""
    share = activity.share
    count = len(share)
    pairs: list[tuple[int, int, int, int, tuple[tuple[int, int], ...]]] = []
    for one in range(count):
        for other in range(one + 1, count):
            turn = np.where(
                share[one] - share[other] >= _CLEARLY, 1, np.where(share[other] - share[one] >= _CLEARLY, 2, 0)
            )
            for first, last, turns in _exchanges(turn.tolist()):
                pairs.append((first, last, one, other, turns))
    merged: dict[tuple[int, int, tuple[int, ...]], tuple[set[int], set[int]]] = {}
    for first, last, one, other, turns in pairs:
        lead, follow = (one, other) if turns[0][0] == 1 else (other, one)
        key = (first, last, tuple(length for _, length in turns))
        parties = merged.setdefault(key, (set(), set()))
        parties[0].add(lead)
        parties[1].add(follow)
    found = []
    for (first, last, lengths), (lead_parts, follow_parts) in sorted(merged.items()):
        if lead_parts & follow_parts:
            continue
        found.append(_told(score, first, last, lengths, tuple(sorted(lead_parts)), tuple(sorted(follow_parts))))
    return [
        one
        for one in found
        if not any(other.first <= one.first and one.last <= other.last and other != one for other in found)
        or len(one.turns) > 4
    ]


def _exchanges(turn: list[int]) -> list[tuple[int, int, tuple[tuple[int, int], ...]]]:
    """Return each stretch of turns: first and last measure, and who and how many bars for each."""
    found: list[tuple[int, int, tuple[tuple[int, int], ...]]] = []
    stretch: list[tuple[int, int, int]] = []

    def close() -> None:
        if len(stretch) >= _LEAST_TURNS:
            turns = tuple((who, last - first + 1) for who, first, last in stretch)
            found.append((stretch[0][1], stretch[-1][2], turns))
        stretch.clear()

    for first, last in runs(turn):
        who = turn[first]
        if not who or last - first + 1 > _LONGEST_TURN:
            close()
            continue
        stretch.append((who, first, last))
    close()
    return found


def _told(
    score: Score, first: int, last: int, lengths: tuple[int, ...], lead: tuple[int, ...], follow: tuple[int, ...]
) -> TextureSpan:
    one, other = part_names(score, lead), part_names(score, follow)
    equal = len(set(lengths)) == 1
    bars = f"{lengths[0]} bar{'s' * (lengths[0] > 1)} each" if equal else ", ".join(map(str, lengths)) + " bars"
    short = max(lengths) <= 2 and (len(lead) == 1) != (len(follow) == 1)
    kind = "call and response" if short else "trading"
    told = f"{one} and {other} take turns, {len(lengths)} of them: {bars}"
    confidence = min(0.95, 0.5 + 0.1 * len(lengths) + 0.1 * equal)
    turns = tuple((lead if at % 2 == 0 else follow, length) for at, length in enumerate(lengths))
    finding = span(score, kind, first, last, sorted((*lead, *follow)), told, confidence)
    return TextureSpan(
        finding.kind,
        finding.first,
        finding.last,
        finding.first_measure,
        finding.last_measure,
        finding.parts,
        finding.sentence,
        finding.confidence,
        turns=turns,
    )
