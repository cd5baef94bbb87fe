"""A `Score` as bytes, and back: one JSON text for all but the notes, then the note table column by column.

Conventions: whole numbers only, little-endian; each column as narrow as its values allow; times in ticks. Nothing in it
is ever executed. `read_bytes` checks shape and bounds, and trusts nothing else.
"""

import json
import struct
from dataclasses import fields
from fractions import Fraction
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
    known: dict[Fraction, int] = {}
    for name, kind in _RECORDS:
        names = [field.name for field in fields(kind)]
        meta[name] = [[_plain(getattr(record, field), known) for field in names] for record in getattr(score, name)]
    meta["fractions"] = [[value.numerator, value.denominator] for value in known]
    places: list[list[int]] = [[] for _ in _WIDTHS]  # which columns are kept in which width
    for place, row in enumerate(table.columns):
        low, high = (int(row.min()), int(row.max())) if row.size else (0, 0)
        width = next(w for w, kind in enumerate(_WIDTHS) if np.iinfo(kind).min <= low and high <= np.iinfo(kind).max)
        places[width].append(place)
    columns = [table.columns[own].astype(kind).tobytes() for own, kind in zip(places, _WIDTHS, strict=True)]
    meta["places"] = places
    text = json.dumps(meta, separators=(",", ":"), ensure_ascii=False).encode("utf-8")
    return b"".join([_HEAD.pack(len(text), len(table)), text, *columns])


def _plain(value: Any, known: dict[Fraction, int]) -> Any:
    """Return a field as a JSON value; of a fraction its place among those `known`."""
    return known.setdefault(value, len(known)) if isinstance(value, Fraction) else value


def score_from_bytes(data: bytes) -> Score:
    """Return the score that `score_bytes` wrote.

    Raises
    ------
    ScoreError
        The bytes are of another shape.
    """
    try:
        length, count = _HEAD.unpack_from(data)
        meta = json.loads(data[_HEAD.size : _HEAD.size + length].decode("utf-8"))
        events = _table(data, _HEAD.size + length, count, meta["places"], meta["ticks"])
        fractions = [Fraction(numerator, denominator) for numerator, denominator in meta["fractions"]]
        records = {name: tuple([kind(*row) for row in _rows(kind, meta[name], fractions)]) for name, kind in _RECORDS}
        values: dict[str, Any] = {name: str(meta[name]) for name in _TEXTS} | records
        return Score(events=events, notices=tuple(map(str, meta["notices"])), **values)
    except (KeyError, TypeError, ValueError, IndexError, struct.error, ZeroDivisionError) as error:
        raise ScoreError(f"kept score: {type(error).__name__}: {error}") from None


def _table(data: bytes, at: int, count: int, places: list[list[int]], ticks: int) -> NoteTable:
    known = sorted(place for own in places for place in own) == list(range(len(COLUMNS)))
    if not known or len(places) != len(_WIDTHS) or not (isinstance(ticks, int) and ticks > 0):
        raise ValueError("another note table")
    columns: Ticks = np.empty((len(COLUMNS), count), dtype=np.int64)
    for own, kind in zip(places, _WIDTHS, strict=True):
        if own:
            values = np.frombuffer(data, dtype=kind, count=count * len(own), offset=at)
            columns[own] = values.reshape(len(own), count)
            at += values.nbytes
    if at != len(data):
        raise ValueError("another length")
    return NoteTable(columns, ticks)


def _places_of(kind: type[Any], word: str) -> tuple[int, ...]:
    """Return the places of those fields of a record whose type is written with `word`."""
    return tuple(
        place
        for place, field in enumerate(fields(kind))
        if word in (field.type if isinstance(field.type, str) else getattr(field.type, "__name__", str(field.type)))
    )


#: For each kind of record, which of its fields are fractions and which are tuples.
_TURNING: Final = {kind: (_places_of(kind, "Fraction"), _places_of(kind, "tuple")) for _, kind in _RECORDS}


def _rows(kind: type[Any], rows: list[list[Any]], fractions: list[Fraction]) -> list[list[Any]]:
    """Return the rows with fractions and tuples in place of what JSON has for them."""
    exact, grouped = _TURNING[kind]
    for row in rows:
        for place in exact:
            row[place] = fractions[row[place]]
        for place in grouped:
            row[place] = tuple(row[place])
    return rows
