"""Pitches and pitch names against MIDI 1.0, scientific pitch notation and music21."""

import copy
import pickle

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21.pitch import Pitch as ReferencePitch

from musictheory_nb.errors import PitchError, PitchRangeError
from musictheory_nb.theory.pitch import Pitch, PitchName

STEPS = st.sampled_from("CDEFGAB")
ALTERS = st.integers(-3, 3)
pitch_names = st.builds(PitchName.of, STEPS, ALTERS)
pitches = st.builds(Pitch.of, STEPS, ALTERS, st.integers(-4, 11))

#: How music21 writes accidentals.
REFERENCE_ACCIDENTALS = {-3: "---", -2: "--", -1: "-", 0: "", 1: "#", 2: "##", 3: "###"}


# MIDI 1.0: middle C (C4) is note 60. Octave numbers follow the letter (scientific pitch notation).
@pytest.mark.parametrize(
    ("text", "midi"),
    [
        pytest.param("C4", 60, id="middle C, MIDI 1.0"),
        pytest.param("A4", 69, id="tuning note, MIDI 1.0"),
        pytest.param("Cb4", 59, id="sounds as B3"),
        pytest.param("B#3", 60, id="sounds as C4"),
        pytest.param("B##3", 61, id="sounds as C#4"),
        pytest.param("Cbb4", 58, id="sounds as Bb3"),
        pytest.param("C-1", 0, id="case B09: an octave below octave 0"),
        pytest.param("G9", 127, id="highest MIDI note"),
        pytest.param("Fbb-1", 3, id="sounds as Eb-1"),
        pytest.param("E###2", 43, id="sounds as G2"),
    ],
)
def test_midi_number_follows_the_letter(text, midi):
    assert Pitch(text).midi == midi


@pytest.mark.parametrize("step", "CDEFGAB")
@pytest.mark.parametrize("alter", range(-3, 4))
def test_sound_agrees_with_music21(step, alter):
    for octave in range(0, 9):
        reference = ReferencePitch(step + REFERENCE_ACCIDENTALS[alter] + str(octave))
        ours = Pitch.of(step, alter, octave)
        assert ours.chromatic == reference.ps
        assert ours.pitch_class == reference.pitchClass
        assert ours.hz() == pytest.approx(reference.frequency, rel=1e-9)
        assert ours.diatonic == reference.diatonicNoteNum - 1  # music21 counts C0 as 1


# Case B09: a pitch may lie outside MIDI; its number may not.
@pytest.mark.parametrize("text", ["Cb-1", "G#9", "Abb10", "C-2"])
def test_pitch_outside_midi_has_no_number(text):
    pitch = Pitch(text)
    with pytest.raises(PitchRangeError, match=r"MIDI notes go from C-1 \(0\) to G9 \(127\)"):
        pitch.midi  # noqa: B018 - the property raises


def test_minus_taken_for_an_octave_is_told_apart_from_a_flat():
    with pytest.raises(PitchRangeError, match="for the flat write 'Bb2'"):
        Pitch("B-2").midi  # noqa: B018 - the property raises


# One pitch in the spellings of print, keyboard and speech (common practice, no source).
@pytest.mark.parametrize(
    ("texts", "step", "alter", "octave"),
    [
        (["F#4", "F♯4", "F sharp 4", "F-sharp 4", "F# 4", "F♯₄", "F＃4", " F#4 "], "F", 1, 4),
        (["Bb3", "B♭3", "B flat 3", "B-flat3", "B Flat 3", "Bflat3"], "B", -1, 3),
        (["F##5", "Fx5", "F𝄪5", "F♯♯5", "F×5", "F double sharp 5", "F double-sharp 5"], "F", 2, 5),
        (["Ebb2", "E𝄫2", "E♭♭2", "E double flat 2"], "E", -2, 2),
        (["C###4", "C#x4", "Cx#4", "C♯𝄪4", "C triple sharp 4"], "C", 3, 4),
        (["Dbbb4", "D♭𝄫4", "D𝄫♭4"], "D", -3, 4),
        (["G4", "G♮4", "G natural 4"], "G", 0, 4),
        (["C-1", "C−1", "C–1", "C(-1)", "C₋₁"], "C", 0, -1),
        (["A10"], "A", 0, 10),
        (["Cb-2", "C♭−2"], "C", -1, -2),
    ],
)
def test_every_way_of_writing_a_pitch_is_read(texts, step, alter, octave):
    for text in texts:
        assert Pitch(text) == Pitch.of(step, alter, octave), text
        assert (Pitch(text).step, Pitch(text).alter, Pitch(text).octave) == (step, alter, octave)


