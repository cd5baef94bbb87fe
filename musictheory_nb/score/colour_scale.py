"""Scales that tell themselves by their notes alone: whole-tone, octatonic, blues, pentatonic (`colour_scales`).

Conventions: a passage is in one of them if nothing else sounds in it, and nearly all of it does:

- whole-tone: five of its six notes or more, in six notes struck or more, in a bar or more;
- octatonic (half-whole or whole-half diminished): seven of its eight notes or more, in eight struck or more; six notes of
  a line in a row follow the scale step by step, or it lasts four bars: two diminished chords alone are none;
- augmented (hexatonic): all six notes, in twelve struck or more;
- minor and major blues: all six notes, in eight struck or more, in one line over chords on its tonic or in all that
  sounds; the blue note comes twice or more in major blues;
- pentatonic: its five notes and no other for four bars or more, in sixteen struck or more.

One line alone, without a rest of more than a beat, is enough for whole-tone (all six notes), octatonic and blues. Where the tonic is not the lowest note at
the end, it is the one at the beginning, then the one that sounds longest. Source: common practice, no source; the
numbers are ours.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import Final

import numpy as np

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.harmony_span import HarmonySpan
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


def colour_scales(
    score: Score, lines: Sequence[MelodicLine], content: PitchContent, spans: Sequence[HarmonySpan]
) -> list[Finding]:
    """Return the passages in whole-tone, octatonic, augmented, blues and pentatonic scales."""
    found: list[Finding] = []
    for colour in _COLOURS:
        for mask in _masks(colour):
            for first, last in _stretches(content.masks, mask):
                finding_ = _judged(score, lines, content, colour, mask, (first, last))
                if finding_ is not None:
                    found.append(finding_)
    for colour in _COLOURS:
        if colour.in_a_line:
            for line in lines:
                found += _in_line(score, line, colour, found, spans)
    return found


#: Notes in a row by which a line follows an octatonic scale, and bars that speak for themselves.
_IN_A_ROW: Final = 6
_LASTING: Final = 4


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


def _judged(
    score: Score,
    lines: Sequence[MelodicLine],
    content: PitchContent,
    colour: _Colour,
    mask: int,
    at: tuple[int, int],
) -> Finding | None:
    first, last = at
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
    if "diminished" in kind and last - first + 1 < _LASTING and not _steps_along(lines, mask, at):
        return None
    if kind == "major blues" and _times(score, rows, (tonic + 3) % 12) < 2:
        return None
    parts = tuple(sorted({score.notes[row].part for row in rows}))
    whole = union == mask
    return _told(score, (first, last), parts, rows, (tonic, kind), 0.95 if whole else 0.8)


def _times(score: Score, rows: Iterable[int], pitch_class: int) -> int:
    pitches = (score.notes[row].sounding for row in rows)
    return sum(pitch is not None and pitch.pitch_class == pitch_class for pitch in pitches)


def _steps_along(lines: Sequence[MelodicLine], mask: int, at: tuple[int, int]) -> bool:
    """Whether a line goes through six neighbours of the scale or more, one way, within some measures."""
    scale = [one for one in range(12) if mask >> one & 1]
    for line in lines:
        begin, end = bisect_left(line.measures, at[0]), bisect_right(line.measures, at[1])
        places = [scale.index(pitch % 12) if pitch % 12 in scale else -1 for pitch in line.pitches[begin:end]]
        count, before = 1, 0
        for one, (place, other) in enumerate(pairwise(places)):
            move = line.pitches[begin + one + 1] - line.pitches[begin + one]
            way = (other - place + 1) % len(scale) - 1
            is_step = min(place, other) >= 0 and 0 < abs(move) <= 2 and way in (-1, 1)
            count = count + 1 if is_step and way == before else 2 if is_step else 1
            before = way if is_step else 0
            if count >= _IN_A_ROW:
                return True
    return False


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


def _in_line(
    score: Score,
    line: MelodicLine,
    colour: _Colour,
    found: Sequence[Finding],
    spans: Sequence[HarmonySpan],
) -> list[Finding]:
    """Return where one line keeps to a scale for long enough while others do not."""
    classes = [1 << pitch % 12 for pitch in line.pitches]
    rests = {at for at in range(len(line) - 1) if not line.follows(at, 1)}
    new: list[Finding] = []
    for mask in _masks(colour):
        for first, last in _without_rests(_stretches(classes, mask), rests):
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
            tonic, kind = _tonic(colour, mask, likely, amounts)
            if "diminished" in kind and not _steps_along([line], mask, at):
                continue
            if "blues" in kind and not _chord_on(spans, score.measures[at[0]].start, score.measures[at[1]].end, tonic):
                continue
            new.append(_told(score, at, (line.part,), rows, (tonic, kind), 0.8))
    return new


def _without_rests(stretches: Iterable[tuple[int, int]], rests: set[int]) -> Iterable[tuple[int, int]]:
    """Return stretches of notes, cut after the notes of `rests`."""
    for first, last in stretches:
        start = first
        for at in range(first, last):
            if at in rests:
                yield start, at
                start = at + 1
        yield start, last


def _chord_on(spans: Sequence[HarmonySpan], start: Fraction, end: Fraction, tonic: int) -> bool:
    """Whether a chord with a flat seventh on this tonic sounds for half of the time or more."""
    first = bisect_right(spans, start, key=lambda span: span.end)
    total = Fraction(0)
    for span in spans[first:]:
        if span.start >= end:
            break
        root = span.chord.root
        if root is not None and root.pitch_class == tonic and "b7" in span.chord.degrees:
            total += min(span.end, end) - max(span.start, start)
    return 2 * total >= end - start
