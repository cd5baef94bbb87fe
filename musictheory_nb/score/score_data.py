"""A `Score` as bytes, and back: one JSON text for all but the notes, then the note table column by column.

Conventions: whole numbers only, little-endian; each column as narrow as its values allow; times in ticks. Nothing in it
is ever executed. `read_bytes` checks shape and bounds, and trusts nothing else.
"""

import json
import struct
from collections.abc import Callable
from dataclasses import fields
from fractions import Fraction
from functools import lru_cache
from typing import Any, Final

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.note_table import COLUMNS, NoteTable, Ticks
from musictheory_nb.score.part import Part
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import (
    ChordSymbol,
    Clef,
    KeySignature,
    RehearsalMark,
    TempoMark,
    Transposition,
    Words,
)

_TEXTS: Final = ("title", "composer", "source", "digest")
_RECORDS: Final[tuple[tuple[str, type[Any]], ...]] = (
    ("parts", Part),
    ("measures", Measure),
    ("chord_symbols", ChordSymbol),
    ("rehearsal_marks", RehearsalMark),
    ("tempos", TempoMark),
    ("key_signatures", KeySignature),
    ("clefs", Clef),
    ("transpositions", Transposition),
    ("words", Words),
)
_WIDTHS: Final = ("<i1", "<i2", "<i4", "<i8")
_HEAD: Final = struct.Struct("<II")


def score_bytes(score: Score) -> bytes:
    """Return `score` as bytes."""
    table = score.events
    meta: dict[str, Any] = {name: getattr(score, name) for name in _TEXTS}
    meta["notices"] = score.notices
    meta["ticks"] = table.ticks_per_quarter
    for name, kind in _RECORDS:
        names = [field.name for field in fields(kind)]
        meta[name] = [[_plain(getattr(record, field)) for field in names] for record in getattr(score, name)]
    columns, widths = [], []
    for row in table.columns:
        low, high = (int(row.min()), int(row.max())) if row.size else (0, 0)
        width = next(w for w in _WIDTHS if np.iinfo(w).min <= low and high <= np.iinfo(w).max)
        widths.append(width)
        columns.append(row.astype(width).tobytes())
    meta["widths"] = widths
    text = json.dumps(meta, separators=(",", ":"), ensure_ascii=False).encode("utf-8")
    return b"".join([_HEAD.pack(len(text), len(table)), text, *columns])


def _plain(value: Any) -> Any:
    """Return a field as a JSON value; a fraction as its two numbers."""
    return [value.numerator, value.denominator] if isinstance(value, Fraction) else value


def score_from_bytes(data: bytes) -> Score:
    """Return the score that `score_bytes` wrote.

    Raises
    ------
    ScoreError
        The bytes are of another shape.
    """
    try:
        length, count = _HEAD.unpack_from(data)
        meta = json.loads(data[_HEAD.size : _HEAD.size + length])
        events = _table(data, _HEAD.size + length, count, meta["widths"], meta["ticks"])
        records = {name: tuple([kind(*row) for row in _rows(kind, meta[name])]) for name, kind in _RECORDS}
        values: dict[str, Any] = {name: str(meta[name]) for name in _TEXTS} | records
        return Score(events=events, notices=tuple(map(str, meta["notices"])), **values)
    except (KeyError, TypeError, ValueError, IndexError, struct.error, ZeroDivisionError) as error:
        raise ScoreError(f"kept score: {type(error).__name__}: {error}") from None


def _table(data: bytes, at: int, count: int, widths: list[str], ticks: int) -> NoteTable:
    columns: Ticks = np.empty((len(COLUMNS), count), dtype=np.int64)
    if len(widths) != len(COLUMNS) or not set(widths) <= set(_WIDTHS) or not (isinstance(ticks, int) and ticks > 0):
        raise ValueError("another note table")
    for place, width in enumerate(widths):
        columns[place] = np.frombuffer(data, dtype=width, count=count, offset=at)
        at += count * int(width[2])
    if at != len(data):
        raise ValueError("another length")
    return NoteTable(columns, ticks)


def _turning(kind: type[Any]) -> tuple[tuple[int, Callable[[Any], Any]], ...]:
    """Return the places of the fields of a record that JSON has no value for, each with what turns it back."""
    found: list[tuple[int, Callable[[Any], Any]]] = []
    for place, field in enumerate(fields(kind)):
        if field.type in (Fraction, "Fraction"):
            found.append((place, _fraction))
        elif "tuple" in str(field.type):
            found.append((place, tuple))
    return tuple(found)


@lru_cache(maxsize=4096)
def _exact(numerator: int, denominator: int) -> Fraction:
    return Fraction(numerator, denominator)


def _fraction(value: list[int]) -> Fraction:
    return _exact(*value)


_TURNING: Final = {kind: _turning(kind) for _, kind in _RECORDS}


def _rows(kind: type[Any], rows: list[list[Any]]) -> list[list[Any]]:
    for row in rows:
        for place, turned in _TURNING[kind]:
            row[place] = turned(row[place])
    return rows
