"""Pairs of notes of a piece that stand side by side in one voice, or sound together in one part."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.sounding_pitch import sounding_pitches
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch

#: From the measure of the first note to that of the second are at most so many.
MOST_MEASURES: Final = 2


@dataclass(frozen=True, slots=True)
class NotePair:
    """Two notes of an excerpt.

    Parameters
    ----------
    interval : str
        Its name without direction, such as ``'d5'``.
    direction : str
        ``'up'``, ``'down'`` or ``'together'``.
    first, second : str
        Sounding pitches in the order heard; together, the lower one first.
    first_midi, second_midi : int
        MIDI numbers.
    marked : tuple of int
        Indices of the notes in the excerpt.
    measures : (int, int)
        Indices of the first and last measure.
    part : int
        Index of the part.
    """

    interval: str
    direction: str
    first: str
    second: str
    first_midi: int
    second_midi: int
    marked: tuple[int, ...]
    measures: tuple[int, int]
    part: int


def _pair(excerpt: Excerpt, part: int, pitches: tuple[Pitch, Pitch], marked: tuple[int, ...]) -> NotePair | None:
    first, second = pitches
    between = Interval.between(first, second)
    if not (0 <= first.chromatic <= 127 and 0 <= second.chromatic <= 127):
        return None
    melodic = "up" if between.direction > 0 else "down"
    return NotePair(
        str(between.as_ascending),
        melodic if len(marked) == 2 else "together",
        first.name,
        second.name,
        first.midi,
        second.midi,
        marked,
        (excerpt.notes[marked[0]].measure, excerpt.notes[marked[-1]].measure),
        part,
    )


@lru_cache(maxsize=32)
def note_pairs(excerpt: Excerpt) -> tuple[NotePair, ...]:
    """Return all pairs, in the order of the piece.

    Side by side are two single notes of one part and voice, the second at the end of the first; tied notes are one,
    grace notes and rests part others. Together are the two notes of a chord of two.
    """
    voices: dict[tuple[int, int], list[int]] = {}
    found: list[tuple[tuple[int, int], NotePair | None]] = []
    starts = excerpt.starts
    for index, note in enumerate(excerpt.notes):
        voices.setdefault((note.part, note.voice), []).append(index)
        if len(note.pitches) == 2 and note.duration and note.tie in ("", "start"):
            low, high = sorted(sounding_pitches(excerpt, note))
            found.append(((note.measure, index), _pair(excerpt, note.part, (low, high), (index,))))
    for (part, _), indices in voices.items():
        indices.sort(key=lambda index: (starts[excerpt.notes[index].measure] + excerpt.notes[index].onset, index))
        before, ends = -1, starts[0]
        for index in indices:
            note = excerpt.notes[index]
            onset = starts[note.measure] + note.onset
            if note.tie in ("stop", "continue") and before >= 0 and onset == ends:
                ends = onset + note.duration
                continue
            single = len(note.pitches) == 1 and note.duration > 0 and note.tie in ("", "start")
            if single and before >= 0 and onset == ends:
                first = excerpt.notes[before]
                if note.measure - first.measure < MOST_MEASURES:
                    two = sounding_pitches(excerpt, first)[0], sounding_pitches(excerpt, note)[0]
                    found.append(((first.measure, before), _pair(excerpt, part, two, (before, index))))
            before, ends = (index, onset + note.duration) if single else (-1, onset + note.duration)
    return tuple(pair for _, pair in sorted(found, key=lambda row: row[0]) if pair is not None)
