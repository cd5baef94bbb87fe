"""The order in which players play the measures: repeats, endings, D.C., D.S., Fine, To Coda.

Conventions (common practice):

- A passage between repeat signs is played twice, or as often as its signs or endings say. Without an opening sign it
  goes back to the last closing one, to the coda, or to the beginning. A pickup there is played again only if the bar at the closing
  sign is short of it.
- Each ending is played on its own passes. A first ending before a second one goes back even if its repeat sign is
  missing; after a lone first ending the next pass goes on behind it.
- A D.C. or D.S. is taken once, on the last pass of a repeat that it stands in. After it, repeats are not taken
  (unless its words or a repeat sign itself ask for them), the last ending is played, or the one in which the music is
  left, and To Coda and Fine count; before it they do not.
- Behind the jump to the coda, repeats are taken again. Each coda is played once; a later D.S. leads to the next.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.measure import Measure

#: Most measures of a score as played.
MAX_PLAYED: Final = 100_000


@dataclass(frozen=True, slots=True)
class _Bracket:
    """One ending: its measures, its passes, and the passes of all endings in its row, whose spans are given."""

    first: int
    last: int
    passes: tuple[int, ...]
    row: tuple[tuple[int, int], ...]
    total: int
    is_last: bool
    governs: bool


def _brackets(measures: Sequence[Measure]) -> dict[int, _Bracket]:
    """Return the bracket above each measure that has one."""
    spans: list[tuple[int, int, tuple[int, ...]]] = []
    for measure in measures:
        if not measure.ending:
            continue
        at = measure.index
        joins = spans and spans[-1][1] == at - 1 and spans[-1][2] == measure.ending
        if joins and not measures[at - 1].repeat_end:
            spans[-1] = (spans[-1][0], at, measure.ending)
        else:
            spans.append((at, at, measure.ending))
    rows: list[list[tuple[int, int, tuple[int, ...]]]] = []
    for span in spans:
        taken = {number for _, _, passes in rows[-1] for number in passes} if rows else set()
        goes_on = rows and rows[-1][-1][1] == span[0] - 1 and not taken & set(span[2])
        if goes_on:
            rows[-1].append(span)
        else:
            rows.append([span])
    found: dict[int, _Bracket] = {}
    for row in rows:
        highest = max(max(passes) for _, _, passes in row)
        total = highest if len(row) > 1 else highest + 1
        leads_away = any(
            measures[at].repeat_end or measures[at].jump for first, last, _ in row for at in range(first, last + 1)
        )
        governs = len(row) > 1 or leads_away
        if len(row) == 1 and row[0][2] and not measures[row[0][1]].repeat_end:
            governs = False  # a lone bracket that leads nowhere
        for first, last, passes in row:
            spans_of_row = tuple((one, other) for one, other, _ in row)
            bracket = _Bracket(first, last, passes, spans_of_row, total, (first, last, passes) == row[-1], governs)
            for at in range(first, last + 1):
                found[at] = bracket
    return found


def _goes_back(measures: Sequence[Measure], brackets: dict[int, _Bracket], at: int) -> bool:
    """Whether a passage is repeated from the end of measure `at`."""
    bracket = brackets.get(at)
    if bracket is not None and bracket.governs and at == bracket.last and not bracket.is_last:
        return not measures[at].jump or measures[at].repeat_end
    return measures[at].repeat_end


def _passes_here(measures: Sequence[Measure], brackets: dict[int, _Bracket], at: int) -> int:
    bracket = brackets.get(at)
    return bracket.total if bracket is not None and bracket.governs else measures[at].times


def _is_chosen(measures: Sequence[Measure], bracket: _Bracket, until: str) -> bool:
    """Whether an ending is the one that is played after a jump: where the music is left, else the last."""
    for first, last in bracket.row:
        if any(_leaves(measures[at], until) for at in range(first, last + 1)):
            return (bracket.first, bracket.last) == (first, last)
    if bracket.is_last and bracket.passes and bracket.total > max(bracket.passes):
        return False  # a lone first ending: the last time goes on behind it
    return bracket.is_last


def _leaves(measure: Measure, until: str) -> bool:
    """Whether the music may be left at the end of a measure after a jump."""
    return bool(measure.fine and until != "coda") or bool(measure.to_coda and until != "fine")


def _repeat_around(measures: Sequence[Measure], brackets: dict[int, _Bracket], at: int, repeats: bool) -> int:
    """Return how often the repeated passage that measure `at` stands in is played; 1 outside any."""
    bracket = brackets.get(at)
    if bracket is not None and bracket.governs and bracket.is_last:
        return 1
    for ahead in range(at, len(measures)):
        if ahead > at and (measures[ahead].repeat_start or measures[ahead].coda):
            return 1
        if _goes_back(measures, brackets, ahead):
            taken = repeats or measures[ahead].repeat_after_jump
            return _passes_here(measures, brackets, ahead) if taken else 1
    return 1


def _start_of_repeat(measures: Sequence[Measure], start: int, end: int) -> int:
    """Return where a repeat without an opening sign goes back to: behind a pickup if the closing bar is full."""
    first = measures[start]
    if first.repeat_start or not (first.is_pickup or first.continues) or start >= end:
        return start
    closing = measures[end]
    return start if closing.length < closing.full_length else start + 1


def play_order(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Return the indices of the measures as they are played.

    Raises
    ------
    ScoreError
        More than `MAX_PLAYED` measures.
    """
    brackets = _brackets(measures)
    has_jump = any(measure.jump for measure in measures)
    order: list[int] = []
    taken: set[int] = set()
    codas: set[int] = set()
    at = start = 0
    passes, repeats, jumped, until = 1, True, False, ""
    while at < len(measures):
        measure, bracket = measures[at], brackets.get(at)
        if (measure.repeat_start or measure.coda) and at != start:
            start, passes = at, 1
        if bracket is not None and bracket.governs and at == bracket.first:
            right = passes in bracket.passes if repeats else _is_chosen(measures, bracket, until)
            if not right:
                at = bracket.last + 1
                if bracket.is_last:
                    start, passes = at, 1
                continue
        order.append(at)
        if len(order) > MAX_PLAYED:
            raise ScoreError(f"this score is longer than {MAX_PLAYED} measures when its repeats are played")
        again = _goes_back(measures, brackets, at) and (repeats or measure.repeat_after_jump)
        if again and passes < _passes_here(measures, brackets, at):
            passes += 1
            at = start = _start_of_repeat(measures, start, at)
            continue
        last_time = passes >= _repeat_around(measures, brackets, at, repeats)
        if jumped and measure.fine and until != "coda" and last_time:
            break
        if measure.to_coda and until != "fine" and last_time and (jumped or not has_jump):
            coda = _coda(measures, measure.to_coda, at)
            if coda is not None and coda not in codas:
                codas.add(coda)
                at = start = coda
                passes, repeats, jumped, until = 1, True, False, ""
                continue
        if measure.jump and at not in taken and last_time:
            taken.add(at)
            at = start = _target(measures, measure)
            passes, repeats, jumped, until = 1, measure.jump_repeats, True, measure.jump_until
            continue
        ends_row = bracket is not None and bracket.governs and bracket.is_last and at == bracket.last
        at += 1
        if measure.repeat_end or ends_row:
            start, passes = at, 1
    return tuple(order)


def _coda(measures: Sequence[Measure], name: str, at: int) -> int | None:
    codas = [measure.index for measure in measures if measure.coda]
    named = [index for index in codas if measures[index].coda == name] or codas
    return next((index for index in named if index > at), None)


def _target(measures: Sequence[Measure], jump: Measure) -> int:
    if jump.jump == "D.C.":
        return 0
    return next((measure.index for measure in measures if measure.segno == jump.jump_sign), 0)
