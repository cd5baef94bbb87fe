"""Roles of the notes of a line: textbook figures, music21's segment tests, laws, refusals."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from music21 import pitch as m21pitch
from music21 import voiceLeading as m21voice_leading

from musictheory_nb.errors import ChordError, PitchError, ScaleError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.note_role import ROLES, note_roles
from musictheory_nb.theory.pitch import Pitch

# The figures as harmony textbooks draw them; common practice, no source. One chord, or one for each note.
FIGURES = [
    pytest.param("C4 D4 E4", "C", "chord tone, passing, chord tone", id="passing note"),
    pytest.param("G4 F4 E4", "Cmaj7", "chord tone, passing, chord tone", id="avoid note in passing"),
    pytest.param("G4 A4 B4 C5", "C", "chord tone, passing, passing, chord tone", id="two passing notes"),
    pytest.param("E4 F4 F#4 G4", "C", "chord tone, passing, passing, chord tone", id="chromatic passing notes"),
    pytest.param("E4 F4 E4", "C", "chord tone, neighbour, chord tone", id="upper neighbour"),
    pytest.param("E4 D#4 E4", "C", "chord tone, neighbour, chord tone", id="chromatic lower neighbour"),
    pytest.param("C5 D5 B4 C5", "Am", "chord tone, neighbour, neighbour, chord tone", id="double neighbour"),
    pytest.param("C4 F#4 G4", "C", "chord tone, approach, chord tone", id="half step below, by leap"),
    pytest.param("D#4 E4 G4", "C", "approach, chord tone, chord tone", id="from the start of a phrase"),
    pytest.param("C4 A4 G4", "Cmaj7", "chord tone, approach, chord tone", id="a step above, by leap"),
    pytest.param("C4 F4 D#4 E4", "C", "chord tone, enclosure, enclosure, chord tone", id="notes around a chord tone"),
    pytest.param("F4 F4 E4", "G7 C C", "chord tone, suspension, chord tone", id="4-3 suspension"),
    pytest.param("D5 D5 C5", "G C C", "chord tone, suspension, chord tone", id="9-8 suspension"),
    pytest.param("B4 B4 A4", "G7 Dm7 Dm7", "chord tone, suspension, chord tone", id="6-5 suspension"),
    pytest.param("B4 B4 C5", "G7 F F", "chord tone, suspension, chord tone", id="resolving upwards"),
    pytest.param("D5 C5 C5", "G7 G7 C", "chord tone, anticipation, chord tone", id="anticipation"),
    pytest.param("E4 A4 C5", "Cmaj7", "chord tone, tension, chord tone", id="thirteenth left by leap"),
    pytest.param("F4 E4", "Dm7", "chord tone, tension", id="ninth at the end"),
    pytest.param("E4 F4 B4", "Cmaj7", "chord tone, avoid, chord tone", id="eleventh left by leap"),
    pytest.param("G4 C5", "G7", "chord tone, avoid", id="eleventh at the end, over a dominant"),
    pytest.param("E4 C#5 A4", "Cmaj7", "chord tone, outside, tension", id="outside, left by leap"),
    pytest.param("F#4 D5", "Cmaj7#11", "tension, tension", id="tension in the symbol"),
    pytest.param("F#4 D5", "Cmaj7", "tension, tension", id="tension of another scale taught with the chord"),
    pytest.param("Eb5 Db5", "C7", "tension, tension", id="altered ninths over a plain dominant"),
    pytest.param("E4 - D4 C4", "C C C C", "chord tone, approach, chord tone", id="a rest breaks the line"),
    pytest.param("C4 D4 D4 E4", "C", "chord tone, passing, passing, chord tone", id="struck again"),
    pytest.param("E4 F4", "C N.C.", "chord tone, no chord", id="no chord"),
    pytest.param("D4 E4 G4", "Am7/D", "chord tone, tension, chord tone", id="heard from a foreign bass"),
    pytest.param("Ab4 B4 Eb5", "G7alt", "tension, chord tone, tension", id="altered tensions"),
    pytest.param("E4 Fb4", "C", "chord tone, chord tone", id="enharmonic spelling of a chord tone"),
]


def read(text: str) -> list[str | None]:
    return [None if note == "-" else note for note in text.split()]


@pytest.mark.parametrize(("line", "chords", "roles"), FIGURES)
def test_textbook_figure(line, chords, roles):
    chord_texts = chords.split()
    found = note_roles(read(line), chord_texts if len(chord_texts) > 1 else chords)
    assert [one.role for one in found] == roles.split(", ")


steps = st.lists(st.integers(-4, 4), min_size=1, max_size=7)
SPELLED = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
CHORDS = ["C", "Cmaj7", "Dm7", "G7", "G7alt", "Cm6", "Bm7b5", "C7sus4", "Edim7", "F/G"]


def line_of(moves: list[int]) -> list[Pitch]:
    sounds = [60]
    for move in moves:
        sounds.append(sounds[-1] + move)
    return [Pitch(f"{SPELLED[sound % 12]}{sound // 12 - 1}") for sound in sounds]


def segment(notes: list[Pitch]) -> m21voice_leading.ThreeNoteLinearSegment:
    return m21voice_leading.ThreeNoteLinearSegment(*(m21pitch.Pitch(note.midi).nameWithOctave for note in notes))


def may_pass(*notes: Pitch) -> bool:
    """Whether music21, which counts letters, sees a passing note in one of the spellings of three notes."""
    plain = [m21pitch.Pitch(note.midi) for note in notes]
    spellings = [{name.nameWithOctave, name.getEnharmonic().nameWithOctave} for name in plain]
    return any(
        m21voice_leading.ThreeNoteLinearSegment(*names).couldBePassingTone() for names in itertools.product(*spellings)
    )


@settings(deadline=None)
@given(steps, st.sampled_from(CHORDS))
@example([1, 2], "Cm6")
@example([-2, 1, 2], "Edim7")
def test_single_passing_notes_and_neighbours_are_so_for_music21_too(moves, chord):
    line = line_of(moves)
    found = note_roles(line, chord)
    for i in range(1, len(line) - 1):
        around = [one.role for one in found[i - 1 : i + 2]]
        if around == ["chord tone", "passing", "chord tone"] and 0 not in moves[i - 1 : i + 1]:
            low, middle, high = (note.chromatic for note in line[i - 1 : i + 2])
            assert min(low, high) < middle < max(low, high)
            assert may_pass(*line[i - 1 : i + 2])
        if around == ["chord tone", "neighbour", "chord tone"] and line[i - 1] == line[i + 1]:
            assert segment(line[i - 1 : i + 2]).couldBeNeighborTone()


@settings(deadline=None)
@given(steps, st.sampled_from(CHORDS))
def test_chord_tones_are_those_of_the_chord_whatever_the_line_does(moves, chord):
    line = line_of(moves)
    own = {tone.pitch_name.pitch_class for tone in Chord(chord).tones if tone.degree.lstrip("#b") in "1234567"}
    if chord == "F/G":
        own = {7, 0, 5}  # heard from G: root, suspended fourth, seventh
    for one in note_roles(line, chord):
        assert (one.role == "chord tone") == (one.note.pitch_class in own)
        assert one.role in ROLES
        assert one.reason.endswith(".")
        assert "#" not in one.reason


@settings(deadline=None)
@given(steps, st.sampled_from(CHORDS), st.sampled_from(["P5", "M2", "-m3", "m2", "P8"]))
def test_roles_move_with_line_and_chord(moves, chord, interval):
    here = note_roles(line_of(moves), chord)
    there = note_roles([note.up(interval) for note in line_of(moves)], Chord(chord).up(interval))
    assert [(one.role, one.degree) for one in here] == [(one.role, one.degree) for one in there]


def test_long_notes_are_rested_on():
    # "Do not rest on an avoid note": common practice.
    short = note_roles(["G4", "F4", "E4"], "Cmaj7", durations_quarters=[1, 1, 1])
    long = note_roles(["G4", "F4", "E4"], "Cmaj7", durations_quarters=[1, Fraction(2), 1])
    assert [short[1].role, long[1].role] == ["passing", "avoid"]
    assert note_roles(["C4", "D4", "E4"], "Cmaj7", durations_quarters=[1, 4, 1])[1].role == "tension"
    assert note_roles(["F4", "F4", "E4"], ["G7", "C", "C"], durations_quarters=[2, 2, 2])[1].role == "suspension"


def test_key_decides_what_is_avoided():
    # E over Em7's root is safe everywhere; F# is in E Dorian, but outside E Phrygian, the scale of iii in C.
    assert note_roles(["E4", "F#4", "B4"], "Em7")[1].role == "tension"
    assert note_roles(["E4", "F#4", "B4"], "Em7", key="C")[1].role == "outside"
    assert note_roles(["E4", "F4", "B4"], "Em7", key="C")[1].role == "avoid"


def test_degrees_and_reasons_name_the_notes():
    roles = note_roles(["E4", "F4", "G4", "A4"], "Cmaj7")
    assert [one.degree for one in roles] == ["3", "11", "5", "13"]
    assert roles[1].reason == "F (11) passes by step from E to G."
    assert note_roles(["C#4", "A4"], "C")[0].degree == "#1"
    assert note_roles(["Db4", "A4"], "C")[0].degree == "b9"


def test_line_without_notes_has_no_roles():
    assert note_roles([], "C") == []
    assert note_roles([None, None], "C") == []


def test_what_cannot_be_read_is_refused():
    with pytest.raises(ChordError, match="1 for 2 notes"):
        note_roles(["C4", "D4"], ["C"])
    with pytest.raises(PitchError, match="no octave"):
        note_roles(["C"], "C")
    with pytest.raises(ChordError):
        note_roles(["C4"], "Cxyz")
    with pytest.raises(ScaleError, match="1 for 2 notes"):
        note_roles(["C4", "D4"], "C", durations_quarters=[1])
