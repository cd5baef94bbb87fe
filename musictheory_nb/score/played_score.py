"""Measures, notes and marks in the order in which they are played, with no signs left that lead about."""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import TypeVar

import numpy as np

from musictheory_nb.score.measure import Measure
from musictheory_nb.score.note_table import COLUMNS, NoteTable
from musictheory_nb.score.score_mark import (
    ChordSymbol,
    Clef,
    KeySignature,
    RehearsalMark,
    TempoMark,
    Transposition,
    Words,
)

_Mark = TypeVar("_Mark", ChordSymbol, RehearsalMark, TempoMark, KeySignature, Clef, Transposition, Words)
_State = TypeVar("_State", TempoMark, KeySignature, Clef, Transposition)
_AT = {name: at for at, name in enumerate(COLUMNS)}


def played_measures(written: Sequence[Measure], order: Sequence[int]) -> tuple[Measure, ...]:
    """Return the measures of `order` one after the other."""
    found: list[Measure] = []
    start = Fraction(0)
    times: dict[int, int] = {}
    for index, at in enumerate(order):
        measure = written[at]
        times[at] = times.get(at, 0) + 1
        found.append(
            Measure(
                index,
                measure.number,
                measure.printed,
                start,
                measure.length,
                measure.metre,
                measure.full_length,
                measure.offset,
                measure.fifths,
                measure.is_pickup,
                measure.continues,
                barline=measure.barline,
                written=measure.written,
                time=times[at],
            )
        )
        start += measure.length
    return tuple(found)


def played_events(events: NoteTable, order: Sequence[int], starts: Sequence[Fraction]) -> NoteTable:
    """Return the notes of each measure each time it is played; `starts` are the starts of the measures played."""
    measure = events.column("measure")
    edges = np.searchsorted(measure, np.arange(max(order, default=0) + 2))
    unit = events.ticks_per_quarter
    count = int(events.column("event").max(initial=0)) + 1
    pieces = []
    for index, at in enumerate(order):
        rows = events.columns[:, edges[at] : edges[at + 1]].copy()
        rows[_AT["measure"]] = index
        rows[_AT["start"]] = rows[_AT["onset"]] + int(starts[index] * unit)
        rows[_AT["event"]] += index * count
        pieces.append(rows)
    table = np.concatenate(pieces, axis=1) if pieces else events.columns[:, :0]
    return NoteTable(np.ascontiguousarray(table), unit)


def _by_measure(marks: Sequence[_Mark]) -> dict[int, list[_Mark]]:
    found: dict[int, list[_Mark]] = {}
    for mark in marks:
        found.setdefault(mark.measure, []).append(mark)
    return found


def played_marks(marks: Sequence[_Mark], order: Sequence[int], starts: Sequence[Fraction]) -> tuple[_Mark, ...]:
    """Return the marks of each measure each time it is played."""
    at = _by_measure(marks)
    return tuple(
        replace(mark, measure=index, start=starts[index] + mark.onset)
        for index, written in enumerate(order)
        for mark in at.get(written, [])
    )


def lasting_marks(
    marks: Sequence[_State],
    order: Sequence[int],
    starts: Sequence[Fraction],
    of: Callable[[_State], Hashable],
) -> tuple[_State, ...]:
    """Return marks that hold until the next one; after a jump, what holds there is said again where it differs."""
    at = _by_measure(marks)
    found: list[_State] = []
    now: dict[Hashable, _State] = {}
    for index, written in enumerate(order):
        if index == 0 or written != order[index - 1] + 1:
            holding: dict[Hashable, _State] = {}
            for mark in marks:
                if mark.measure < written:
                    holding[of(mark)] = mark
            for name, mark in holding.items():
                here = replace(mark, measure=index, onset=Fraction(0), start=starts[index])
                if name not in now or replace(now[name], measure=index, onset=Fraction(0), start=starts[index]) != here:
                    found.append(here)
                    now[name] = here
        for mark in at.get(written, []):
            here = replace(mark, measure=index, start=starts[index] + mark.onset)
            found.append(here)
            now[of(mark)] = here
    return tuple(found)