REFUSED = [
    pytest.param("F#", "write 'F#4', or PitchName('F#')", id="no octave"),
    pytest.param("H4", "H is German for B; write 'B4'", id="German H"),
    pytest.param("Fis4", "Fis is German for F#; write 'F#4'", id="German sharp"),
    pytest.param("Es3", "Es is German for Eb; write 'Eb3'", id="German flat"),
    pytest.param("As3", "As is German for Ab; write 'Ab3'", id="German A flat"),
    pytest.param("Heses3", "Heses is German for Bbb; write 'Bbb3'", id="German double flat"),
    pytest.param("sol4", "fixed-do name of G", id="fixed do"),
    pytest.param("c#4", "write the letter as a capital: 'C#4'", id="small letter"),
    pytest.param("bb3", "write the letter as a capital: 'Bb3'", id="small B flat"),
    pytest.param("E-4", "'-' is not a flat; write 'Eb4'", id="minus for flat"),
    pytest.param("B-3", "'-' is not a flat; write 'Bb3'", id="minus for flat in the bass"),
    pytest.param("E--4", "'-' is not a flat", id="two minus signs"),
    pytest.param("E-", "'-' is not a flat", id="minus and no octave"),
    pytest.param("C4#", "write 'C#4'", id="sharp behind the octave"),
    pytest.param("♭B3", "write 'Bb3'", id="flat before the letter"),
    pytest.param("E4♭", "write 'Eb4'", id="flat behind the octave"),
    pytest.param("#C", "write 'C#'", id="sharp before a bare letter"),
    pytest.param("middle C", "write a capital letter A to G", id="words that are no pitch"),
    pytest.param("C#b4", "not a mixture", id="sharp and flat"),
    pytest.param("C####4", "at most three", id="four sharps"),
    pytest.param("Cxx4", "at most three", id="two double sharps"),
    pytest.param("C♮♮4", "one natural sign", id="two naturals"),
    pytest.param("", "write a capital letter A to G", id="empty"),
    pytest.param("4", "write a capital letter A to G", id="octave alone"),
    pytest.param("X4", "write a capital letter A to G", id="no such letter"),
    pytest.param("C4E4", "write a capital letter A to G", id="two pitches"),
    pytest.param("C4.5", "write a capital letter A to G", id="broken octave"),
    pytest.param("C" + "9" * 5000, "write a capital letter A to G", id="endless octave"),
]


@pytest.mark.parametrize(("text", "advice"), REFUSED)
def test_what_is_no_pitch_is_refused_with_advice(text, advice):
    with pytest.raises(PitchError) as refusal:
        Pitch(text)
    assert repr(text) in str(refusal.value)
    assert advice in str(refusal.value)


@pytest.mark.parametrize("value", [60, None, 4.5, ["C4"], b"C4"])
def test_what_is_no_text_is_refused(value):
    with pytest.raises(PitchError, match="pitch"):
        Pitch(value)
    with pytest.raises(PitchError, match="pitch name"):
        PitchName(value)


def test_number_points_to_the_spelling_function():
    with pytest.raises(PitchError, match=r"write spell_midi\(60"):
        Pitch(60)


def test_name_with_an_octave_is_refused():
    with pytest.raises(PitchError, match=r"write PitchName\('Eb'\), or Pitch\('Eb4'\)"):
        PitchName("E♭4")


@pytest.mark.parametrize(
    ("step", "alter", "octave"), [("H", 0, 4), ("C", 4, 4), ("C", 0.5, 4), ("c", 0, 4), ("C", 0, 4.5)]
)
def test_impossible_parts_are_refused(step, alter, octave):
    with pytest.raises(PitchError, match="must be"):
        Pitch.of(step, alter, octave)


@given(pitches)
@settings(deadline=None)
def test_every_text_form_of_a_pitch_reads_back(pitch):
    assert Pitch(pitch.name) == Pitch(pitch.display) == Pitch(str(pitch)) == pitch
    assert pitch.name.isascii()
    assert pickle.loads(pickle.dumps(pitch)) == copy.deepcopy(pitch) == pitch


@given(pitch_names)
@settings(deadline=None)
def test_every_text_form_of_a_name_reads_back(name):
    assert PitchName(name.name) == PitchName(name.display) == name
    assert PitchName.from_fifths(name.fifths) == name
    assert Pitch.from_name(name, 4).pitch_name == name


@given(pitches, pitches)
@settings(deadline=None)
def test_sounding_alike_is_not_being_spelled_alike(one, other):
    assert one.is_enharmonic_to(other) == (one.chromatic == other.chromatic)
    assert (one == other) == (one.name == other.name)
    assert one != other or hash(one) == hash(other)
    assert (one < other) + (one == other) + (one > other) == 1


def test_line_of_fifths_is_in_its_order():
    # The order of sharps and flats in signatures (common practice, no source).
    assert [PitchName.from_fifths(n).name for n in range(6, 13)] == ["F#", "C#", "G#", "D#", "A#", "E#", "B#"]
    assert [PitchName.from_fifths(n).name for n in range(-2, -9, -1)] == ["Bb", "Eb", "Ab", "Db", "Gb", "Cb", "Fb"]
    for beyond in (-23, 27):
        with pytest.raises(PitchError, match="must be from -22"):
            PitchName.from_fifths(beyond)


def test_values_cannot_be_changed():
    with pytest.raises(AttributeError):
        Pitch("C4").octave = 5
    with pytest.raises(AttributeError):
        PitchName("C").alter = 1


def test_moving_past_three_accidentals_is_refused():
    with pytest.raises(PitchError, match="at most three"):
        Pitch("C###4").up("A1")
    with pytest.raises(PitchError, match="at most three"):
        PitchName("Fbbb").down("A4")


@pytest.mark.parametrize("a4", [0, -440, float("nan"), float("inf")])
def test_impossible_tuning_is_refused(a4):
    with pytest.raises(PitchError, match="must be a positive number of hertz"):
        Pitch("A4").hz(a4=a4)
