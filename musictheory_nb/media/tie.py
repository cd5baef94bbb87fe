"""Ties of an excerpt: which note goes on in which, for the ear and on the page."""

from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import MediaError, PitchError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.theory.pitch import Pitch

#: One pitch of one note: index into ``excerpt.notes``, index into its pitches.
HeadIndex = tuple[int, int]

_OPENS: Final = ("start", "continue")
_CLOSES: Final = ("stop", "continue")


@lru_cache(maxsize=1024)
def excerpt_pitch(text: str) -> Pitch:
    """Return a pitch of an excerpt.

    Raises
    ------
    MediaError
        It cannot be read.

    Examples
    --------
    >>> excerpt_pitch("F#4").midi
    66
    >>> excerpt_pitch("H4")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: note of an excerpt: pitch 'H4'...
    """
    try:
        return Pitch(text)
    except PitchError as error:
        raise MediaError(f"note of an excerpt: {error}") from None


def tied_heads(excerpt: Excerpt) -> dict[HeadIndex, HeadIndex]:
    """Return for each tied head the head that it goes on in.

    Two heads are joined where the first says that a tie begins, the second that one ends, both sound the same pitch in
    the same part, and the second begins where the first ends. Among several, one of the same voice and spelling is
    taken. A tie that leads out of the excerpt joins nothing.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import ExcerptMeasure, ExcerptNote, ExcerptPart
    >>> held = Excerpt((ExcerptPart("Flute"),), (ExcerptMeasure("1", Fraction(2), "2/4"),), (
    ...     ExcerptNote(0, 0, Fraction(0), Fraction(1), ("C5",), tie="start"),
    ...     ExcerptNote(0, 0, Fraction(1), Fraction(1), ("C5",), tie="stop")))
    >>> tied_heads(held)
    {(0, 0): (1, 0)}
    """
    openings: dict[tuple[int, Fraction, int], list[HeadIndex]] = {}
    for index, note in enumerate(excerpt.notes):
        if note.tie in _OPENS and note.duration:
            end = excerpt.starts[note.measure] + note.onset + note.duration
            for at, pitch in enumerate(note.pitches):
                openings.setdefault((note.part, end, excerpt_pitch(pitch).chromatic), []).append((index, at))
    joined: dict[HeadIndex, HeadIndex] = {}
    for index, note in enumerate(excerpt.notes):
        if note.tie not in _CLOSES or not note.duration:
            continue
        onset = excerpt.starts[note.measure] + note.onset
        for at, pitch in enumerate(note.pitches):
            waiting = openings.get((note.part, onset, excerpt_pitch(pitch).chromatic))
            if waiting:
                best = min(
                    waiting,
                    key=lambda head: (
                        excerpt.notes[head[0]].voice != note.voice,
                        excerpt.notes[head[0]].pitches[head[1]] != pitch,
                    ),
                )
                waiting.remove(best)
                joined[best] = (index, at)
    return joined
