"""Voicings, guide-tone lines and four-part settings (taught practice; common practice, no source)."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import ChordError, VoiceLeadingError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.four_part import FOUR_VOICES, write_four_parts
from musictheory_nb.theory.guide_tones import guide_tone_lines
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.part_writing import part_faults
from musictheory_nb.theory.part_writing_rule import VOICE_RANGES
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.roman_analysis import roman_progression
from musictheory_nb.theory.smooth_voicing import PROGRESSION_VOICINGS, best_way, voice_progression
from musictheory_nb.theory.voice_leading import movement_semitones
from musictheory_nb.theory.voicing import VOICINGS, positions, voicing

SEVENTHS = [
    "Cmaj7",
    "Dm7",
    "G7",
    "Bm7b5",
    "F#dim7",
    "Ebmaj7",
    "C6",
    "Am6",
    "G7sus4",
    "D9",
    "Bb13",
    "E7alt",
    "A7b9",
    "Fm(maj7)",
]


def names(pitches) -> str:
    return " ".join(pitch.name for pitch in pitches)


# Voicings as keyboard and arranging courses write them out; from memory.
@pytest.mark.parametrize(("symbol", "kind", "position", "pitches"), [
    ("Cmaj7", "shell", 0, "C3 E3 B3"),
    ("Cmaj7", "shell", 1, "C3 B3 E4"),
    ("C6", "shell", 0, "C3 E3 A3"),
    ("Cmaj7", "close", 0, "C3 E3 G3 B3"),
    ("Cmaj7", "close", 2, "G3 B3 C4 E4"),
    ("Cmaj7", "drop 2", 0, "G3 C4 E4 B4"),
    ("Cmaj7", "drop 2", 1, "B3 E4 G4 C5"),
    ("Cmaj7", "drop 2", 2, "C3 G3 B3 E4"),
    ("Cmaj7", "drop 2", 3, "E3 B3 C4 G4"),
    ("Cmaj7", "drop 3", 0, "E3 C4 G4 B4"),
    ("Dm7", "rootless A", 0, "F3 A3 C4 E4"),
    ("Dm7", "rootless B", 0, "C3 E3 F3 A3"),
    ("G7", "rootless A", 0, "B3 E4 F4 A4"),
    ("G7", "rootless B", 0, "F3 A3 B3 E4"),
    ("Cmaj7", "rootless A", 0, "E3 G3 B3 D4"),
    ("Cmaj7", "rootless B", 0, "B3 D4 E4 G4"),
    ("G7b9", "rootless A", 0, "B3 Eb4 F4 Ab4"),
    ("Bm7b5", "rootless A", 0, "D3 F3 A3 B3"),
])  # fmt: skip
def test_taught_voicing(symbol, kind, position, pitches):
    assert names(voicing(symbol, kind, position)) == pitches


@pytest.mark.parametrize("kind", VOICINGS)
@pytest.mark.parametrize("symbol", SEVENTHS)
def test_voicings_rise_and_hold_third_and_seventh(symbol, kind):
    chord = Chord(symbol)
    for position in range(positions(kind)):
        pitches = voicing(chord, kind, position, "E3")
        assert all(low.chromatic < high.chromatic for low, high in itertools.pairwise(pitches))
        assert pitches[0].chromatic >= Pitch("E3").chromatic
        degrees = {chord.degree_of(pitch) for pitch in pitches}
        assert degrees & {"3", "b3", "4"}
        assert degrees & {"7", "b7", "bb7", "6"}
        assert ("1" in degrees) == (not kind.startswith("rootless") or "b5" in chord.degrees)


@given(symbol=st.sampled_from(SEVENTHS), position=st.integers(0, 3))
def test_drop_two_is_the_close_voicing_with_one_note_dropped(symbol, position):
    close, dropped = voicing(symbol, "close", position, "C4"), voicing(symbol, "drop 2", position, "C3")
    second = close[-2]
    expected = sorted([*close[:-2], close[-1], Pitch.of(second.step, second.alter, second.octave - 1)])
    apart = [high.chromatic - low.chromatic for low, high in itertools.pairwise(expected)]
    assert [high.chromatic - low.chromatic for low, high in itertools.pairwise(dropped)] == apart


def test_voicing_refusals():
    with pytest.raises(
        VoiceLeadingError, match=r"chord 'Cm': has no seventh or sixth; write one, such as 'Cm6' or 'Cm7'"
    ):
        voicing("Cm", "drop 2")
    with pytest.raises(VoiceLeadingError, match="position 4: drop 2 has positions 0 to 3"):
        voicing("C7", "drop 2", 4)
    with pytest.raises(VoiceLeadingError, match="no notes to voice"):
        voicing("N.C.", "shell")
    with pytest.raises(ChordError, match="chord 'H7'"):
        voicing("H7")


# progressions


@pytest.mark.parametrize("kind", PROGRESSION_VOICINGS)
def test_progression_is_the_smoothest_of_all(kind):
    chords = ["Dm7", "G7", "Cmaj7"]
    found = voice_progression(chords, kind, "C3", "E5")
    total = sum(movement_semitones(a, b) for a, b in itertools.pairwise(found))
    kinds = ("rootless A", "rootless B") if kind == "rootless" else (kind,)
    columns = [
        [tuple(Pitch.of(p.step, p.alter, p.octave + up) for p in voicing(chord, each, position, "C3"))
         for each in kinds for position in range(positions(each)) for up in (0, 1)]
        for chord in chords
    ]  # fmt: skip
    fits = [[way for way in column if way[-1].chromatic <= Pitch("E5").chromatic] for column in columns]
    ways = itertools.product(*fits)
    assert total == min(sum(movement_semitones(a, b) for a, b in itertools.pairwise(way)) for way in ways)


def test_progression_refusals():
    with pytest.raises(VoiceLeadingError, match=r"chords \[\]: give at least one"):
        voice_progression([])
    with pytest.raises(VoiceLeadingError, match="no drop 3 voicing fits from C3 to G3"):
        voice_progression(["Cmaj7"], "drop 3", "C3", "G3")


@given(st.lists(st.lists(st.integers(0, 30), min_size=1, max_size=4), min_size=1, max_size=4))
def test_best_way_is_the_best_of_all(columns):
    def cost(way):
        return sum(abs(b - a) for a, b in itertools.pairwise(way)) + sum(number / 7 for number in way)

    found = best_way(columns, lambda n: n / 7, lambda a, b: abs(b - a), lambda a, b: abs(b - a) / 2)
    assert cost(found) == pytest.approx(min(cost(way) for way in itertools.product(*columns)))


# guide tones


@pytest.mark.parametrize(("chords", "upper", "lower"), [
    # ii V I: the seventh falls to the third, the other stays
    ("Dm7 G7 Cmaj7", "C4 B3 B3", "F3 F3 E3"),
    # round the circle of fifths of C, chords of the key
    ("Am7 Dm7 G7 Cmaj7 Fmaj7 Bm7b5 E7 Am7", "G4 F4 F4 E4 E4 D4 D4 C4", "C4 C4 B3 B3 A3 A3 G#3 G3"),
    # the minor ii V i
    ("Bm7b5 E7 Am6", "A4 G#4 F#4", "D4 D4 C4"),
    # tritone substitute: the guide tones of G7 and Db7 are the same, and fall by half steps
    ("Dm7 Db7 Cmaj7", "C4 Cb4 B3", "F3 F3 E3"),
    # a triad at the end: the leading tone goes to the root
    ("G7 C", "F4 E4", "B3 C4"),
    ("G7sus4 G7 C6", "F4 F4 E4", "C4 B3 A3"),
])  # fmt: skip
def test_taught_guide_tone_lines(chords, upper, lower):
    first, second = guide_tone_lines(chords.split())
    assert (" ".join(first.names), " ".join(second.names)) == (upper, lower)
    assert first.is_stepwise
    assert second.is_stepwise


def test_lines_may_begin_with_the_third_above():
    first, second = guide_tone_lines(["Dm7", "G7", "Cmaj7"], upper="third")
    assert (first.names, second.names) == (["F4", "F4", "E4"], ["C4", "B3", "B3"])
    assert first.degrees == ["b3", "b7", "3"]


@given(st.lists(st.sampled_from(SEVENTHS), min_size=1, max_size=6))
def test_guide_tones_are_thirds_and_sevenths(chords):
    for line in guide_tone_lines(chords):
        assert len(line.tones) == len(chords)
        for tone in line.tones:
            assert tone.chord.degree_of(tone.pitch) == tone.degree
            assert tone.degree in {"3", "b3", "4", "7", "b7", "bb7", "6"}
    for pair in zip(*(line.tones for line in guide_tone_lines(chords)), strict=True):
        assert {tone.degree in ("3", "b3", "4") for tone in pair} == {True, False}


def test_guide_tone_refusals():
    with pytest.raises(VoiceLeadingError, match="chord 'C5': has no third"):
        guide_tone_lines(["C5"])
    with pytest.raises(VoiceLeadingError, match="give at least one"):
        guide_tone_lines([])


# four parts

PROGRESSIONS = [
    ("C major", "I IV V7 I"),
    ("D major", "I V6 vi IV ii65 V7 I"),
    ("A minor", "i iiø65 Cad64 V7 i"),
    ("G minor", "i N6 V7 VI"),
    ("C major", "I vi It6 V I"),
    ("Eb major", "I Ger65 Cad64 V7 I"),
    ("F major", "I V7/ii ii V43 I6 vii°6 I"),
    ("A minor", "i iv VII III VI ii° V7 i"),
    ("E major", "I IV6 V65 I ii6 V I"),
    ("C minor", "i V43 i6 iiø65 V i"),
]


@pytest.mark.parametrize(("key", "chords"), PROGRESSIONS)
def test_setting_has_no_faults_and_all_tones(key, chords):
    written = write_four_parts(chords.split(), key)
    parts = {voice: [getattr(chord, voice) for chord in written] for voice in FOUR_VOICES}
    faults = [fault.reason for fault in part_faults(parts, key, chords.split()) if fault.severity == "fault"]
    assert faults == []
    for chord, numeral in zip(written, roman_progression(chords.split(), key), strict=True):
        assert chord.bass.pitch_name == numeral.bass
        assert {pitch.pitch_name for pitch in chord} <= set(numeral.pitch_names)
        assert len({pitch.pitch_name for pitch in chord}) >= 3
        for voice in FOUR_VOICES:
            low, high = VOICE_RANGES[voice]
            assert Pitch(low) <= getattr(chord, voice) <= Pitch(high)


@settings(max_examples=15, deadline=None)
@given(row=st.sampled_from(PROGRESSIONS[:4]), up=st.sampled_from(["M2", "-M2", "m2", "-m2"]))
def test_settings_in_other_keys_have_no_faults_either(row, up):
    key, chords = row
    moved = Key.of(Key(key).tonic.up(up), Key(key).mode)
    written = write_four_parts(chords.split(), moved)
    parts = {voice: [getattr(chord, voice) for chord in written] for voice in FOUR_VOICES}
    assert [f.reason for f in part_faults(parts, moved, chords.split()) if f.severity == "fault"] == []


def test_a_melody_can_be_set():
    melody = ["E4", "F4", "D4", "C4"]
    written = write_four_parts(["I", "ii6", "V", "I"], "C major", soprano=melody)
    assert [chord.soprano.name for chord in written] == melody
    with pytest.raises(VoiceLeadingError, match="chord 'G': cannot be set for four voices under C5"):
        write_four_parts(["V"], "C major", soprano=["C5"])
    with pytest.raises(VoiceLeadingError, match="give one note for each of the 1 chords"):
        write_four_parts(["V"], "C major", soprano=[])
    with pytest.raises(VoiceLeadingError, match="chord 'G9': has 5 tones"):
        write_four_parts(["G9"], "C major")
