"""Which notes are joined by ties: the definition of a tie (same pitch, one after the other)."""

from fractions import Fraction as F

import pytest

from musictheory_nb.errors import MediaError
from musictheory_nb.media.tie import excerpt_pitch, tied_heads
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote, ExcerptPart


def piece(*notes: ExcerptNote, parts: int = 1) -> Excerpt:
    measures = (ExcerptMeasure("1", F(4)), ExcerptMeasure("2", F(4)))
    return Excerpt(tuple(ExcerptPart(str(n)) for n in range(parts)), measures, notes)


def note(measure, onset, duration, pitches, tie, voice=1, part=0):
    return ExcerptNote(part, measure, F(onset), F(duration), tuple(pitches.split()), voice, tie)


def test_ties_within_and_across_measures_and_through():
    held = piece(note(0, 0, 4, "C4", "start"), note(1, 0, 2, "C4", "continue"), note(1, 2, 2, "C4", "stop"))
    assert tied_heads(held) == {(0, 0): (1, 0), (1, 0): (2, 0)}


@pytest.mark.parametrize(
    "second",
    [
        note(1, 0, 4, "D4", "stop"),  # another pitch: no tie
        note(1, 1, 3, "C4", "stop"),  # later
        note(1, 0, 4, "C4", "start"),  # says that it begins, not ends
        note(1, 0, 4, "C4", ""),
        note(1, 0, 4, "C5", "stop"),
        note(1, 0, 0, "C4", "stop"),  # a grace note
    ],
)
def test_what_is_not_joined(second):
    assert tied_heads(piece(note(0, 0, 4, "C4", "start"), second)) == {}


def test_another_part_is_not_joined():
    assert tied_heads(piece(note(0, 0, 4, "C4", "start"), note(1, 0, 4, "C4", "stop", part=1), parts=2)) == {}


def test_only_common_pitches_of_chords_are_joined():
    held = piece(note(0, 0, 4, "C4 E4 G4", "start"), note(1, 0, 4, "C4 F4 G4", "stop"))
    assert tied_heads(held) == {(0, 0): (1, 0), (0, 2): (1, 2)}


def test_among_several_the_same_voice_is_taken():
    held = piece(
        note(0, 0, 4, "C4", "start", voice=1),
        note(0, 0, 4, "C4", "start", voice=2),
        note(1, 0, 4, "C4", "stop", voice=2),
        note(1, 0, 4, "C4", "stop", voice=1),
    )
    assert tied_heads(held) == {(1, 0): (2, 0), (0, 0): (3, 0)}


def test_a_tie_may_respell():
    assert tied_heads(piece(note(0, 0, 4, "F#4", "start"), note(1, 0, 4, "Gb4", "stop"))) == {(0, 0): (1, 0)}


def test_a_pitch_that_cannot_be_read():
    with pytest.raises(MediaError, match="'X4'"):
        excerpt_pitch("X4")
