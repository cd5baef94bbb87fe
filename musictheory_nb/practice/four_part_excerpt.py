"""Chords for four voices on two staves, as an excerpt: soprano and alto above, tenor and bass below."""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.theory.four_part import FourParts

#: Quarters of a measure, and of a chord.
_MEASURE: Final = Fraction(4)
_TEMPO: Final = Fraction(84)

Column = tuple[str, str, str, str]
"""The pitches of soprano, alto, tenor and bass."""


def column(parts: FourParts) -> Column:
    """Return a chord for four voices as names of pitches.

    Examples
    --------
    >>> from musictheory_nb.theory.four_part import write_four_parts
    >>> column(write_four_parts(["I"], "C major")[0])[3]
    'C3'
    """
    return parts.soprano.name, parts.alto.name, parts.tenor.name, parts.bass.name


@lru_cache(maxsize=4096)
def four_part_excerpt(
    chords: tuple[Column, ...],
    fifths: int,
    timbre: str,
    each: Fraction = _MEASURE,
    texts: tuple[str, ...] = (),
) -> Excerpt:
    """Return chords for four voices in 4/4, each as long as `each`, on a braced pair of staves.

    Parameters
    ----------
    chords : tuple of Column
        The chords.
    fifths : int
        Key signature.
    timbre : str
        How they sound.
    each : Fraction
        Quarters of each chord; a whole number of them makes a measure.
    texts : tuple of str
        What stands above each chord, such as its numeral; nothing by default.

    Examples
    --------
    >>> one = four_part_excerpt((("C5", "G4", "E4", "C3"), ("B4", "G4", "D4", "G3")), 0, "struck", Fraction(2))
    >>> len(one.measures), [note.pitches[0] for note in one.notes if note.voice == 1]
    (1, ['C5', 'E4', 'B4', 'D4'])
    """
    parts = (ExcerptPart("", "treble", group=1, timbre=timbre), ExcerptPart("", "bass", group=1, timbre=timbre))
    in_measure = int(_MEASURE / each)
    count = -(-len(chords) // in_measure)
    notes = []
    for at, chord in enumerate(chords):
        measure, place = divmod(at, in_measure)
        last = at == len(chords) - 1
        length = _MEASURE - place * each if last else each
        for voice, pitch in enumerate(chord):
            notes.append(ExcerptNote(voice // 2, measure, place * each, length, (pitch,), voice % 2 + 1))
    names = tuple(ExcerptChord(at // in_measure, at % in_measure * each, text) for at, text in enumerate(texts) if text)
    measures = tuple(ExcerptMeasure(str(at + 1), _MEASURE, "4/4", fifths) for at in range(count))
    return Excerpt(parts, measures, tuple(notes), names, tempo=_TEMPO)


def notes_of_chord(excerpt: Excerpt, chords: Sequence[int]) -> tuple[int, ...]:
    """Return the indices of the notes of chords, counted from 0, in what `four_part_excerpt` returns.

    Examples
    --------
    >>> notes_of_chord(four_part_excerpt((("C5", "G4", "E4", "C3"),), 0, "struck"), [0])
    (0, 1, 2, 3)
    """
    return tuple(at for at in range(len(excerpt.notes)) if at // 4 in chords)
