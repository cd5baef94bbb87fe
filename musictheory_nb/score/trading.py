"""Two parties that take turns (`find_trading`).

Conventions (common practice): an ensemble and a soloist, or two soloists, take turns for a fixed number of bars, most
often fours, twos or eights; the turns need not be equal. Whoever accompanies throughout belongs to neither party; where
others come and go as they please, nobody trades. A measure is the turn of the party that sounds in clearly more of it,
or in more of it while the other is silent: a pickup or the last note of the turn before does not count against it. A
soloist may also play along in the ensemble's turns. Short turns (up to two bars) between one part and a group are a call
and response.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.part_activity import PartActivity, runs
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan, part_names, span

#: Least turns; of unequal ones, which last two bars on average, and of a soloist against the ensemble that he plays in.
_LEAST_TURNS: Final = 3
_LEAST_UNEQUAL: Final = 4
_LONGEST_TURN: Final = 16
#: The party whose turn it is sounds in at least this share more of the measure than the other.
_CLEARLY: Final = 0.4
#: Share of a measure in which both may sound where they hand over.
_OVERLAP: Final = 0.25
#: A part plays throughout if it plays in this share of the measures.
_THROUGHOUT: Final = 0.8
_Turns = tuple[tuple[int, int], ...]


def find_trading(score: Score, activity: PartActivity) -> list[TextureSpan]:
    """Return where two parties take turns."""
    sounding = _slots(score, activity)
    merged: dict[tuple[int, int, tuple[int, ...]], tuple[set[int], set[int]]] = {}
    for one in range(len(sounding)):
        for other in range(one + 1, len(sounding)):
            for first, last, turns in _exchanges(*_turns_of(sounding[one], sounding[other])):
                lead, follow = (one, other) if turns[0][0] == 1 else (other, one)
                key = (first, last, tuple(length for _, length in turns))
                parties = merged.setdefault(key, (set(), set()))
                parties[0].add(lead)
                parties[1].add(follow)
    found = []
    for (first, last, lengths), (lead_parts, follow_parts) in sorted(merged.items()):
        if not lead_parts & follow_parts and _others_are_steady(activity, lead_parts | follow_parts, first, last):
            found.append(_told(score, first, last, lengths, tuple(sorted(lead_parts)), tuple(sorted(follow_parts))))
    found += _against_own_ensemble(score, activity)
    return [
        one
        for at, one in enumerate(found)
        if not any(
            other.first <= one.first
            and one.last <= other.last
            and (other.last - other.first, -before) > (one.last - one.first, -at)
            for before, other in enumerate(found)
            if other is not one
        )
    ]


#: Into how many slots a measure is cut to see who sounds.
_SLOTS: Final = 24


def _slots(score: Score, activity: PartActivity) -> npt.NDArray[np.bool_]:
    """Return in which slots of each measure each part sounds: parts by measures by slots."""
    found = np.zeros((len(score.parts), len(score.measures), _SLOTS), dtype=bool)
    for part, measures in enumerate(activity.events):
        for at, events in enumerate(measures):
            length = max(int(score.measures[at].length * activity.ticks_per_quarter), 1)
            for onset, duration, _ in events:
                found[part, at, onset * _SLOTS // length : -(-(onset + duration) * _SLOTS // length)] = True
    return found


def _turns_of(one: npt.NDArray[np.bool_], other: npt.NDArray[np.bool_]) -> tuple[list[int], list[bool]]:
    """Return whose turn each measure is, and which are silent.

    A turn is 1, 2, or 0 for nobody's; a silent measure goes with the one before.
    """
    share, against = one.mean(axis=1), other.mean(axis=1)
    apart = (one & other).mean(axis=1) <= _OVERLAP
    first = (share - against >= _CLEARLY) | (apart & (share > against))
    second = (against - share >= _CLEARLY) | (apart & (against > share))
    # Half and half: the turn of the one who begins the measure.
    half = apart & (share == against) & (share > 0)
    begins = one.argmax(axis=1) < other.argmax(axis=1)
    turn: list[int] = np.where(first | (half & begins), 1, np.where(second | half, 2, 0)).tolist()
    silent = ((share == 0) & (against == 0)).tolist()
    for at in range(1, len(turn)):
        if silent[at] and not silent[at - 1]:
            turn[at] = turn[at - 1]
    return turn, silent


def _exchanges(turn: Sequence[int], silent: Sequence[bool]) -> list[tuple[int, int, _Turns]]:
    """Return each stretch of turns: first and last measure, and who and how many bars for each."""
    found: list[tuple[int, int, _Turns]] = []
    stretch: list[tuple[int, int, int]] = []

    def close() -> None:
        turns = _trimmed(stretch, silent)
        lengths = [last - first + 1 for _, first, last in turns]
        enough = len(turns) >= _LEAST_UNEQUAL and sum(lengths) >= 2 * len(lengths)
        if enough or (len(turns) >= _LEAST_TURNS and _is_regular(lengths)):
            its = tuple((who, length) for (who, _, _), length in zip(turns, lengths, strict=True))
            found.append((turns[0][1], turns[-1][2], its))
        stretch.clear()

    for first, last in runs(turn):
        if not turn[first]:
            close()
            continue
        stretch.append((turn[first], first, last))
    close()
    return found


def _trimmed(stretch: Sequence[tuple[int, int, int]], silent: Sequence[bool]) -> list[tuple[int, int, int]]:
    """Return the turns without what goes before and after.

    Of a turn at an end that is far longer, as much as the others last; the silence after the last turn is no part of it
    where it would make it longer than that party's turn before.
    """
    lengths = [last - first + 1 for _, first, last in stretch]
    turns = list(stretch)
    if len(turns) >= _LEAST_TURNS and lengths[-1] == lengths[-3] + 1 and silent[turns[-1][2]]:
        who, first, last = turns[-1]
        turns[-1], lengths[-1] = (who, first, last - 1), lengths[-1] - 1
    inner = lengths[1:-1]
    if len(inner) >= 2 and len(set(inner)) == 1:
        who, first, last = turns[0]
        if lengths[0] > 2 * inner[0]:
            turns[0] = (who, last - inner[0] + 1, last)
        who, first, last = turns[-1]
        if lengths[-1] > 2 * inner[0]:
            turns[-1] = (who, first, first + inner[0] - 1)
    if any(last - first + 1 > _LONGEST_TURN for _, first, last in turns):
        kept: list[tuple[int, int, int]] = []
        for one in turns:
            if one[2] - one[1] + 1 > _LONGEST_TURN:
                if len(kept) >= _LEAST_TURNS:
                    break
                kept = []
            else:
                kept.append(one)
        return kept
    return turns


def _is_regular(lengths: Sequence[int]) -> bool:
    """Whether all turns are equal, or of four and more each party's; the last one may be cut short."""
    if len(lengths) < _LEAST_UNEQUAL:
        return len(set(lengths)) == 1 and lengths[0] > 1
    return all(one == other for one, other in zip(lengths[:-1], lengths[2:-1], strict=False)) and (
        lengths[-1] <= lengths[-3]
    )


