"""A walking bass by itself: a low line of even beats whose chords keep to bars and half bars (`is_walking`).

Conventions (bass methods; common practice, no source): the note on the first beat is the root more often than not; the
others are tones of the chord, or lead by step to the next root. Chords change at the bar, seldom in its middle.
"""

from typing import Final

import numpy as np

from musictheory_nb.score.note_table import NoteTable, Ticks

#: Least notes, least share of notes of one beat, highest mean pitch (MIDI number), least beats of a bar.
_LEAST_NOTES: Final = 8
_EVEN: Final = 0.7
_LOW: Final = 57.0
_BEATS: Final = 3
#: What a change of chord costs more at the start of a measure, half of it, a beat, and less.
CHANGE_COST: Final = (0.0, 1.2, 3.0, 3.0)
#: How many times the lowest note counts there.
BASS_WORTH: Final = (3.0, 1.0, 0.0, 0.0)


def is_walking(notes: NoteTable, ends: Ticks) -> bool:
    r"""Whether the notes of a single line make a walking bass.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> walk = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nC,E,G,A,|F,A,CA,|G,F,E,D,|C,4|]\n", cache=False).joined_notes
    >>> is_walking(walk, walk.column("start") + walk.column("duration"))
    True
    """
    if len(notes) < _LEAST_NOTES or float(notes.chromatic.mean()) > _LOW:
        return False
    pulse = notes.column("pulse")
    lengths = ends - notes.column("start")
    if float((lengths == pulse).mean()) < _EVEN:
        return False
    beats = np.unique(notes.column("place") // pulse)
    return len(beats) >= _BEATS
