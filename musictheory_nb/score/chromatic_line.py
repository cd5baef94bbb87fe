"""Chromatic lines: a line that goes on by half steps in one direction (`chromatic_lines`)."""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import part_names

#: Least notes in a row; four occur in any passing motion.
_LEAST: Final = 5


def chromatic_lines(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    """Return where a line moves by five half-step neighbours or more, repeated notes counted once.

    Lines that do so together, in one direction, are told together.
    """
    found: list[tuple[MelodicLine, int, int, int]] = []
    for line in lines:
        at = 0
        while at < len(line) - 1:
            last, distinct = at, 1
            step = 0
            while last + 1 < len(line) and line.follows(last):
                move = line.pitches[last + 1] - line.pitches[last]
                if move and (abs(move) != 1 or (step and move != step)):
                    break
                step = move or step
                distinct += move != 0
                last += 1
            if distinct >= _LEAST:
                found.append((line, at, last, distinct))
            at = max(last, at + 1)
    groups: list[list[tuple[MelodicLine, int, int, int]]] = []
    for one in sorted(found, key=lambda each: (each[0].measures[each[1]], each[0].part)):
        for group in groups[-4:]:
            if all(_together(one, other) for other in group):
                group.append(one)
                break
        else:
            groups.append([one])
    return [_told(score, group) for group in groups]


def _together(one: tuple[MelodicLine, int, int, int], other: tuple[MelodicLine, int, int, int]) -> bool:
    if one[0] is other[0] or _is_up(one) != _is_up(other):
        return False
    times = [(line.starts[first], line.ends[last]) for line, first, last, _ in (one, other)]
    shared = min(times[0][1], times[1][1]) - max(times[0][0], times[1][0])
    return 2 * shared >= min(end - start for start, end in times)


def _is_up(one: tuple[MelodicLine, int, int, int]) -> bool:
    line, first, last, _ = one
    return line.pitches[last] > line.pitches[first]


def _told(score: Score, group: Sequence[tuple[MelodicLine, int, int, int]]) -> Finding:
    texts: list[str] = []
    rows: list[int] = []
    for line, first, last, _ in group:
        notes = [score.notes[line.rows[at]].sounding for at in (first, last)]
        texts.append(f"from {notes[0].name if notes[0] else ''} to {notes[1].name if notes[1] else ''}")
        rows += line.rows[first : last + 1]
    up = _is_up(group[0])
    parts = sorted({one[0].part for one in group})
    verb = ("rises" if up else "falls") if len(parts) == 1 else ("rise" if up else "fall")
    told = f"{part_names(score, parts)} {verb} by half steps {', '.join(texts)}"
    details: dict[str, JSON] = {"direction": "up" if up else "down", "notes": max(one[3] for one in group)}
    at = (min(one[0].measures[one[1]] for one in group), max(one[0].measures[one[2]] for one in group))
    return finding(score, "chromatic line", at, told, 0.95, parts=parts, notes=rows, details=details)
