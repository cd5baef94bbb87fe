"""A figure that a part plays again and again while the others change: ostinato and ground bass (`find_ostinato`).

Conventions (common practice): an ostinato is a figure of up to eight bars that comes at least three times in a row,
note for note (four times if it is one bar long), with at least two different pitches, while what others play changes.
In the lowest part, and at least two bars long, it is a ground bass.
"""

from dataclasses import replace
from typing import Final

from musictheory_nb.score.part_activity import PartActivity
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan, span

#: Lengths of a figure in bars, shortest first.
PERIODS: Final = (1, 2, 3, 4, 5, 6, 8)


def find_ostinato(score: Score, activity: PartActivity) -> list[TextureSpan]:
    """Return where a part repeats a figure while others change."""
    found: list[TextureSpan] = []
    count = len(score.measures)
    for part, measures in enumerate(activity.events):
        names: dict[object, int] = {}
        bars = [names.setdefault((events, score.measures[at].length), at) for at, events in enumerate(measures)]
        taken = [False] * count
        for period in PERIODS:
            at = 0
            while at + period < count:
                size = 0
                while (
                    at + size + period < count and bars[at + size] == bars[at + size + period] and not taken[at + size]
                ):
                    size += 1
                times = (size + period) // period
                last = at + times * period - 1
                if size and times >= (4 if period == 1 else 3) and _is_figure(activity, part, at, period):
                    if _others_change(activity, part, at, last, period):
                        found.append(_told(score, activity, part, at, last, period, times))
                        taken[at : last + 1] = [True] * (last + 1 - at)
                    at = last + 1
                else:
                    at += max(size - period, 0) + 1
    return sorted(found, key=lambda each: (each.first, each.parts))


def _is_figure(activity: PartActivity, part: int, first: int, period: int) -> bool:
    events = [event for at in range(first, first + period) for event in activity.events[part][at]]
    return len({event[2] for event in events}) >= 2 and len(events) >= 3


def _others_change(activity: PartActivity, part: int, first: int, last: int, period: int) -> bool:
    """Whether the other parts play something, and not the same each time."""
    others = [measures for other, measures in enumerate(activity.events) if other != part]
    rounds = [
        tuple(measures[at] for measures in others for at in range(start, start + period))
        for start in range(first, last + 1, period)
    ]
    playing = [one for one in rounds if any(one)]
    return len(set(playing)) >= max(2, len(rounds) // 2)


def _told(
    score: Score, activity: PartActivity, part: int, first: int, last: int, period: int, times: int
) -> TextureSpan:
    lowest = _is_lowest(activity, part, first, last)
    kind = "ground bass" if lowest and period >= 2 else "ostinato"
    length = "a bar" if period == 1 else f"{period} bars"
    told = f"{score.parts[part].name} plays the same {length} {times} times while the others change"
    finding = span(score, kind, first, last, (part,), told, min(0.95, 0.6 + 0.05 * times))
    return replace(finding, period=period)


def _is_lowest(activity: PartActivity, part: int, first: int, last: int) -> bool:
    here = [event[2] for at in range(first, last + 1) for event in activity.events[part][at]]
    for other, measures in enumerate(activity.events):
        if other == part:
            continue
        pitches = [event[2] for at in range(first, last + 1) for event in measures[at] if event[2] >= 0]
        if pitches and sum(pitches) / len(pitches) < sum(here) / len(here):
            return False
    return True
