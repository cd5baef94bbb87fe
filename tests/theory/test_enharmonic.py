"""Enharmonic spellings against music21, and laws."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21.pitch import Pitch as ReferencePitch

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.enharmonic import enharmonics
from musictheory_nb.theory.pitch import Pitch, PitchName

pitches = st.builds(Pitch.of, st.sampled_from("CDEFGAB"), st.integers(-3, 3), st.integers(-1, 9))


#: Every pitch with up to two accidentals in octaves 1 to 6, sounded by music21 (which writes flats with a minus sign).
SOUNDING = {
    f"{step}{accidental}{octave}": ReferencePitch(f"{step}{accidental.replace('b', '-')}{octave}").ps
    for octave in range(1, 7)
    for step in "CDEFGAB"
    for accidental in ("", "#", "b", "##", "bb")
}


@pytest.mark.parametrize("octave", [2, 5])
@pytest.mark.parametrize(
    "name", [f"{step}{accidental}" for step in "CDEFGAB" for accidental in ("", "#", "b", "##", "bb")]
)
def test_other_spellings_are_all_that_sound_alike_in_music21(name, octave):
    given = f"{name}{octave}"
    expected = {text for text, sound in SOUNDING.items() if sound == SOUNDING[given]} - {given}
    assert {str(other) for other in enharmonics(Pitch(given))} == expected


@given(pitches, st.integers(0, 3))
@settings(deadline=None)
def test_every_other_spelling_sounds_alike(pitch, most):
    for other in enharmonics(pitch, most):
        assert other != pitch
        assert other.is_enharmonic_to(pitch)
        assert abs(other.alter) <= most
        if abs(pitch.alter) <= most:
            assert pitch in enharmonics(other, most)


@given(pitches)
@settings(deadline=None)
def test_names_are_those_of_the_pitch_and_come_fewest_accidentals_first(pitch):
    names = enharmonics(pitch.pitch_name)
    assert names == tuple(other.pitch_name for other in enharmonics(pitch))
    assert [abs(name.alter) for name in names] == sorted(abs(name.alter) for name in names)


def test_what_cannot_be_respelled_is_refused():
    with pytest.raises(PitchError, match="from 0 to 3"):
        enharmonics(PitchName("C"), 4)
    with pytest.raises(PitchError, match="write a Pitch or a PitchName"):
        enharmonics("C4")
