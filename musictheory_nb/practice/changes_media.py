"""Chord changes to be heard and seen: chords with the beat, symbols above a staff, a line over them."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.chord_changes import ChordChanges
from musictheory_nb.practice.counted_in import counted_in
from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote, ExcerptPart
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.staff_input import Row, StaffInput
from musictheory_nb.practice.staff_rows import staff_excerpt

#: The basses of the chords lie from here upwards.
_LOWEST: Final = "C3"
_CHORDS: Final = "Chords"


def over_changes(
    changes: ChordChanges, staff: StaffInput, rows: Sequence[Row], timbre: str, tempo: Fraction, shift: tuple[int, int]
) -> Excerpt:
    """Return a line on its staff with the symbols above it.

    Examples
    --------
    >>> from musictheory_nb.practice.chord_changes import read_changes
    >>> two = read_changes("Dm7 | G7", "4/4")
    >>> music = over_changes(two, StaffInput(measures=2), [[["D4"], "4", False]], "struck", Fraction(90), (0, 0))
    >>> [chord.text for chord in music.chords], len(music.notes)
    (['Dm7', 'G7'], 1)
    """
    music = staff_excerpt(staff, rows, timbre=timbre)
    part = replace(music.parts[0], chromatic=shift[0], diatonic=shift[1])
    return replace(music, parts=(part,), chords=changes.printed(), tempo=tempo)


@lru_cache(maxsize=512)
def _chord_notes(changes: ChordChanges, part: int) -> tuple[ExcerptNote, ...]:
    """Return the chords, struck again in every measure."""
    full = measure_quarters(changes.metre)
    notes = []
    for span in changes.spans:
        pitches = tuple(pitch.name for pitch in span.chord.pitches(_LOWEST))
        at = span.onset
        while at < span.end:
            length = min(span.end - at, full - at % full)
            notes.append(ExcerptNote(part, int(at // full), at % full, length, pitches))
            at += length
    return tuple(notes)


def heard_with_chords(music: Excerpt, changes: ChordChanges) -> Excerpt:
    """Return a line with its chords and the beat, after a measure that is counted in.

    Examples
    --------
    >>> from musictheory_nb.practice.chord_changes import read_changes
    >>> two = read_changes("Dm7 | G7", "4/4")
    >>> music = over_changes(two, StaffInput(measures=2), [], "struck", Fraction(90), (0, 0))
    >>> [part.name for part in heard_with_chords(music, two).parts]
    ['Line', 'Chords', 'Beat']
    """
    line = music.parts[0]
    chords = ExcerptPart(_CHORDS, "bass", chromatic=line.chromatic, diatonic=line.diatonic, timbre="held")
    notes = (*music.notes, *_chord_notes(changes, 1))
    both = replace(music, parts=(replace(line, name="Line"), chords), notes=notes)
    return counted_in(both, changes.metre)
