"""Marks of a part entered into a `Draft`, for readers that meet them one by one."""

import re
from typing import Any

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import (
    Draft,
    DraftChord,
    DraftClef,
    DraftKey,
    DraftSign,
    DraftTempo,
    DraftText,
    DraftTransposition,
)
from musictheory_nb.score.road_words import road_kind


def enter_mark(draft: Draft, kind: str, at: int, ticks: int, index: int, values: tuple[Any, ...]) -> None:
    """Enter a mark of a part at its place in ticks."""
    if kind == "key":
        draft.keys.append(DraftKey(at, ticks, index, *values))
    elif kind == "clef":
        draft.clefs.append(DraftClef(at, ticks, index, *values))
    elif kind == "transposition":
        draft.transpositions.append(DraftTransposition(at, ticks, index, *values))
    elif kind == "chord":
        moved = (0, 0) if values[0] == "none" else _moved_at(draft, at, ticks, index)
        name, text = values
        draft.chords.append(DraftChord(at, ticks, index, name, text, *moved))
    elif kind == "rehearsal":
        draft.rehearsals.append(DraftText(at, ticks, index, *values))
    elif kind == "tempo":
        speed, text = values
        draft.tempos.append(DraftTempo(at, ticks, speed.numerator, speed.denominator, text))
    elif kind == "words":
        _enter_words(draft, at, ticks, index, str(values[0])[:300])
    elif kind == "sign":
        sign, text = values
        draft.signs.append(DraftSign(at, ticks, sign, "1", text, False))
    else:
        raise ScoreError(f"mark {kind!r}: not known")


def _enter_words(draft: Draft, at: int, ticks: int, index: int, text: str) -> None:
    if re.fullmatch(r"\(?\s*N\.?\s*C\.?\s*\)?", text, re.I):
        draft.chords.append(DraftChord(at, ticks, index, "none", "N.C.", 0, 0))
        return
    draft.words.append(DraftText(at, ticks, index, text))
    if kind := road_kind(text):
        draft.signs.append(DraftSign(at, ticks, kind, "1", text, False))


def _moved_at(draft: Draft, at: int, ticks: int, index: int) -> tuple[int, int]:
    moved = (0, 0)
    for change in draft.transpositions:
        if change.part == index and (change.measure, change.onset) <= (at, ticks):
            moved = (change.chromatic, change.diatonic)
    return moved
