"""Chromatic lines: a line that goes on by half steps in one direction (`chromatic_lines`)."""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.score import Score

#: Least notes in a row; four occur in any passing motion.
_LEAST: Final = 5


def chromatic_lines(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    """Return where a line moves by five half-step neighbours or more, repeated notes counted once."""
    found = []
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
                found.append(_told(score, line, at, last, distinct))
            at = max(last, at + 1)
    return found


def _told(score: Score, line: MelodicLine, first: int, last: int, distinct: int) -> Finding:
    notes = [score.notes[line.rows[at]].sounding for at in (first, last)]
    assert notes[0] is not None
    assert notes[1] is not None
    way = "rises" if line.pitches[last] > line.pitches[first] else "falls"
    told = f"{score.parts[line.part].name} {way} by half steps from {notes[0].name} to {notes[1].name}"
    details: dict[str, JSON] = {"direction": "up" if way == "rises" else "down", "notes": distinct}
    at = (line.measures[first], line.measures[last])
    rows = line.rows[first : last + 1]
    return finding(score, "chromatic line", at, told, 0.95, parts=(line.part,), notes=rows, details=details)
