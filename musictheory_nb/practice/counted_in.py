"""Music that is dictated, with the beat beside it: one measure is counted in, and the beat goes on."""

from dataclasses import replace
from fractions import Fraction
from typing import Final

from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart
from musictheory_nb.practice.rhythm_figure import accents_of, beats_of

#: The beat as it sounds: first beats of groups, other beats, how long each click lasts.
_STRONG, _WEAK, _CLICK = "C7", "G6", Fraction(1, 8)
#: What the part of the beat is called.
BEAT_PART: Final = "Beat"


def counted_in(excerpt: Excerpt, metre: str, grouping: tuple[int, ...] = ()) -> Excerpt:
    """Return music with one measure of clicks before it and clicks beside it, in a part of their own.

    A pickup comes within the measure that is counted in.

    Parameters
    ----------
    excerpt : Excerpt
        Measures of one metre.
    metre : str
        The metre.
    grouping : tuple of int
        Of an odd metre.

    Examples
    --------
    >>> heard = counted_in(Excerpt.melody(["C4", "D4", "E4"]), "3/4")
    >>> [part.name for part in heard.parts], len(heard.measures), heard.notes[0].measure
    (['Music', 'Beat'], 2, 1)
    """
    beats, accents = beats_of(metre, grouping), accents_of(metre, grouping)
    full = beats[-1].onset + beats[-1].quarters
    pickup = excerpt.measures[0].length if len(excerpt.measures) > 1 and excerpt.measures[0].length < full else full
    has_pickup = pickup < full
    opening = ExcerptMeasure("0", full, metre, excerpt.measures[0].fifths)
    measures = (opening, *excerpt.measures[has_pickup:])
    music = [
        replace(note, onset=note.onset + full - pickup) if has_pickup and note.measure == 0
        else replace(note, measure=note.measure + (not has_pickup))
        for note in excerpt.notes
    ]  # fmt: skip
    clicks = [
        ExcerptNote(len(excerpt.parts), at, beat.onset, _CLICK, (_STRONG if beat.onset in accents else _WEAK,))
        for at in range(len(measures))
        for beat in beats
    ]
    chords = tuple(
        replace(chord, onset=chord.onset + full - pickup)
        if has_pickup and chord.measure == 0
        else replace(chord, measure=chord.measure + (not has_pickup))
        for chord in excerpt.chords
    )
    parts = [replace(part, name=part.name or "Music") for part in excerpt.parts]
    return replace(
        excerpt,
        parts=(*parts, ExcerptPart(BEAT_PART, "treble", timbre="plain")),
        measures=measures,
        notes=(*music, *clicks),
        chords=chords,
    )
