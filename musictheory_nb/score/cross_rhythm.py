"""Parts that divide the same time differently: hemiola and cross-rhythm (`cross_rhythms`).

Conventions (common practice): in a cross-rhythm one part plays three even notes in the time in which another plays two
(or four against three), twice in a row or for a bar or more. A hemiola is three groups of two beats in the place of two
groups of three: in two bars of three-time a part strikes on 1, on 3 and on the second bar's 2, holds over the second
downbeat, and no lower part strikes there; or in 6/8, 6/4 and the like a bar falls in three, where bars in two stand
beside it and nobody marks the second half.
"""

import re
from bisect import bisect_left
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.occurrence import Occurrence, all_rows, gathered
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import part_names

#: Even notes against even notes that count as a cross-rhythm.
_RATIOS: Final = ((3, 2), (4, 3), (5, 2), (5, 3), (5, 4))
#: Least times in neighbouring bars.
_LEAST: Final = 2


def cross_rhythms(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    """Return hemiolas and cross-rhythms, near ones together."""
    return [*_against(score, lines), *_hemiolas(score, lines)]


def _windows(score: Score) -> list[tuple[int, int, int]]:
    """Return measure, start and length, in ticks, of the times that parts may divide: each beat, half bar and bar."""
    unit = score.notes.ticks_per_quarter
    inside: dict[tuple[str, Fraction], list[tuple[Fraction, int]]] = {}
    found = []
    for measure in score.measures:
        if measure.length != measure.full_length:
            continue
        kind = (measure.metre, measure.full_length)
        if kind not in inside:
            inside[kind] = [(at * unit, int(length * unit)) for at, length in _windows_of(*kind)]
        start = measure.start * unit
        found += [(measure.index, int(start + at), length) for at, length in inside[kind]]
    return found


def _windows_of(metre: str, full_length: Fraction) -> list[tuple[Fraction, Fraction]]:
    """Return start and length of the times within a full bar, in quarters."""
    match = re.fullmatch(r"(\d+)/(\d+)", metre)
    if match is None:
        return []
    lengths = {full_length}
    count, unit = int(match[1]), Fraction(4, int(match[2]))
    lengths |= {unit} if unit >= 1 else {3 * unit} if count % 3 == 0 and count > 3 else {Fraction(1)}
    if count % 2 == 0:
        lengths.add(full_length / 2)
    return [(at * length, length) for length in sorted(lengths) for at in range(full_length // length)]


def _countable(
    lines: Sequence[MelodicLine], windows: Sequence[tuple[int, int, int]], wanted: frozenset[int]
) -> list[npt.NDArray[np.bool_]]:
    """Return for each line in which of the times it may strike evenly: it begins with the time, a number that counts."""
    starts = np.array([start for _, start, _ in windows], dtype=np.int64)
    lengths = np.array([length for _, _, length in windows], dtype=np.int64)
    found = []
    for line in lines:
        struck = np.array(line.starts, dtype=np.int64)
        first, last = np.searchsorted(struck, starts), np.searchsorted(struck, starts + lengths)
        on_time = struck[np.minimum(first, len(struck) - 1)] == starts
        found.append(on_time & np.isin(last - first, list(wanted)))
    return found


def _even(line: MelodicLine, start: int, length: int, wanted: frozenset[int]) -> tuple[int, int, int]:
    """Return into how many even notes a line divides a time (0 for anything else), first and last of its notes."""
    first = bisect_left(line.starts, start)
    last = bisect_left(line.starts, start + length)
    count = last - first
    if count not in wanted or length % count or line.starts[first] != start:
        return 0, 0, 0
    step = length // count
    for at in range(first, last):
        on_time = line.starts[at] == start + (at - first) * step
        if (
            not on_time
            or line.ends[at] > start + (at - first + 1) * step
            or 2 * (line.ends[at] - line.starts[at]) < step
        ):
            return 0, 0, 0
    return count, first, last - 1


def _against(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    wanted = frozenset(number for pair in _RATIOS for number in pair)
    found: dict[tuple[int, int, tuple[int, ...], tuple[int, ...]], list[Occurrence]] = {}
    windows = _windows(score)
    countable = _countable(lines, windows, wanted)
    several = np.sum(countable, axis=0) >= 2 if lines else np.zeros(0, dtype=bool)
    for window in np.nonzero(several)[0].tolist():
        measure, start, length = windows[window]
        divided: dict[int, list[tuple[int, tuple[int, ...]]]] = {}
        for line, may in zip(lines, countable, strict=True):
            count, first, last = _even(line, start, length, wanted) if may[window] else (0, 0, 0)
            if count:
                divided.setdefault(count, []).append((line.part, line.rows[first : last + 1]))
        for many, few in _RATIOS:
            if many in divided and few in divided:
                one = tuple(sorted({part for part, _ in divided[many]}))
                other = tuple(sorted({part for part, _ in divided[few]}))
                rows = tuple(row for count in (many, few) for _, its in divided[count] for row in its)
                found.setdefault((many, few, one, other), []).append(Occurrence(measure, measure, rows))
    findings: list[Finding] = []
    for (many, few, one, other), occurrences in found.items():
        for group in gathered(occurrences):
            if len(group) < _LEAST and not _fills_bar(score, group[0]):
                continue
            at = (group[0].first, group[-1].last)
            who = part_names(score, one)
            whom = "itself" if one == other and len(one) == 1 else part_names(score, other)
            told = f"{who} against {whom}: {many} notes in the time of {few}, {_times(len(group))}"
            details: dict[str, JSON] = {"against": [many, few], "times": len(group)}
            parts = tuple(sorted({*one, *other}))
            findings.append(
                finding(
                    score,
                    "cross-rhythm",
                    at,
                    told,
                    min(0.95, 0.7 + 0.05 * len(group)),
                    parts=parts,
                    notes=all_rows(group),
                    details=details,
                )
            )
    return findings


def _times(count: int) -> str:
    return "once" if count == 1 else "twice" if count == 2 else f"{count} times"


def _fills_bar(score: Score, one: Occurrence) -> bool:
    notes = [score.notes[row] for row in one.rows]
    return max(note.end for note in notes) - min(note.start for note in notes) >= score.measures[one.first].full_length


def _hemiolas(score: Score, lines: Sequence[MelodicLine]) -> list[Finding]:
    hits: list[Occurrence] = []
    parts: dict[Occurrence, tuple[int, ...]] = {}
    unit = score.notes.ticks_per_quarter
    for at, measure in enumerate(score.measures):
        match = re.fullmatch(r"(\d+)/(\d+)", measure.metre)
        if match is None or measure.length != measure.full_length:
            continue
        beat = _whole(Fraction(4 * unit, int(match[2])))
        if match[1] == "3" and at + 1 < len(score.measures):
            after = score.measures[at + 1]
            if after.metre == measure.metre and after.length == after.full_length:
                found = _grouped(lines, _whole(measure.start * unit), beat, at, at + 1)
            else:
                found = None
        elif match[1] == "6":
            found = _in_three(score, lines, at, beat)
        else:
            found = None
        if found is not None and not (hits and hits[-1].last == at and match[1] == "3"):
            hits.append(found[0])
            parts[found[0]] = found[1]
    findings = []
    for group in gathered(hits, 2):
        of_part = tuple(sorted({part for one in group for part in parts[one]}))
        span = (group[0].first, group[-1].last)
        how = "three groups of two beats in the place of two groups of three"
        told = f"{part_names(score, of_part)}: hemiola, {how}{'' if len(group) == 1 else f', {_times(len(group))}'}"
        details: dict[str, JSON] = {"times": len(group)}
        findings.append(
            finding(score, "hemiola", span, told, 0.8, parts=of_part, notes=all_rows(group), details=details)
        )
    return findings


def _whole(ticks: Fraction) -> Fraction | int:
    return ticks.numerator if ticks.denominator == 1 else ticks


def _struck(line: MelodicLine, place: Fraction | int) -> int:
    """Return which note of a line begins at a place, in ticks; -1 for none."""
    ticks = int(place)
    at = bisect_left(line.starts, ticks)
    return at if at < len(line) and line.starts[at] == ticks else -1


def _sounds(line: MelodicLine, start: Fraction | int, end: Fraction | int) -> bool:
    at = bisect_left(line.starts, int(end))
    return at > 0 and line.ends[at - 1] > int(start)


def _grouped(
    lines: Sequence[MelodicLine], start: Fraction | int, beat: Fraction | int, first: int, last: int
) -> tuple[Occurrence, tuple[int, ...]] | None:
    """Return the hemiola of two bars of three-time, if there is one."""
    downbeat = start + 3 * beat
    support: list[tuple[MelodicLine, tuple[int, int, int]]] = []
    against: list[MelodicLine] = []
    for line in lines:
        notes = tuple(_struck(line, start + step * 2 * beat) for step in range(3))
        if min(notes) >= 0 and line.ends[notes[1]] > int(downbeat) and _struck(line, downbeat) < 0:
            support.append((line, notes))  # type: ignore[arg-type]
        elif _struck(line, downbeat) >= 0:
            against.append(line)
    if not support or len(against) > len(support):
        return None
    low = min(line.pitches[notes[0]] for line, notes in support)
    if any(line.pitches[_struck(line, downbeat)] < low for line in against):
        return None
    one = Occurrence(first, last, tuple(line.rows[at] for line, notes in support for at in notes))
    return one, tuple(sorted({line.part for line, _ in support}))


def _in_three(
    score: Score, lines: Sequence[MelodicLine], at: int, beat: Fraction | int
) -> tuple[Occurrence, tuple[int, ...]] | None:
    """Return the hemiola of one bar of six that falls in three, beside bars that fall in two."""
    measure = score.measures[at]
    unit = score.notes.ticks_per_quarter
    start, end = _whole(measure.start * unit), _whole(measure.end * unit)
    rows: list[int] = []
    parts: set[int] = set()
    for line in lines:
        if not _sounds(line, start, end):
            continue
        if _struck(line, start + 3 * beat) >= 0:
            return None
        thirds = [_struck(line, start + 2 * step * beat) for step in range(3)]
        if min(thirds) >= 0:
            rows += [line.rows[one] for one in thirds]
            parts.add(line.part)
    if not parts:
        return None
    near = [one for one in (at - 1, at + 1) if 0 <= one < len(score.measures)]
    if not any(_falls_in_two(score, lines, one, beat) for one in near):
        return None
    return Occurrence(at, at, tuple(rows)), tuple(sorted(parts))


def _falls_in_two(score: Score, lines: Sequence[MelodicLine], at: int, beat: Fraction | int) -> bool:
    start = _whole(score.measures[at].start * score.notes.ticks_per_quarter)
    places = (start, start + 3 * beat)
    return any(all(_struck(line, place) >= 0 for place in places) for line in lines)
