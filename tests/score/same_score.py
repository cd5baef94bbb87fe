"""Whether two scores are the same in all that a file can hold (`differences`)."""

from dataclasses import replace

from musictheory_nb.errors import MusicTheoryError
from musictheory_nb.theory.chord import Chord

#: Fields that must be the same, mark by mark.
MARKS = ("parts", "rehearsal_marks", "tempos", "key_signatures", "clefs", "transpositions", "words")


def _symbol(mark):
    """A chord symbol with its chords; as text where it cannot be read."""
    place = (mark.measure, mark.onset, mark.beat, mark.part)
    try:
        return (*place, Chord(mark.text), Chord(mark.written))
    except MusicTheoryError:
        return (*place, mark.text, mark.written)


def differences(one, other, without=()):
    """Names of what differs; a chord symbol may be spelled otherwise if it is the same chord."""
    found = [name for name in ("title", "composer", *MARKS) if getattr(one, name) != getattr(other, name)]
    if [replace(measure, printed="") for measure in one.measures] != [
        replace(measure, printed="") for measure in other.measures
    ]:
        found.append("measures")
    if one.events != other.events:
        found.append("events")
    if list(map(_symbol, one.chord_symbols)) != list(map(_symbol, other.chord_symbols)):
        found.append("chord_symbols")
    return [name for name in found if name not in without]
