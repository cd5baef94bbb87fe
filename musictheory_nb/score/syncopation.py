"""Syncopation: notes that begin off a strong place and are held over it (`syncopations`).

Conventions (common practice): a note is syncopated if it begins on a weaker place of the bar than one over which it is
held: off the beat and over the next beat or half beat, or on a weak beat and over a stronger one. A passage is
syncopated where a part does so at least three times, with no bar between that has none. A note longer than two
beats is a suspension or a held note; a short note and a long one that fill a beat are a snap; a voice that enters after a
rest while its part goes on beside it only joins a broken chord.
"""

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.metric_weight import metric_weight
from musictheory_nb.score.occurrence import Occurrence, all_rows, gathered
from musictheory_nb.score.score import Score

#: Least syncopated notes of a passage.
_LEAST: Final = 3


def syncopations(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    """Return the syncopated passages of each part."""
    found: list[Finding] = []
    places = _bar_places(score)
    for part in score.parts:
        of_part = [line for line in lines if line.part == part.index]
        staves = Counter(line.staff for line in of_part)
        hits = [one for line in of_part for one in _hits(score, line, staves[line.staff] == 1, places)]
        for group in gathered(hits):
            rows = all_rows(group)
            at = (group[0].first, max(one.last for one in group))
            if len({score.notes[row].start for row in rows}) < _LEAST:
                continue
            off = sum(one.told == "off the beat" for one in group)
            where = "off the beat" if 2 * off >= len(group) else "on a weak beat"
            over = "next one" if where == "off the beat" else "stronger one"
            told = f"{part.name} is syncopated: {len(rows)} notes begin {where} and last over the {over}"
            details: dict[str, JSON] = {"notes": len(rows), "begin": where}
            bars = at[1] - at[0] + 1
            sure = min(0.95, 0.55 + 0.1 * len(rows) / bars + 0.1 * (where == "off the beat"))
            found.append(
                finding(score, "syncopation", at, told, sure, parts=(part.index,), notes=rows, details=details)
            )
    return found


def _hits(
    score: Score, line: MelodicLine, is_alone: bool, places: Sequence[tuple[int, Fraction | int]]
) -> list[Occurrence]:
    found = []
    unit = line.ticks_per_quarter
    known: dict[tuple[int, Fraction | int, int], str] = {}
    for at, (start, end, measure) in enumerate(zip(line.starts, line.ends, line.measures, strict=True)):
        if not is_alone and (at == 0 or line.ends[at - 1] != start):
            continue
        kind, before = places[measure]
        key = (kind, start + before, end - start)
        if key not in known:
            bar = score.measures[measure]
            known[key] = _where(bar.metre, bar.full_length, key[1] / Fraction(unit), Fraction(end - start, unit))
        if known[key]:
            found.append(Occurrence(measure, measure, (line.rows[at],), known[key]))
    return found


def _bar_places(score: Score) -> list[tuple[int, Fraction | int]]:
    """Return for each measure the number of its kind, and what makes ticks of the score ticks of its full bar."""
    unit = score.notes.ticks_per_quarter
    kinds: dict[tuple[str, Fraction], int] = {}
    found: list[tuple[int, Fraction | int]] = []
    for measure in score.measures:
        before = (measure.offset - measure.start) * unit
        kind = kinds.setdefault((measure.metre, measure.full_length), len(kinds))
        found.append((kind, before.numerator if before.denominator == 1 else before))
    return found


def _where(metre: str, full_length: Fraction, place: Fraction, length: Fraction) -> str:
    """Return where in the bar a syncopated note begins, in words; ``''`` for a note that is not syncopated."""
    if not metre:
        return ""
    beat = _beat(metre)
    own = metric_weight(metre, place)
    if own == 0 or length > 2 * beat or length < beat / 2:
        return ""
    on_beat = (place / beat).denominator == 1
    over = _strongest_inside(metre, full_length, place, length, beat if on_beat or length >= beat else beat / 2)
    snap = length < beat and ((place + length) / beat).denominator == 1
    if over is None or over <= own or snap:
        return ""
    return "on a weak beat" if on_beat else "off the beat"


def _beat(metre: str) -> Fraction:
    upper, _, lower = metre.partition("/")
    unit = Fraction(4, int(lower)) if lower.isdigit() and int(lower) else Fraction(1)
    return 3 * unit if upper.isdigit() and int(upper) > 3 and int(upper) % 3 == 0 and unit < 1 else unit


def _strongest_inside(
    metre: str, full_length: Fraction, place: Fraction, length: Fraction, grid: Fraction
) -> int | None:
    """Return the weight of the strongest place of a grid over which a note is held, its own start left out."""
    best: int | None = None
    here = (place // grid + 1) * grid
    while here < place + length:
        weight = 0 if here >= full_length else metric_weight(metre, here)
        best = weight if best is None else max(best, weight)
        here += grid
    return best
