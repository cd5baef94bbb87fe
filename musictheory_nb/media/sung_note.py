"""Notes of a recording of one line: where each begins and ends, and its pitch to a hundredth of a semitone."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from musictheory_nb.media.pitch_tracking import HOP_S, PitchTrack
from musictheory_nb.theory.tuning import hz_to_midi

#: Shorter than this is a slip or a click, not a note.
SHORTEST_S: Final = 0.09
#: How long a slip is at most, in parts of the shortest note.
SLIP_SHARE: Final = 0.4
#: A silence of this length ends a note; a shorter one is a consonant or a shiver of the voice.
_GAP_FRAMES: Final = 4
#: Further than this from where the note has been, in semitones, for `_GAP_FRAMES` frames, is another note.
_ANOTHER: Final = 0.6
#: A rise of the level by so many dB within `_GAP_FRAMES` frames is a new stroke.
_STROKE_DB: Final = 6.0


@dataclass(frozen=True, slots=True)
class SungNote:
    """A note that was sung or played: its MIDI number with cents as hundredths, its start and end in seconds."""

    midi: float
    start_s: float
    end_s: float


def sung_notes(track: PitchTrack, *, a4: float = 440.0) -> tuple[SungNote, ...]:
    """Return the notes of a recording.

    A note begins after a silence, at another pitch that stays, or at a new stroke of the same pitch. Its pitch is the
    median of the middle of it, so that the slide into it and a vibrato about it do not count.

    Parameters
    ----------
    track : PitchTrack
        From `track_pitch`.
    a4 : float
        Frequency of A4 in Hz, as the student's instrument is tuned.

    Examples
    --------
    >>> import numpy as np
    >>> from musictheory_nb.media.pitch_tracking import track_pitch
    >>> at = np.arange(22050) / 44100
    >>> two = np.concatenate([np.sin(2 * np.pi * 220 * at), np.zeros(8820), np.sin(2 * np.pi * 330 * at)])
    >>> [note.midi for note in sung_notes(track_pitch(two / 2, 44100))]
    [57.0, 64.02]
    """
    import numpy as np

    pitch = np.array([hz_to_midi(float(hz), a4) if hz == hz else np.nan for hz in track.hz])
    notes = []
    for first, end in _spans(pitch, track.level_db):
        if (end - first) * HOP_S < SHORTEST_S:
            continue
        margin = (end - first) // 5
        middle = pitch[first + margin : end - margin]
        start, stop = float(track.times_s[first]), float(track.times_s[end - 1])
        notes.append(SungNote(round(float(np.nanmedian(middle)), 2), round(start, 3), round(stop, 3)))
    return tuple(notes)


def main_notes(notes: Sequence[SungNote], count: int) -> tuple[SungNote, ...]:
    """Return `count` of the notes in their order, where the rest are slips; otherwise all of them.

    A slip is shorter than `SLIP_SHARE` of the shortest note that is kept: a scoop into a note, or a breath that was heard.

    Examples
    --------
    >>> scoop = SungNote(58.2, 0.0, 0.1), SungNote(60.0, 0.1, 1.0), SungNote(64.0, 1.1, 2.0)
    >>> [note.midi for note in main_notes(scoop, 2)], [note.midi for note in main_notes(scoop, 1)]
    ([60.0, 64.0], [58.2, 60.0, 64.0])
    """
    longest = sorted(notes, key=lambda note: note.start_s - note.end_s)
    kept, rest = longest[:count], longest[count:]
    lengths = [note.end_s - note.start_s for note in kept]
    if not rest or max(note.end_s - note.start_s for note in rest) >= SLIP_SHARE * min(lengths):
        return tuple(notes)
    return tuple(note for note in notes if note in kept)


def _spans(pitch: Any, level: Any) -> list[tuple[int, int]]:
    """First frame and frame after the last of each note."""
    import numpy as np

    spans: list[tuple[int, int]] = []
    first, last, away = -1, -1, 0
    for frame, value in enumerate(pitch):
        if value != value:
            if first >= 0 and frame - last >= _GAP_FRAMES:
                spans.append((first, last + 1))
                first = -1
            continue
        if first < 0:
            first, last, away = frame, frame, 0
            continue
        so_far = float(np.nanmedian(pitch[max(first, last - 30) : last + 1]))
        if _is_stroke(level, first, frame):
            spans.append((first, last + 1 - away))
            first, last, away = frame, frame, 0
        elif abs(value - so_far) > _ANOTHER:
            away += 1
            if away >= _GAP_FRAMES:
                spans.append((first, max(first, frame - away) + 1))
                first, last, away = frame - away + 1, frame, 0
        else:
            last, away = frame, 0
    if first >= 0:
        spans.append((first, last + 1))
    return spans


def _is_stroke(level: Any, first: int, frame: int) -> bool:
    """Whether a tone that has been falling for a while is struck anew at this frame."""
    if frame - first < SHORTEST_S / HOP_S:
        return False
    before = level[max(first, frame - _GAP_FRAMES) : frame]
    return bool(level[frame] - before.min() > _STROKE_DB)
