"""Sequences: a figure that comes again at once on another step, in a line or in the chords (`sequences`).

Conventions (common practice): every copy keeps the rhythm and the intervals of the model, counted in steps of the staff
(tonal sequence) or in semitones (real sequence), and each lies as far from the one before as that one from its own.
Three statements make a sequence; two do where the figure fills a bar or more and has five notes or more. A scale, an
arpeggio or notes repeated in place are none: the figure must turn or change its pace, and must move. Chords are in
sequence where a pattern of two chords of one length comes three times, each time a second or a third away, or where
five roots or more fall by fifths.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.note_row import rows_in
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import part_names

#: Most notes of a figure, and most bars.
_MOST_NOTES: Final = 24
_MOST_BARS: Final = 4
#: Least notes of a figure that comes twice only, and statements of a figure of two notes.
_LEAST_TWICE: Final = 5
_LEAST_SHORT: Final = 4
#: Least chords in a row whose roots fall by fifths.
_LEAST_FIFTHS: Final = 5
#: Least length of a sequence, in quarters.
_LEAST_QUARTERS: Final = 2
#: Farthest distance of a copy from the one before, in steps.
_FARTHEST: Final = 4


@dataclass(frozen=True, slots=True)
class _Run:
    """A figure of `size` notes from note `first` on that comes `times` times, each `steps` higher."""

    first: int
    size: int
    times: int
    steps: int

    @property
    def last(self) -> int:
        return self.first + self.size * self.times - 1


def sequences(score: Score, lines: Sequence[MelodicLine], spans: Sequence[HarmonySpan]) -> list[Finding]:
    """Return the sequences of lines, those that go together as one, and of chords."""
    runs = sorted(
        ((line, run) for line in lines for run in _runs(score, line)),
        key=lambda each: (each[0].measures[each[1].first], each[0].part, each[1].first),
    )
    groups: list[list[tuple[MelodicLine, _Run]]] = []
    for line, run in runs:
        for group in reversed(groups[-8:]):
            if all(_go_together(line, run, *other) for other in group):
                group.append((line, run))
                break
        else:
            groups.append([(line, run)])
    found = [_melodic(score, group) for group in groups]
    return found + _harmonic(score, spans)


def _runs(score: Score, line: MelodicLine) -> Iterable[_Run]:
    """Return the sequences of one line, the shortest figure first; none lies within another."""
    count = len(line)
    if count < 6:
        return []
    starts = np.array(line.starts)
    letters, pitches = np.array(line.letters), np.array(line.pitches)
    gaps = np.diff(starts)
    lengths = np.array(line.ends) - starts
    taken = np.zeros(count, dtype=bool)
    found: list[_Run] = []
    for size in range(2, min(_MOST_NOTES, count // 2) + 1):
        steps, semitones = letters[size:] - letters[:-size], pitches[size:] - pitches[:-size]
        same_gap = np.append(gaps[size:] == gaps[:-size], True)[: count - size]
        same_length = np.abs(lengths[size:] - lengths[:-size]) <= np.minimum(lengths[size:], lengths[:-size]) // 2
        for first, reach, distance in _constant(steps, semitones, same_gap, size):
            if not same_length[first : first + reach].all() and not same_length[first : first + size].all():
                continue
            run = _placed(score, line, _Run(first, size, 1 + reach // size, distance), reach % size)
            if run is None or taken[run.first : run.last + 1].mean() > 0.5:
                continue
            if _is_sequence(score, line, run):
                found.append(run)
                taken[run.first : run.last + 1] = True
    return found


def _constant(
    steps: npt.NDArray[np.int64], semitones: npt.NDArray[np.int64], same_gap: npt.NDArray[np.bool_], least: int
) -> Iterable[tuple[int, int, int]]:
    """Return first note, length and distance of stretches at one distance (in steps or in semitones) in one rhythm.

    Only those of `least` notes or more that move, but no farther than counts.
    """
    seen: set[tuple[int, int]] = set()
    for values in (steps, semitones):
        changes = np.nonzero((values[1:] != values[:-1]) | ~same_gap[:-1])[0] + 1
        edges = np.concatenate([[0], changes, [len(values)]])
        moves = steps[edges[:-1]]
        long = (np.diff(edges) >= least) & (moves != 0) & (np.abs(moves) <= _FARTHEST)
        for at in np.nonzero(long)[0].tolist():
            first, after = int(edges[at]), int(edges[at + 1])
            if (first, after) not in seen:
                seen.add((first, after))
                yield first, after - first, int(moves[at])


def _placed(score: Score, line: MelodicLine, run: _Run, spare: int) -> _Run | None:
    """Return the run, begun on the strongest beat that `spare` notes more leave room for."""
    if run.times < 2:
        return None
    unit = line.ticks_per_quarter

    def weakness(at: int) -> int:
        measure = score.measures[line.measures[at]]
        return (Fraction(line.starts[at], unit) - measure.start + measure.offset).denominator * 8 + (
            line.starts[at] != int(measure.start * unit)
        )

    first = min(range(run.first, run.first + spare + 1), key=weakness)
    return _Run(first, run.size, run.times, run.steps)


def _is_sequence(score: Score, line: MelodicLine, run: _Run) -> bool:
    figure = range(run.first, run.first + run.size)
    turn = {line.letters[at + 1] - line.letters[at] for at in figure}
    gaps = {line.starts[at + 1] - line.starts[at] for at in figure}
    if len(turn) == 1 or (len({*turn} - {0}) == 1 and len(gaps) == 1):
        return False
    if len({line.letters[at] for at in figure}) < 2:
        return False
    if any(not line.follows(at, Fraction(2)) for at in range(run.first, run.last)):
        return False
    bar = score.measures[line.measures[run.first]].full_length
    length = Fraction(line.starts[run.first + run.size] - line.starts[run.first], line.ticks_per_quarter)
    if length > _MOST_BARS * bar:
        return False
    if run.times == 2:
        moves = {one - other for one, other in pairwise(line.letters[run.first : run.first + run.size])} - {0}
        if _repeats_within(line, run):
            return False
        return run.size >= _LEAST_TWICE and length >= bar and len(moves) >= 2 and (length / bar).denominator == 1
    if length * run.times < _LEAST_QUARTERS:
        return False
    return run.times >= (_LEAST_SHORT if run.size == 2 else 3)


def _go_together(line: MelodicLine, run: _Run, other_line: MelodicLine, other: _Run) -> bool:
    """Whether two runs are one sequence of several parts: the same distance and length of figure, at the same time."""
    if line is other_line or run.steps != other.steps:
        return False
    ends = [
        (each.starts[its.first], each.ends[its.last], each.starts[its.first + its.size] - each.starts[its.first])
        for each, its in ((line, run), (other_line, other))
    ]
    shared = min(ends[0][1], ends[1][1]) - max(ends[0][0], ends[1][0])
    return ends[0][2] == ends[1][2] and 2 * shared >= max(one[1] - one[0] for one in ends)


def _repeats_within(line: MelodicLine, run: _Run) -> bool:
    """Whether the figure is a smaller one several times over, as in an accompaniment of broken chords."""
    figure = line.letters[run.first : run.first + run.size]
    return any(
        run.size % part == 0 and all(figure[at] == figure[at - part] for at in range(part, run.size))
        for part in range(1, run.size // 2 + 1)
    )


def _distance(steps: int) -> str:
    """Return a number of steps as text: ``'a second lower'``."""
    size = ("", "second", "third", "fourth", "fifth")[abs(steps)]
    return f"a {size} {'higher' if steps > 0 else 'lower'}"


def _melodic(score: Score, group: Sequence[tuple[MelodicLine, _Run]]) -> Finding:
    line, run = max(group, key=lambda each: each[1].times)
    parts = tuple(dict.fromkeys(one.part for one, _ in group))
    rows = [row for one, its in group for row in one.rows[its.first : its.last + 1]]
    names = part_names(score, parts)
    figure = Fraction(line.starts[run.first + run.size] - line.starts[run.first], line.ticks_per_quarter)
    plural = "" if len(parts) > 1 else "s"
    told = f"{names} repeat{plural} a figure of {run.size} notes, each time {_distance(run.steps)} ({run.times} in all)"
    details: dict[str, JSON] = {
        "kind": "melodic",
        "times": run.times,
        "steps": run.steps,
        "quarters": str(figure),
        "figure": run.size,
    }
    at = (line.measures[run.first], line.measures[run.last])
    sure = 0.6 if run.times == 2 else min(0.95, 0.7 + 0.05 * run.times)
    return finding(score, "sequence", at, told, sure, parts=parts, notes=rows, details=details)


def _harmonic(score: Score, spans: Sequence[HarmonySpan]) -> list[Finding]:
    chords = _roots(spans)
    letters = np.array([letter for letter, _ in chords], dtype=np.int64)
    found: list[Finding] = []
    end = 0
    for first, last, pattern in _chord_runs(letters, [list_ for _, list_ in chords]):
        if first < end:
            continue
        end = last
        used = [span for _, of_root in chords[first : last + 1] for span in of_root]
        names = list(dict.fromkeys(pair[0].chord.symbol for _, pair in chords[first : last + 1]))
        what = "roots fall by fifths" if pattern == "fifths" else "a pattern of two chords moves on by the same step"
        told = f"{what}, {', '.join(names[:8])}{' ...' * (len(names) > 8)}"
        details: dict[str, JSON] = {"kind": "harmonic", "pattern": pattern, "chords": list(names)}
        at = (used[0].measure, used[-1].measure)
        sure = 0.95 * min(span.confidence for span in used) ** 0.5
        rows = rows_in(score, at[0], at[1]) if used[0].origin == "implied" else ()
        found.append(finding(score, "sequence", at, told, sure, notes=rows, details=details))
    return found


def _roots(spans: Sequence[HarmonySpan]) -> list[tuple[int, list[HarmonySpan]]]:
    """Return the letter of each root (-1 for no chord) with the spans over it, neighbours with one root together."""
    found: list[tuple[int, list[HarmonySpan]]] = []
    before = None
    for span in spans:
        root = span.chord.root
        if found and root is not None and before is not None and root == before and found[-1][1][-1].end == span.start:
            found[-1][1].append(span)
        else:
            found.append(("CDEFGAB".index(root.step) if root is not None else -1, [span]))
        before = root
    return found


def _chord_runs(
    letters: npt.NDArray[np.int64], groups: Sequence[Sequence[HarmonySpan]]
) -> Iterable[tuple[int, int, str]]:
    """Return first and last chord of each sequence, and what kind it is."""
    count = len(letters)
    lengths = [sum((span.duration for span in group), Fraction(0)) for group in groups]
    joined = [
        groups[at][-1].end == groups[at + 1][0].start and min(letters[at : at + 2]) >= 0 for at in range(count - 1)
    ]
    moves = [int(letters[at + 1] - letters[at]) % 7 if joined[at] else -1 for at in range(count - 1)]
    at = 0
    while at < len(moves):
        last = at
        while last + 1 < len(moves) and moves[last + 1] == moves[at]:
            last += 1
        if moves[at] == 3 and last - at + 2 >= _LEAST_FIFTHS:
            yield at, last + 1, "fifths"
            at = last + 1
            continue
        last = at + 1
        if last < len(moves) and -1 not in (moves[at], moves[last]) and moves[at] != moves[last]:
            while last + 1 < len(moves) and moves[last + 1] == moves[last - 1] and lengths[last] == lengths[last - 2]:
                last += 1
            if last - at >= 4 and (moves[at] + moves[at + 1]) % 7 in (1, 2, 5, 6) and lengths[at] == lengths[at + 1]:
                yield at, last + 1, "pairs"
                at = last + 1
                continue
        at += 1