def _others_are_steady(activity: PartActivity, parties: set[int], first: int, last: int) -> bool:
    """Whether everyone else plays throughout, or not at all."""
    here = activity.plays[:, first : last + 1]
    return all(
        not here[part].any() or here[part].mean() >= _THROUGHOUT for part in range(len(here)) if part not in parties
    )


def _against_own_ensemble(score: Score, activity: PartActivity) -> list[TextureSpan]:
    """Return where one part alone and the whole ensemble, that part included, take turns of fixed lengths."""
    plays = activity.plays
    who = [tuple(np.nonzero(plays[:, at])[0].tolist()) for at in range(plays.shape[1])]
    blocks = [(who[first], first, last) for first, last in runs(who)]
    found = []
    at = 0
    while at < len(blocks):
        stretch = [blocks[at]]
        while at + len(stretch) < len(blocks) and (len(stretch) < 2 or blocks[at + len(stretch)][0] == stretch[-2][0]):
            stretch.append(blocks[at + len(stretch)])
        parties = sorted({parts for parts, _, _ in stretch}, key=len)
        lengths = tuple(last - first + 1 for _, first, last in stretch)
        if (
            len(stretch) >= _LEAST_UNEQUAL
            and len(parties[0]) == 1
            and len(parties[1]) >= 3
            and set(parties[0]) < set(parties[1])
            and _is_regular(lengths)
            and max(lengths) <= _LONGEST_TURN
        ):
            found.append(_told(score, stretch[0][1], stretch[-1][2], lengths, stretch[0][0], stretch[1][0]))
            at += len(stretch)
        else:
            at += max(len(stretch) - 1, 1)
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
    finding = span(score, kind, first, last, sorted({*lead, *follow}), told, confidence)
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
