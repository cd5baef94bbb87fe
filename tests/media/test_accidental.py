"""Printed accidentals: cases of the handbooks (common practice, no source), key signatures against music21."""

import music21
import pytest

from musictheory_nb.media.accidental import MeasureAccidentals
from musictheory_nb.media.key_signature import key_alterations
from musictheory_nb.theory.pitch import Pitch


@pytest.mark.parametrize("fifths", range(-7, 8))
def test_key_signatures_are_those_of_music21(fifths):
    theirs = {pitch.step: int(pitch.alter) for pitch in music21.key.KeySignature(fifths).alteredPitches}
    assert {letter: alter for letter, alter in key_alterations(fifths).items() if alter} == theirs


def printed(fifths: int, *pitches: str) -> str:
    said = MeasureAccidentals(fifths)
    return "".join("y" if said.needed(Pitch(pitch)) else "-" for pitch in pitches)


@pytest.mark.parametrize(
    ("fifths", "pitches", "expected"),
    [
        (0, ("F#4", "F#4", "F4"), "y-y"),  # holds to the end of the measure, then is taken back
        (1, ("F#4", "F4", "F#4"), "-yy"),  # the signature gives it, the natural takes it back, the sharp restores it
        (0, ("F#4", "F5"), "yy"),  # another octave: printed all the same
        (0, ("F#4", "F#5"), "yy"),  # an accidental does not reach another octave
        (0, ("F4", "F5", "F#5"), "--y"),
        (-3, ("Bb4", "B4", "Bb4"), "-yy"),
        (0, ("Ebb4", "Eb4", "E4"), "yyy"),
        (-2, ("Ebb4", "Eb4"), "yy"),
        (7, ("B#3", "B3", "B#3"), "-yy"),
        (0, ("Cb4", "B3"), "y-"),  # a letter's accidental is no other letter's
    ],
)
def test_accidental_is_printed(fifths, pitches, expected):
    assert printed(fifths, *pitches) == expected


def test_two_alterations_of_one_letter_struck_together_are_both_printed():
    said = MeasureAccidentals(0)
    both = [Pitch("Gb4"), Pitch("G4")]
    assert [said.needed(pitch, beside=both) for pitch in both] == [True, True]


def test_a_note_tied_over_the_barline_takes_its_accidental_along_without_effect():
    said = MeasureAccidentals(0)
    assert not said.needed(Pitch("F#4"), tied_over=True)
    assert said.needed(Pitch("F#4"))  # struck anew in this measure: printed
    fresh = MeasureAccidentals(0)
    assert not fresh.needed(Pitch("F#4"), tied_over=True)
    assert not fresh.needed(Pitch("F4"))
