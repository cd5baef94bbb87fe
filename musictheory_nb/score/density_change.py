"""Changes of density and of register from section to section (`density_changes`).

Conventions: sections of four bars or more are compared with the section before. Density is the number of notes struck in a
quarter, all parts together; twice as many, or half as many, is a change. Register is the middle (the median) of what
a part plays; a change of seven semitones or more, a fifth, is told.
"""

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise
from typing import Final

import numpy as np

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.form_section import Form
from musictheory_nb.score.score import Score

_LEAST_BARS: Final = 4
_RATIO: Final = 2.0
_SEMITONES: Final = 7
#: Least notes of a part in a section whose register is told.
_LEAST_NOTES: Final = 8


def density_changes(score: Score, form: Form) -> list[Finding]:
    """Return where a section is much denser or higher than the one before, or much less so."""
    sections: list[tuple[int, int]] = []
    for section in form.sections:
        order = score.play_order[section.first : section.last + 1]
        at = (min(order), max(order))
        if section.bars >= _LEAST_BARS and at not in sections:
            sections.append(at)
    found: list[Finding] = []
    for before, now in pairwise(sections):
        if before[1] < now[0]:
            found += _density(score, before, now) + _register(score, before, now)
    return found


def _notes_in(score: Score, at: tuple[int, int]) -> tuple[Sequence[int], Sequence[int]]:
    """Return part and pitch of the notes struck in some measures."""
    table = score.joined_notes
    measure = table.column("measure")
    begin, end = int(np.searchsorted(measure, at[0])), int(np.searchsorted(measure, at[1], side="right"))
    keep = (table.column("grace")[begin:end] == 0) & (table.column("step")[begin:end] >= 0)
    return table.column("part")[begin:end][keep].tolist(), table.chromatic[begin:end][keep].tolist()


def _density(score: Score, before: tuple[int, int], now: tuple[int, int]) -> list[Finding]:
    rates = []
    for at in (before, now):
        length = score.measures[at[1]].end - score.measures[at[0]].start
        rates.append(float(Fraction(len(_notes_in(score, at)[0])) / length))
    if not rates[0] or not rates[1] or 1 / _RATIO < rates[1] / rates[0] < _RATIO:
        return []
    more = "denser" if rates[1] > rates[0] else "thinner"
    told = f"the texture grows {more}, {rates[1]:.1f} notes to a quarter as against {rates[0]:.1f} before"
    details: dict[str, JSON] = {"notes per quarter": round(rates[1], 2), "before": round(rates[0], 2)}
    return [finding(score, "change of density", now, told, 0.85, details=details)]


def _register(score: Score, before: tuple[int, int], now: tuple[int, int]) -> list[Finding]:
    middles: list[dict[int, float]] = []
    for at in (before, now):
        parts, pitches = _notes_in(score, at)
        by_part: dict[int, list[int]] = {}
        for part, pitch in zip(parts, pitches, strict=True):
            by_part.setdefault(part, []).append(pitch)
        middles.append({part: float(np.median(its)) for part, its in by_part.items() if len(its) >= _LEAST_NOTES})
    found = []
    for part in sorted(middles[0].keys() & middles[1].keys()):
        moved = round(middles[1][part] - middles[0][part])
        if abs(moved) >= _SEMITONES:
            way = "higher" if moved > 0 else "lower"
            told = (
                f"{score.parts[part].name} plays {abs(moved)} semitones {way} than in the section before, in the middle"
            )
            details: dict[str, JSON] = {"semitones": moved}
            found.append(finding(score, "change of register", now, told, 0.8, parts=(part,), details=details))
    return found
