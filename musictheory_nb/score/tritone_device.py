"""Tritones of a line: leaps, and the outlines of runs in one direction (`tritone_devices`).

Conventions (common practice): a tritone is six semitones, spelled as an augmented fourth or a diminished fifth. A line
outlines the interval between the first and the last note of a run of three notes or more in one direction, by steps or
thirds, where it turns, rests or begins at both ends; both ends count more than what is between them: neither is
shorter than the notes passed through, and the run takes a beat or more.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.occurrence import Occurrence, all_rows, gathered, told_together
from musictheory_nb.score.score import Score

_TRITONE: Final = 6
#: Name by how many steps of the staff apart.
_NAMES: Final = {3: "A4", 4: "d5"}
#: Widest move inside an outline, in semitones.
_WIDEST_MOVE: Final = 4


def tritone_devices(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    """Return where lines leap or outline a tritone, near ones of one part together."""
    found: list[Finding] = []
    for part in score.parts:
        of_part = [line for line in lines if line.part == part.index]
        leaps = [one for line in of_part for one in _leaps(score, line)]
        found += _told(score, part.index, "tritone leap", leaps)
        outlines = [one for line in of_part for one in _outlines(score, line)]
        found += _told(score, part.index, "outlined tritone", outlines)
    return found


def _interval(line: MelodicLine, one: int, other: int) -> str:
    """Return the name of the tritone between two notes of a line, ``''`` where it is none."""
    if abs(line.pitches[other] - line.pitches[one]) != _TRITONE:
        return ""
    return _NAMES.get(abs(line.letters[other] - line.letters[one]), "")


def _leaps(score: Score, line: MelodicLine) -> list[tuple[str, Occurrence]]:
    found = []
    for at in range(len(line) - 1):
        if (name := _interval(line, at, at + 1)) and line.follows(at):
            found.append((name, _occurrence(score, line, at, at + 1)))
    return found


def _outlines(score: Score, line: MelodicLine) -> list[tuple[str, Occurrence]]:
    found = []
    at = 0
    while at < len(line) - 1:
        last = at
        up = line.pitches[at + 1] > line.pitches[at]
        while (
            last + 1 < len(line)
            and line.pitches[last + 1] != line.pitches[last]
            and (line.pitches[last + 1] > line.pitches[last]) == up
            and line.follows(last)
        ):
            last += 1
        if last - at >= 2 and (name := _interval(line, at, last)) and _is_outline(line, at, last):
            found.append((name, _occurrence(score, line, at, last)))
        at = max(last, at + 1)
    return found


def _is_outline(line: MelodicLine, first: int, last: int) -> bool:
    lengths = [line.ends[at] - line.starts[at] for at in range(first, last + 1)]
    moves = [abs(other - one) for one, other in pairwise(line.pitches[first : last + 1])]
    ends_count = min(lengths[0], lengths[-1]) >= max(lengths[1:-1])
    long_enough = line.ends[last] - line.starts[first] >= line.ticks_per_quarter
    return ends_count and long_enough and max(moves) <= _WIDEST_MOVE


def _occurrence(score: Score, line: MelodicLine, first: int, last: int) -> Occurrence:
    names = [score.notes[line.rows[at]].sounding for at in (first, last)]
    assert names[0] is not None
    assert names[1] is not None
    way = "up" if line.pitches[last] > line.pitches[first] else "down"
    told = f"from {names[0].name} {way} to {names[1].name}"
    return Occurrence(line.measures[first], line.measures[last], line.rows[first : last + 1], told)


def _told(score: Score, part: int, name: str, found: Sequence[tuple[str, Occurrence]]) -> list[Finding]:
    spelled = {one: interval for interval, one in found}
    findings = []
    for group in gathered(one for _, one in found):
        times = f" {len(group)} times" if len(group) > 1 else ""
        verb = "leaps" if name == "tritone leap" else "outlines"
        told = f"{score.parts[part].name} {verb} a tritone{times}, {told_together(group)}"
        intervals = sorted({spelled[one] for one in group})
        details: dict[str, JSON] = {"interval": intervals[0], "intervals": list(intervals), "times": len(group)}
        at = (group[0].first, max(one.last for one in group))
        sure = 0.95 if name == "tritone leap" else 0.75
        findings.append(finding(score, name, at, told, sure, parts=(part,), notes=all_rows(group), details=details))
    return findings
