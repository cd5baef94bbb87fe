"""Chord symbols of a score as spans (`written_harmony`): each lasts to the next, in its local key, with its notes.

A chord symbol that cannot be read, or cannot hold for as long as it would, is left out; the notes imply what stands
there (`harmony_finding`).
"""

import bisect
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Final

import numpy as np

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.chord_candidate import CHORD_TYPES
from musictheory_nb.score.harmony_building import harmony_span, has_notes, sounding_rows, usual_numeral
from musictheory_nb.score.harmony_cell import DOWNBEAT, harmony_cells
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.key_name import spelled_key
from musictheory_nb.score.key_path import Stretch, stretch_keys
from musictheory_nb.score.note_table import Note
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import ChordSymbol
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key

#: A chord symbol that lasts longer is believed only where so large a share of the notes are its tones.
_LONG_MEASURES: Final = 4
_BELIEVED_SHARE: Final = 0.6
#: Stands in a span until its local key is found.
_UNKNOWN: Final = Key("C major")


def written_harmony(score: Score) -> tuple[HarmonySpan, ...]:
    """Return the spans of the score's chord symbols, with gaps where one is left out."""
    symbols: dict[Fraction, ChordSymbol] = {}
    for mark in sorted(score.chord_symbols, key=lambda mark: (mark.start, mark.part)):
        symbols.setdefault(mark.start, mark)
    if not symbols:
        return ()
    cells = harmony_cells(score) if has_notes(score) else None
    starts = list(symbols)
    spans = []
    for start, end in zip(starts, [*starts[1:], score.length], strict=True):
        try:
            chord = Chord(symbols[start].text)
        except TheoryError:
            continue
        if end <= start:
            continue
        notes: list[tuple[Note, str]] = []
        if cells is not None:
            begin, finish = (int(quarters * cells.notes.ticks_per_quarter) for quarters in (start, end))
            notes = [(cells.notes[row], cells.roles[row]) for row in sounding_rows(cells, begin, finish)]
        spans.append(harmony_span(score, start, end, chord, "written", 1.0, notes, _UNKNOWN, None))
    return in_local_keys([span for span in spans if _is_believed(span, score)])


def in_local_keys(spans: Sequence[HarmonySpan]) -> tuple[HarmonySpan, ...]:
    """Return the spans with the local keys that they and their notes show together, and numerals in these."""
    stretches = []
    for span in spans:
        sounding = np.zeros(12)
        for note in (*span.carried_by, *(foreign.note for foreign in span.foreign)):
            assert note.sounding is not None
            length = min(note.end, span.end) - max(note.start, span.start)
            sounding[note.sounding.pitch_class] += float(max(length, Fraction(0)))
        stretches.append(Stretch(chord_number(span.chord), float(span.duration), sounding, DOWNBEAT, False))
    keys, _ = stretch_keys(stretches)
    fifths = np.array([span.chord.root.fifths for span in spans if span.chord.root is not None], dtype=np.int64)
    found = []
    for at, span in enumerate(spans):
        key = spelled_key(keys[at] % 12, "minor" if keys[at] >= 12 else "major", fifths)
        same = at + 1 < len(spans) and keys[at + 1] == keys[at]
        following = spans[at + 1].chord if same else None
        found.append(replace(span, key=key, numeral=usual_numeral(span.chord, key, following)))
    return tuple(found)


def _is_believed(span: HarmonySpan, score: Score) -> bool:
    """Whether a chord symbol can hold for as long as it would.

    One that stands over many measures whose notes are not the chord's is none (`stray_letter` tells the stray letters of
    a whole score when it is read).
    """
    measures = bisect.bisect_left(score.measures, span.end, key=lambda measure: measure.start) - span.measure
    if not (span.carried_by or span.foreign):
        return True
    if measures <= _LONG_MEASURES:
        return True
    beats = [
        sum((note.duration for note in notes), Fraction(0))
        for notes in (span.carried_by, [f.note for f in span.foreign])
    ]
    return float(beats[0]) >= _BELIEVED_SHARE * float(sum(beats))


def chord_number(chord: Chord) -> int:
    """Return the number in `chord_candidate.chord_tables` of the triad or seventh that a chord is built on; -1 for none.

    Examples
    --------
    >>> chord_number(Chord("G13b9")) == chord_number(Chord("G7")), chord_number(Chord("N.C."))
    (True, -1)
    """
    if chord.root is None:
        return -1
    held = set(chord.degrees)
    best = max(
        range(len(CHORD_TYPES)),
        key=lambda kind: (
            sum(degree in held for degree in CHORD_TYPES[kind].degrees)
            - sum(degree not in held for degree in CHORD_TYPES[kind].degrees),
            -kind,
        ),
    )
    return 12 * best + chord.root.pitch_class
