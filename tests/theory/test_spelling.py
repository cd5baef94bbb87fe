"""Spelling of MIDI numbers in keys and chords: the recorded case B11 and its kind, and laws."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import PitchError, PitchRangeError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch, PitchName
from musictheory_nb.theory.spelling import (
    CHROMATIC_SPELLINGS,
    KEYLESS_SPELLINGS,
    spell_line,
    spell_midi,
    spell_pitch_class,
)


# Case B11 (id beside it) and its kind: a note of the key is spelled as the key signature says (common practice).
@pytest.mark.parametrize(
    ("midi", "key", "name"),
    [
        pytest.param(61, "Ab major", "Db4", id="B11"),
        pytest.param(70, "B major", "A#4", id="B11, second"),
        pytest.param(66, "Db major", "Gb4", id="B11, third"),
        pytest.param(59, "Gb major", "Cb4", id="octave number follows the letter"),
        pytest.param(60, "C# major", "B#3", id="octave number follows the letter, sharp"),
        pytest.param(65, "F# major", "E#4", id="E sharp"),
        pytest.param(64, "Cb major", "Fb4", id="F flat"),
        pytest.param(68, "A minor", "G#4", id="leading tone in minor"),
        pytest.param(66, "A minor", "F#4", id="raised sixth in minor"),
        pytest.param(71, "C minor", "B4", id="leading tone in C minor"),
        pytest.param(66, "G# minor", "F#4", id="natural seventh"),
        pytest.param(67, "G# minor", "F##4", id="leading tone of G sharp minor"),
        pytest.param(61, "C major", "Db4", id="lowered second"),
        pytest.param(66, "C major", "F#4", id="raised fourth"),
        pytest.param(68, "C major", "Ab4", id="lowered sixth"),
        pytest.param(63, "F# dorian", "D#4", id="mode"),
        pytest.param(61, "C phrygian", "Db4", id="mode, second"),
        pytest.param(66, "C locrian", "Gb4", id="a mode's own fifth"),
        pytest.param(0, "C# major", "B#-2", id="lowest MIDI note below its octave"),
        pytest.param(127, "Ab major", "G9", id="highest MIDI note"),
    ],
)
def test_note_is_spelled_in_the_key(midi, key, name):
    assert spell_midi(midi, key).name == name


# Chord tones are spelled by thirds over the root (common practice; Gm7 is case B11).
@pytest.mark.parametrize(
    ("root_up", "midis", "names"),
    [
        (["G", "Bb", "D", "F"], [55, 58, 62, 65], ["G3", "Bb3", "D4", "F4"]),
        (["F#", "A#", "C#", "E"], [54, 58, 61, 64], ["F#3", "A#3", "C#4", "E4"]),
        (["C", "Eb", "Gb", "Bbb"], [60, 63, 66, 69], ["C4", "Eb4", "Gb4", "Bbb4"]),
        (["Ab", "C", "Eb", "F#"], [56, 60, 63, 66], ["Ab3", "C4", "Eb4", "F#4"]),
        (["Db", "F", "Ab", "Cb"], [61, 65, 68, 71], ["Db4", "F4", "Ab4", "Cb5"]),
    ],
)
def test_notes_are_spelled_in_the_chord(root_up, midis, names):
    assert [spell_midi(midi, chord=root_up).name for midi in midis] == names
    assert [spell_midi(midi, "C major", chord=map(PitchName, root_up)).name for midi in midis] == names


def test_note_outside_the_chord_follows_the_key_then_the_root():
    chord = ["G", "B", "D", "F"]
    assert spell_midi(61, "A major", chord=chord).name == "C#4"
    assert spell_midi(68, chord=chord).name == "Ab4"  # b9 over G
    assert spell_midi(61, chord=chord).name == "C#4"  # #11 over G


# The twelve rows of each rule are written out from its description (common practice, no source).
@pytest.mark.parametrize(
    ("prefer", "names"),
    [
        ("usual", "C C# D Eb E F F# G G# A Bb B"),
        ("sharp", "C C# D D# E F F# G G# A A# B"),
        ("flat", "C Db D Eb E F Gb G Ab A Bb B"),
    ],
)
def test_spelling_without_a_key(prefer, names):
    assert [spell_pitch_class(n, prefer=prefer).name for n in range(12)] == names.split()


@pytest.mark.parametrize(
    ("key", "prefer", "names"),
    [
        ("C major", "harmonic", "C Db D Eb E F F# G Ab A Bb B"),
        ("C major", "raised", "C C# D D# E F F# G G# A A# B"),
        ("C major", "lowered", "C Db D Eb E F Gb G Ab A Bb B"),
        ("A minor", "harmonic", "C C# D D# E F F# G G# A Bb B"),
        ("E major", "harmonic", "C C# D D# E F F# G G# A A# B"),
        ("Db major", "harmonic", "C Db Ebb Eb Fb F Gb G Ab Bbb Bb Cb"),
        ("Db major", "plain", "C Db D Eb E F Gb G Ab A Bb B"),
        ("G# minor", "harmonic", "B# C# C## D# E E# F# F## G# A A# B"),
    ],
)
def test_chromatic_rules_in_a_key(key, prefer, names):
    wanted = names.split()
    if prefer == "plain":  # single accidentals stay as the harmonic rule has them
        wanted[4], wanted[11] = "Fb", "Cb"
    assert [spell_pitch_class(n, key, prefer=prefer).name for n in range(12)] == wanted


# A chromatic half step is written so that it resolves by a minor second (common practice, no source).
@pytest.mark.parametrize(
    ("midis", "key", "names"),
    [
        ([67, 66, 67], "C major", "G4 F#4 G4"),
        ([67, 68, 69, 68, 67], "C major", "G4 G#4 A4 Ab4 G4"),
        ([60, 61, 62, 61, 60], "C major", "C4 C#4 D4 Db4 C4"),
        ([69, 70, 69, 68, 69], "A minor", "A4 Bb4 A4 G#4 A4"),
        ([65, 66, 67], "F major", "F4 F#4 G4"),
        ([60, 63], "C major", "C4 Eb4"),
    ],
)
def test_line_is_spelled_by_its_direction(midis, key, names):
    assert [pitch.name for pitch in spell_line(midis, key)] == names.split()


KEYS = [Key.from_fifths(fifths, mode) for fifths in range(-7, 8) for mode in ("major", "minor", "dorian", "locrian")]


@given(st.integers(0, 127), st.sampled_from(KEYS), st.sampled_from(sorted(CHROMATIC_SPELLINGS)))
@settings(deadline=None)
def test_spelled_note_sounds_as_its_number_and_keeps_to_the_key(midi, key, rule):
    pitch = spell_midi(midi, key, prefer=rule)
    assert pitch.chromatic == midi
    in_key = {note.pitch_class: note for note in key.pitch_names}
    if midi % 12 in in_key:
        assert pitch.pitch_name == in_key[midi % 12]


@given(st.integers(0, 127), st.sampled_from(sorted(KEYLESS_SPELLINGS)))
@settings(deadline=None)
def test_spelled_note_without_a_key_sounds_as_its_number(midi, rule):
    assert spell_midi(midi, prefer=rule).midi == midi


@given(st.integers(0, 127), st.builds(PitchName.of, st.sampled_from("CDEFGAB"), st.integers(-2, 2)))
@settings(deadline=None)
def test_chord_tone_keeps_its_spelling(midi, root):
    chord = [root, root.up("M3"), root.up("P5")] if root.alter < 2 else [root]
    pitch = spell_midi(midi, chord=chord)
    assert pitch.chromatic == midi
    for tone in chord:
        if tone.pitch_class == midi % 12:
            assert pitch.pitch_name == tone


@pytest.mark.parametrize("number", [-1, 128, 60.0, "60", None])
def test_what_is_no_midi_number_is_refused(number):
    with pytest.raises(PitchRangeError, match="whole number from 0 to 127"):
        spell_midi(number)


@pytest.mark.parametrize("number", [-1, 12, 1.0, "1"])
def test_what_is_no_pitch_class_is_refused(number):
    with pytest.raises(PitchError, match=r"from 0 \(C\) to 11 \(B\)"):
        spell_pitch_class(number)


def test_unknown_rule_is_refused_with_the_list():
    with pytest.raises(PitchError, match="'usual', 'sharp', 'flat'"):
        spell_midi(61, prefer="harmonic")
    with pytest.raises(PitchError, match="'harmonic', 'raised', 'lowered', 'plain'"):
        spell_midi(61, "C major", prefer="sharp")
    with pytest.raises(PitchError, match="give a chord, such as 'Gm7'"):
        spell_midi(61, chord=7)


def test_chord_may_be_given_by_its_symbol():
    # case B11: chord Gm7 is G B♭ D F
    assert [spell_midi(number, chord="Gm7").name for number in (67, 70, 74, 77)] == ["G4", "Bb4", "D5", "F5"]
    assert spell_midi(61, chord="A7").name == "C#4"


def test_same_as_a_pitch():
    assert spell_midi(61, "Ab major") == Pitch("Db4")


def test_chord_object_spells_its_notes():
    # Case B11: the chord Gm7
    for symbol in ("Gm7", "Gm7/F"):
        assert [spell_midi(midi, chord=Chord(symbol)).name for midi in (55, 58, 62, 65)] == ["G3", "Bb3", "D4", "F4"]
