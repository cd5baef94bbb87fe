"""A `Score` as bytes, and back as a `Piece`: one JSON text for all but the notes, then the note table column by column.

Conventions: whole numbers only, little-endian, as narrow as the values allow; times in ticks. Nothing in it is ever
executed. Measures, parts and marks become objects when somebody first asks for them.
"""

import json
import struct
from collections.abc import Callable
from dataclasses import fields
from fractions import Fraction
from functools import cached_property
from typing import Any, Final

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.note_table import COLUMNS, NoteTable, Ticks
from musictheory_nb.score.part import Part
from musictheory_nb.score.piece import Piece
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
    meta["section_order"] = score.section_order
    meta["ticks"] = table.ticks_per_quarter
    known: dict[Fraction, int] = {}
    for name, kind in _RECORDS:
        names = [field.name for field in fields(kind)]
        meta[name] = [[_plain(getattr(record, field), known) for field in names] for record in getattr(score, name)]
    meta["fractions"] = [[value.numerator, value.denominator] for value in known]
    low, high = (int(table.columns.min()), int(table.columns.max())) if len(table) else (0, 0)
    meta["width"] = next(w for w in _WIDTHS if np.iinfo(w).min <= low and high <= np.iinfo(w).max)
    text = json.dumps(meta, separators=(",", ":"), ensure_ascii=False).encode("utf-8")
    return _HEAD.pack(len(text), len(table)) + text + table.columns.astype(meta["width"]).tobytes()


def _plain(value: Any, known: dict[Fraction, int]) -> Any:
    """Return a field as a JSON value; of a fraction its place among those `known`."""
    return known.setdefault(value, len(known)) if isinstance(value, Fraction) else value


def score_from_bytes(data: bytes) -> Piece:
    """Return the piece that `score_bytes` wrote.

    Raises
    ------
    ScoreError
        The bytes are of another shape.
    """
    try:
        length, count = _HEAD.unpack_from(data)
        meta = json.loads(data[_HEAD.size : _HEAD.size + length].decode("utf-8"))
        events = _table(data, _HEAD.size + length, count, meta["width"], meta["ticks"])
        values: dict[str, Any] = {name: str(meta[name]) for name in _TEXTS}
        values["notices"] = tuple(map(str, meta["notices"]))
        values["section_order"] = tuple(
            (int(one), int(other), bool(again)) for one, other, again in meta["section_order"]
        )
        missing = [name for name in ("fractions", *dict(_RECORDS)) if not isinstance(meta[name], list)]
    except (KeyError, TypeError, ValueError, IndexError, struct.error) as error:
        raise ScoreError(f"kept score: {type(error).__name__}: {error}") from None
    if missing:
        raise ScoreError(f"kept score: no rows of {missing[0]}")
    piece: Piece = object.__new__(_KeptPiece)
    piece.__dict__.update(values, events=events, _kept=meta)
    return piece


def _made(name: str, kind: type[Any]) -> Callable[[Score], tuple[Any, ...]]:
    """Return what makes one field of a kept score from its rows."""

    def make(score: Score) -> tuple[Any, ...]:
        meta = score.__dict__["_kept"]
        fractions = [Fraction(numerator, denominator) for numerator, denominator in meta["fractions"]]
        return tuple([kind(*row) for row in _rows(kind, meta[name], fractions)])

    return make


#: A piece whose fields of `_RECORDS` are made on first use; in all else a `Piece`.
_KeptPiece: Final = type("Piece", (Piece,), {name: cached_property(_made(name, kind)) for name, kind in _RECORDS})


def _table(data: bytes, at: int, count: int, width: str, ticks: int) -> NoteTable:
    if width not in _WIDTHS or not (isinstance(ticks, int) and ticks > 0):
        raise ValueError("another note table")
    values = np.frombuffer(data, dtype=width, offset=at)
    columns: Ticks = values.reshape(len(COLUMNS), count).astype(np.int64)
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
    turned = [list(row) for row in rows]
    for row in turned:
        for place in exact:
            row[place] = fractions[row[place]]
        for place in grouped:
            row[place] = tuple(row[place])
    return turned
