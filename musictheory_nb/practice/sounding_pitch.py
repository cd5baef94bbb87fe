"""What the written notes of an excerpt sound as."""

from functools import lru_cache

from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch


def sounding_pitches(excerpt: Excerpt, note: ExcerptNote) -> list[Pitch]:
    """Return the pitches of a note as they sound: those that are written, moved by the transposition of its part.

    Examples
    --------
    >>> from musictheory_nb.practice.display_settings import Display, in_part
    >>> part = in_part(Excerpt.melody(["C4"]), Display(transposition="Bb3").part_shift)
    >>> [pitch.name for pitch in sounding_pitches(part, part.notes[0])]
    ['Bb3']
    """
    part = excerpt.parts[note.part]
    return [_sounding(text, part.diatonic, part.chromatic) for text in note.pitches]


@lru_cache(maxsize=8192)
def _sounding(text: str, diatonic: int, chromatic: int) -> Pitch:
    pitch = Pitch(text)
    return pitch.up(Interval.from_steps(diatonic, chromatic)) if diatonic or chromatic else pitch
