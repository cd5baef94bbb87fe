"""A slip of a dictation as a pair for the table of what is confused most: what was asked for, what was answered."""

from collections.abc import Callable

from musictheory_nb.practice.aligned_distance import LineNote, Slip
from musictheory_nb.practice.slip_words import length_words


def slip_confusion(slip: Slip, pitch_words: Callable[[LineNote], str] | None) -> tuple[str, str]:
    """Return (asked for, answered) in words; the two always differ.

    Parameters
    ----------
    slip : Slip
        The slip.
    pitch_words : callable or None
        How a note is called by its pitch, such as by its degree; None where only lengths count.

    Examples
    --------
    >>> from fractions import Fraction
    >>> slip_confusion(Slip("missed", LineNote("B4", Fraction(1)), None, 1.0), None)
    ('quarter note', 'nothing')
    """
    right, given = slip.right, slip.given
    if right is None or given is None:
        there = right or given
        assert there is not None
        told = length_words(there.quarters, not there.pitch)
        return (told, "nothing") if given is None else ("nothing", told)
    if slip.kind == "moved":
        return "in time", "too late" if given.onset > right.onset else "too early"
    if slip.kind == "length":
        pair = length_words(right.quarters, not right.pitch), length_words(given.quarters, not given.pitch)
        return pair if pair[0] != pair[1] else (pair[0], f"{pair[1]} of another length")
    if not right.pitch or not given.pitch:
        return ("a note", "a rest") if right.pitch else ("a rest", "a note")
    if pitch_words is None:
        return "a note", "another note"
    pair = pitch_words(right), pitch_words(given)
    return pair if pair[0] != pair[1] else (pair[0], f"{pair[1]} in another octave or spelling")
