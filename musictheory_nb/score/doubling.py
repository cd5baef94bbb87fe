"""Parts that play the same line, in unison or octaves apart (`find_doubling`).

Conventions: parts double each other in a measure if they play at the same times and each note is the same, or the
same number of octaves away throughout. Unison, as musicians say it of an ensemble, is everyone who plays on one line,
octaves included (``'unison'`` where all are at the same pitch, ``'octaves'`` where some are an octave or more apart);
``'doubling'`` is a line that some of the parts share while others play something else.
"""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.score.part_activity import Event, PartActivity, runs
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan, part_names, span

#: Least notes of a part in a span that doubles another.
_LEAST_NOTES: Final = 4


def find_doubling(score: Score, activity: PartActivity) -> list[TextureSpan]:
    """Return where parts play in unison or octaves."""
    groups = [_groups(activity, measure) for measure in range(len(score.measures))]
    found = []
    everyone = {tuple(parts) for row in groups for parts, _ in row}
    for parts in sorted(everyone):
        shares = [next((whole for one, whole in row if tuple(one) == parts), None) for row in groups]
        marks = [None if share is None else share for share in shares]
        for first, last in runs(marks):
            if marks[first] is None:
                continue
            events = [activity.events[parts[0]][at] for at in range(first, last + 1)]
            notes = [event for measure in events for event in measure]
            if len(notes) < _LEAST_NOTES or len({event[2] for event in notes}) < 2:
                continue
            apart = _octaves(activity, parts, first, last)
            names = part_names(score, parts)
            how = "in unison" if not any(apart) else f"in octaves ({_apart(score, parts, apart)})"
            if marks[first]:
                kind = "octaves" if any(apart) else "unison"
                told = f"all that play ({names}) play one line {how}"
            else:
                kind = "doubling"
                told = f"{names} play the same line {how}"
            found.append(span(score, kind, first, last, parts, told, 0.95 if len(notes) >= 8 else 0.8))
    return found


def _groups(activity: PartActivity, measure: int) -> list[tuple[list[int], bool]]:
    """Return the parts that double each other in a measure, and whether nobody else plays."""
    lines: dict[tuple[tuple[int, int, int], ...], list[int]] = {}
    playing = 0
    for part, measures in enumerate(activity.events):
        events = measures[measure]
        if not events:
            continue
        playing += 1
        if len({event[0] for event in events}) == len(events) and events[0][2] >= 0:
            lines.setdefault(_shape(events), []).append(part)
    return [(parts, len(parts) == playing) for parts in lines.values() if len(parts) > 1]


def _shape(events: Sequence[Event]) -> tuple[tuple[int, int, int], ...]:
    """Return a line with its octave left out, so that lines octaves apart are equal: the first note's class, then steps."""
    first = events[0][2]
    return tuple(
        (onset, duration, pitch - first if at else pitch % 12) for at, (onset, duration, pitch) in enumerate(events)
    )


def _octaves(activity: PartActivity, parts: Sequence[int], first: int, last: int) -> list[int]:
    """Return by how many octaves each part is above the lowest of them."""
    measure = next(at for at in range(first, last + 1) if activity.events[parts[0]][at])
    pitches = [activity.events[part][measure][0][2] for part in parts]
    return [(pitch - min(pitches)) // 12 for pitch in pitches]


def _apart(score: Score, parts: Sequence[int], apart: Sequence[int]) -> str:
    lowest = score.parts[parts[list(apart).index(0)]].name
    told = [
        f"{score.parts[part].name} {octaves} octave{'s' * (octaves > 1)} above {lowest}"
        for part, octaves in zip(parts, apart, strict=True)
        if octaves
    ]
    return ", ".join(told)
