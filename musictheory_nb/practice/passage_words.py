"""What a passage of notation says, read aloud for a student who cannot see it."""

from functools import lru_cache

from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.section_evidence import signature_words


@lru_cache(maxsize=1024)
def passage_read_aloud(excerpt: Excerpt, first: int, last: int, display: Display) -> str:
    """Return the signature and the notes of a passage in words, measure by measure and part by part.

    Examples
    --------
    >>> passage_read_aloud(Excerpt.melody(["D4", "B4"]), 0, 0, Display())
    'The key signature has no sharps or flats. Measure 1: D4, B4.'
    """
    told = [f"The key signature has {signature_words(excerpt.measures[first].fifths)}."]
    for measure in range(first, last + 1):
        for part, row in enumerate(excerpt.parts):
            notes = [
                note
                for note in excerpt.notes
                if (note.part, note.measure) == (part, measure) and note.tie in ("", "start")
            ]
            pitches = [
                " with ".join(display.pitch(name) for name in note.pitches)
                for note in sorted(notes, key=lambda note: (note.voice, note.onset))
                if note.pitches
            ]
            if pitches:
                name = f", {row.name or f'part {part + 1}'}" if len(excerpt.parts) > 1 else ""
                told.append(f"Measure {excerpt.measures[measure].number}{name}: {', '.join(pitches)}.")
    return " ".join(told)
