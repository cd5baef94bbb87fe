"""A chart without notes, its chords made to sound (`sounded_chart`), so that key and form can be told from them.

Conventions: each chord lasts to the next one, or to the end; its tones lie in one octave above its bass, and are struck
again at each barline. Nothing else is changed, and the result is for analysis alone.
"""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from math import lcm
from typing import Final

import numpy as np

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.note_table import COLUMNS, NoteTable
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch_name import PitchName

#: Octaves of the bass and of the tones above it.
_BASS, _TONES = 2, 4
_STEPS: Final = "CDEFGAB"


def sounded_chart(score: Score) -> Score:
    r"""Return the score with its chord symbols as notes if it has no pitched notes, and as it is if it has.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> chart = load_score(b'X:1\nM:4/4\nL:1/4\nK:F\n"F"x4|"C7"x2 "F"x2|\n', cache=False)
    >>> [str(note.sounding) for note in sounded_chart(chart).notes][:4], len(chart.notes)
    (['F2', 'C4', 'F4', 'A4'], 0)
    """
    if not score.parts or not score.chord_symbols or (score.notes.column("step") >= 0).any():
        return score
    marks = {mark.start: mark for mark in sorted(score.chord_symbols, key=lambda mark: (mark.start, -mark.part))}
    end = score.measures[-1].end
    chords = [
        (start, after, chord)
        for (start, mark), (after, _) in pairwise([*sorted(marks.items()), (end, None)])
        if (chord := _chord(mark.text if mark else "")) is not None
    ]
    ticks = lcm(*(number.denominator for start, after, _ in chords for number in (start, after)), 1)
    ticks = lcm(ticks, *(measure.start.denominator for measure in score.measures))
    rows: list[list[int]] = []
    event = 0
    for start, after, chord in chords:
        for measure in score.measures:
            begin, stop = max(start, measure.start), min(after, measure.end)
            if begin < stop:
                event += 1
                rows += [
                    _row(score, measure.index, begin, stop, name, octave, event, ticks)
                    for name, octave in _voices(chord)
                ]
    if not rows:
        return score
    table = np.array(rows, dtype=np.int64).T
    table = table[:, np.lexsort((table[COLUMNS.index("event")],))]
    return replace(score, events=NoteTable(np.ascontiguousarray(table), ticks))


def _chord(text: str) -> Chord | None:
    try:
        chord = Chord(text)
    except TheoryError:
        return None
    return None if chord.is_no_chord else chord


def _voices(chord: Chord) -> list[tuple[PitchName, int]]:
    """The bass, and the tones in one octave above it, from low to high."""
    tones = sorted({tone.name for tone in chord.tones}, key=lambda name: PitchName(name).pitch_class)
    return [(PitchName(str(chord.bass)), _BASS), *((PitchName(name), _TONES) for name in tones)]


def _row(
    score: Score, measure: int, begin: Fraction, stop: Fraction, name: PitchName, octave: int, event: int, ticks: int
) -> list[int]:
    bar = score.measures[measure]
    onset, place = begin - bar.start, begin - bar.start + (bar.full_length - bar.length)
    step = _STEPS.index(name.step)
    values = {
        "staff": 1,
        "voice": 1,
        "measure": measure,
        "onset": int(onset * ticks),
        "duration": int((stop - begin) * ticks),
        "start": int(begin * ticks),
        "place": int(place * ticks),
        "pulse": int(Fraction(4, int(bar.metre.partition("/")[2] or 4)) * ticks) or 1,
        "step": step,
        "alter": name.alter,
        "octave": octave,
        "sounding_step": step,
        "sounding_alter": name.alter,
        "sounding_octave": octave,
        "event": event,
    }
    return [values.get(column, 0) for column in COLUMNS]
