"""Scales that tell themselves by their notes alone: whole-tone, octatonic, blues, pentatonic (`colour_scales`).

Conventions: a passage is in one of them if nothing else sounds in it, and nearly all of it does:

- whole-tone: five of its six notes or more, in six notes struck or more, in a bar or more;
- octatonic (half-whole or whole-half diminished): seven of its eight notes or more, in eight struck or more;
- augmented (hexatonic): all six notes, in twelve struck or more;
- minor and major blues: all six notes, in eight struck or more, in one line or in all that sounds;
- pentatonic: its five notes and no other for four bars or more, in sixteen struck or more.

One line alone is enough for whole-tone (all six notes), octatonic and blues. Where the tonic is not the lowest note at
the end, it is the one at the beginning, then the one that sounds longest. Source: common practice, no source; the
numbers are ours.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.note_row import rows_in
from musictheory_nb.score.pitch_content import PitchContent, rotated
from musictheory_nb.score.score import Score
from musictheory_nb.score.spelled_tonic import spelled_scale
from musictheory_nb.theory.scale_catalogue import scale_type


@dataclass(frozen=True, slots=True)
class _Colour:
    """A set of notes: names of scales by which of its notes is the tonic, and how much of it makes a passage."""

    kinds: tuple[str, ...]
    repeats: int
    least: int
    struck: int
    bars: int
    in_a_line: int = 0


_COLOURS: Final = (
    _Colour(("whole tone",), 2, 5, 6, 1, 6),
    _Colour(("half-whole diminished", "whole-half diminished"), 3, 7, 8, 1, 7),
    _Colour(("augmented", "inverted augmented"), 4, 6, 12, 1),
    _Colour(("minor blues", "major blues"), 12, 6, 8, 1, 6),
    _Colour(("major pentatonic", "minor pentatonic"), 12, 5, 16, 4),
)


def colour_scales(score: Score, lines: Sequence[MelodicLine], content: PitchContent) -> list[Finding]:
    """Return the passages in whole-tone, octatonic, augmented, blues and pentatonic scales."""
    found: list[Finding] = []
    for colour in _COLOURS:
        for mask in _masks(colour):
            for first, last in _stretches(content.masks, mask):
                finding_ = _judged(score, content, colour, mask, first, last)
                if finding_ is not None:
                    found.append(finding_)
    for colour in _COLOURS:
        if colour.in_a_line:
            for line in lines:
                found += _in_line(score, line, colour, found)
    return found


@lru_cache(maxsize=16)
def _masks(colour: _Colour) -> tuple[int, ...]:
    mask = scale_type(colour.kinds[0]).mask
    return tuple(rotated(mask, tonic) for tonic in range(colour.repeats))


def _stretches(masks: Iterable[int], scale: int) -> Iterable[tuple[int, int]]:
    """Return the first and last measure of each stretch in which only notes of `scale` sound; ends are not silent."""
    first, last = -1, -1
    for at, mask in enumerate(masks):
        if mask & ~scale:
            if first >= 0:
                yield first, last
            first = -1
        elif mask:
            first = at if first < 0 else first
            last = at
    if first >= 0:
        yield first, last


def _judged(score: Score, content: PitchContent, colour: _Colour, mask: int, first: int, last: int) -> Finding | None:
    here = slice(first, last + 1)
    union = int(np.bitwise_or.reduce(content.masks[here]))
    struck = int(content.struck[here].sum())
    if union.bit_count() < colour.least or struck < colour.struck or last - first + 1 < colour.bars:
        return None
    rows = rows_in(score, first, last)
    if len({score.notes[row].start for row in rows}) < 3:
        return None  # a chord, no scale
    amounts = content.amounts[here].sum(axis=0)
    tonic, kind = _tonic(colour, mask, (int(content.last_bass[last]), int(content.first_bass[first])), amounts.tolist())
    parts = tuple(sorted({score.notes[row].part for row in rows}))
    whole = union == mask
    return _told(score, (first, last), parts, rows, (tonic, kind), 0.95 if whole else 0.8)


def _tonic(colour: _Colour, mask: int, likely: Sequence[int], amounts: Sequence[float]) -> tuple[int, str]:
    """Return the tonic and the kind of scale on it."""
    types = [(kind, scale_type(kind).mask) for kind in colour.kinds]
    order = [*likely, *sorted(range(12), key=lambda one: -amounts[one])]
    for tonic in order:
        for kind, semitones in types:
            if tonic >= 0 and rotated(semitones, tonic) == mask:
                return tonic, kind
    raise AssertionError("no note of a scale is its tonic")


def _told(
    score: Score,
    at: tuple[int, int],
    parts: Sequence[int],
    rows: Sequence[int],
    found: tuple[int, str],
    sure: float,
) -> Finding:
    scale = spelled_scale(score, rows, *found)
    used = sorted({score.notes[row].sounding.pitch_class for row in rows if score.notes[row].sounding})  # type: ignore[union-attr]
    details: dict[str, JSON] = {"scale": scale.name, "kind": found[1], "notes": len(used)}
    family = " (octatonic)" if "diminished" in found[1] else ""
    who = "all that sounds" if len(parts) > 1 or len(score.parts) == 1 else score.parts[parts[0]].name
    told = f"{who} keeps to the notes of {scale.name}{family}"
    return finding(score, "scale in use", at, told, sure, parts=parts, notes=rows, details=details)


def _in_line(score: Score, line: MelodicLine, colour: _Colour, found: Sequence[Finding]) -> list[Finding]:
    """Return where one line keeps to a scale for long enough while others do not."""
    classes = [1 << pitch % 12 for pitch in line.pitches]
    new: list[Finding] = []
    for mask in _masks(colour):
        for first, last in _stretches(classes, mask):
            used = 0
            for one in classes[first : last + 1]:
                used |= one
            if used.bit_count() < colour.in_a_line or last - first + 1 < colour.struck:
                continue
            at = (line.measures[first], line.measures[last])
            if any(other.first <= at[1] and at[0] <= other.last for other in found):
                continue
            amounts = [0.0] * 12
            for one in range(first, last + 1):
                amounts[line.pitches[one] % 12] += line.ends[one] - line.starts[one]
            likely = (line.pitches[last] % 12, line.pitches[first] % 12)
            rows = line.rows[first : last + 1]
            new.append(_told(score, at, (line.part,), rows, _tonic(colour, mask, likely, amounts), 0.8))
    return new
