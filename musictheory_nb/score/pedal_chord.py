"""The written chords over a possible pedal point, beat by beat (`written_chords`), and how often a note is foreign."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.pedal_beat import Beats, chord_masks
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord


@dataclass(frozen=True, slots=True)
class WrittenChord:
    """A chord symbol over a beat: what tells it from another chord, and its tones and bass as bits."""

    upper: frozenset[int]
    tones: int


def written_chords(score: Score, beats: Beats) -> tuple[WrittenChord | None, ...]:
    """Return the written chord of each beat; None before the first one, at N.C. and where a symbol cannot be read."""
    marks = sorted(score.chord_symbols, key=lambda mark: (mark.start, mark.part))
    chords = [_read(mark.text) for mark in marks]
    found: list[WrittenChord | None] = []
    ticks = [float(mark.start * score.joined_notes.ticks_per_quarter) for mark in marks]
    at = -1
    for start in beats.starts.tolist():
        while at + 1 < len(marks) and ticks[at + 1] <= start:
            at += 1
        found.append(chords[at] if at >= 0 else None)
    return tuple(found)


def count_written(chords: Sequence[WrittenChord | None]) -> int:
    """Return how many written chords follow each other, whatever their bass; 0 unless every beat has one."""
    if None in chords:
        return 0
    return len(list(groupby(chord.upper for chord in chords if chord is not None)))


def foreign_beats(beats: Beats, chords: Sequence[WrittenChord | None], first: int, last: int, pitch_class: int) -> int:
    """Return in how many beats a note is foreign to the chord: to the written one, or to the chord that sounds without it.

    A chord that sounds is told by two of its tones at least; the note is foreign where it makes no chord with them.
    """
    own = 1 << pitch_class
    count = 0
    for at in range(first, last + 1):
        if (written := chords[at]) is not None:
            count += not written.tones & own
            continue
        mask = beats.heard.mask(at, pitch_class)
        if mask.bit_count() >= 2 and any(not mask & ~chord for chord in chord_masks()):
            count += all((mask | own) & ~chord for chord in chord_masks())
    return count


def _read(symbol: str) -> WrittenChord | None:
    try:
        chord = Chord(symbol)
    except TheoryError:
        return None
    if chord.root is None:
        return None
    upper = frozenset(tone.pitch_name.pitch_class for tone in chord.tones)
    return WrittenChord(upper, sum(1 << tone for tone in upper))
