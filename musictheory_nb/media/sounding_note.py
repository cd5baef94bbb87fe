"""What is heard, and when: notes of an excerpt in seconds, at sounding pitch, with ties joined.

Conventions. Measures sound once each, in the order they stand: a piece whose repeats are to be heard is given
unrolled. A grace note sounds just before the beat, so that the note it leads to keeps its place. Tied
notes are joined (see `tie`); a tie that leads out of the excerpt has no effect.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from musictheory_nb.media.passage import Passage
from musictheory_nb.media.tie import excerpt_pitch, tied_heads
from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote

#: How long one grace note sounds; several share the time of `_GRACES_S` before the beat.
GRACE_S: Final = 0.08
_GRACES_S: Final = 0.24


@dataclass(frozen=True, slots=True)
class SoundingNote:
    """One tone: when it starts and how long it lasts in seconds, its MIDI number, and the index of its part."""

    start_s: float
    length_s: float
    midi: int
    part: int


def _joined(excerpt: Excerpt) -> Iterator[tuple[Fraction, Fraction, int, int]]:
    """Onset from the beginning and duration in quarters, MIDI number, part; ties joined, grace notes left out."""
    goes_on = tied_heads(excerpt)
    continued = set(goes_on.values())
    for index, note in enumerate(excerpt.notes):
        for at, pitch in enumerate(note.pitches):
            if not note.duration or (index, at) in continued:
                continue
            duration, head = note.duration, goes_on.get((index, at))
            while head:
                duration += excerpt.notes[head[0]].duration
                head = goes_on.get(head)
            midi = excerpt_pitch(pitch).chromatic + excerpt.parts[note.part].chromatic
            yield excerpt.starts[note.measure] + note.onset, duration, midi, note.part


def _graces(excerpt: Excerpt) -> Iterator[tuple[Fraction, int, int, ExcerptNote]]:
    """Onset, how many grace notes follow up to the beat (this one counted), how many there are, and the note."""
    groups: dict[tuple[int, Fraction, int], list[ExcerptNote]] = {}
    for note in excerpt.notes:
        if not note.duration and note.pitches:
            groups.setdefault((note.part, excerpt.starts[note.measure] + note.onset, note.voice), []).append(note)
    for (_part, onset, _voice), notes in groups.items():
        for at, note in enumerate(notes):
            yield onset, len(notes) - at, len(notes), note


def sounding_notes(heard: Passage) -> tuple[SoundingNote, ...]:
    """Return the notes of `heard`, by start; the first measure begins at 0, a grace note before it below 0.

    Raises
    ------
    MediaError
        A pitch of the excerpt cannot be read.

    Examples
    --------
    >>> from musictheory_nb.media.passage import passage
    >>> [(note.start_s, note.midi) for note in sounding_notes(passage(Excerpt.melody(["B3", "F4"]), tempo=60))]
    [(0.0, 59), (1.0, 65)]
    >>> sounding_notes(passage(Excerpt.melody(["H3"])))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: note of an excerpt: pitch 'H3'...
    """
    excerpt, quarter_s = heard.excerpt, 60 / heard.tempo
    notes = [
        SoundingNote(float(onset * quarter_s), float(duration * quarter_s), midi, part)
        for onset, duration, midi, part in _joined(excerpt)
    ]
    for onset, before, together, grace in _graces(excerpt):
        each = min(GRACE_S, _GRACES_S / together)
        for pitch in grace.pitches:
            midi = excerpt_pitch(pitch).chromatic + excerpt.parts[grace.part].chromatic
            notes.append(SoundingNote(float(onset * quarter_s) - before * each, each, midi, grace.part))
    return tuple(sorted(notes, key=lambda note: (note.start_s, note.part, note.midi)))
