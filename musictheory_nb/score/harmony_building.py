"""Putting a `HarmonySpan` together: its place, its notes for and against, its key by name, its numeral."""

import bisect
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

import numpy as np

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.harmony_cell import HarmonyCells
from musictheory_nb.score.harmony_evidence import evidence_of
from musictheory_nb.score.harmony_segment import Segment
from musictheory_nb.score.harmony_span import ForeignNote, HarmonySpan
from musictheory_nb.score.key_name import note_fifths, spelled_key
from musictheory_nb.score.note_table import Note
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.roman_analysis import roman_of
from musictheory_nb.theory.roman_numeral import Roman

#: Margin (in beats of one note) at which a chord is twice as sure as not.
_SURE: Final = 1.0


def has_notes(score: Score) -> bool:
    """Whether any note of a score has a pitch and a duration."""
    return bool((score.notes.of_kind("note").column("duration") > 0).any())


def harmony_span(
    score: Score,
    start: Fraction,
    end: Fraction,
    chord: Chord,
    origin: str,
    confidence: float,
    notes: Sequence[tuple[Note, str]],
    key: Key,
    numeral: Roman | None,
) -> HarmonySpan:
    """Return the span of a chord, its notes parted into those that are its tones and those that are not."""
    at, onset, beat = place_of(score, start)
    tones = {name.pitch_class for name in chord.pitch_names} if not chord.is_no_chord else set()
    carried = tuple(note for note, _ in notes if _class(note) in tones)
    foreign = tuple(ForeignNote(note, role) for note, role in notes if _class(note) not in tones) if tones else ()
    heard = {_class(note) for note in carried}
    missing = tuple(tone.degree for tone in chord.tones if tone.pitch_name.pitch_class not in heard) if tones else ()
    named = [(one.note.sounding.name.rstrip("-0123456789"), one.role) for one in foreign if one.note.sounding]
    evidence = evidence_of(score, start, end, chord, origin, missing, named)
    return HarmonySpan(
        at,
        onset,
        start,
        end - start,
        beat,
        chord,
        origin,
        confidence,
        carried,
        foreign,
        missing,
        key,
        numeral,
        evidence,
    )


def cut_span(score: Score, span: HarmonySpan, start: Fraction, end: Fraction) -> HarmonySpan:
    """Return the part of a span that lies between two places, with the notes that sound there."""
    if span.start >= start and span.end <= end:
        return span
    first, last = max(span.start, start), min(span.end, end)
    notes = notes_between(span, first, last)
    return harmony_span(score, first, last, span.chord, span.origin, span.confidence, notes, span.key, span.numeral)


def notes_between(span: HarmonySpan, start: Fraction, end: Fraction) -> list[tuple[Note, str]]:
    """Return the notes of a span that sound between two places, each with its role."""
    held = [*((note, "foreign note") for note in span.carried_by), *((one.note, one.role) for one in span.foreign)]
    found = [(note, role) for note, role in held if note.start < end and note.end > start]
    return sorted(found, key=lambda one: one[0].start)


def place_of(score: Score, start: Fraction) -> tuple[int, Fraction, Fraction]:
    """Return measure (an index), onset in it and beat of a place, given in quarters from the start of the score."""
    at = max(0, bisect.bisect_right(score.measures, start, key=lambda measure: measure.start) - 1)
    measure = score.measures[at]
    onset = start - measure.start
    return at, onset, 1 + (onset + measure.offset) / _beat(measure.metre)


def _class(note: Note) -> int:
    assert note.sounding is not None
    return note.sounding.pitch_class


def _beat(metre: str) -> Fraction:
    below = metre.rsplit("/", 1)[-1]
    return Fraction(4, int(below)) if below.isdigit() and int(below) else Fraction(1)


def sounding_rows(cells: HarmonyCells, begin: int, end: int) -> list[int]:
    """Rows of the notes that sound between two ticks."""
    low = int(np.searchsorted(cells.reach, begin, side="right"))
    high = int(np.searchsorted(cells.notes.column("start"), end, side="left"))
    rows: list[int] = (low + np.nonzero(cells.ends[low:high] > begin)[0]).tolist()
    return rows


def key_names(cells: HarmonyCells, segments: Sequence[Segment], keys: Sequence[int]) -> list[Key]:
    """Return the key of each segment, spelled as the notes of its whole passage in that key are."""
    fifths = note_fifths(cells.notes)
    names: list[Key] = []
    at = 0
    while at < len(keys):
        after = at
        while after < len(keys) and keys[after] == keys[at]:
            after += 1
        rows = sounding_rows(cells, int(cells.edges[segments[at].first]), int(cells.edges[segments[after - 1].last]))
        key = spelled_key(keys[at] % 12, "minor" if keys[at] >= 12 else "major", fifths[rows])
        names += [key] * (after - at)
        at = after
    return names


def usual_numeral(chord: Chord, key: Key, following: Chord | None) -> Roman | None:
    """Return the usual numeral of a chord in view of the next; None where there is no chord or no numeral."""
    if chord.is_no_chord:
        return None
    try:
        return roman_of(chord, key, following if following is None or not following.is_no_chord else None)
    except TheoryError:
        return None


def certainty(margin: float) -> float:
    """Return the confidence, from 0 to 1, of a chord that beats other roots by so much.

    Examples
    --------
    >>> certainty(0.0), certainty(1.0), round(certainty(6.0), 2)
    (0.5, 0.75, 0.99)
    """
    return float(1 - 0.5 * 0.5 ** (max(margin, 0.0) / _SURE))
