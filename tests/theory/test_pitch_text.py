"""German and fixed-do pitch names, against music21's names in German, French, Italian and Spanish."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21.pitch import Pitch as ReferencePitch

from musictheory_nb.errors import AmbiguousError, PitchError
from musictheory_nb.theory.pitch import Pitch, PitchName
from musictheory_nb.theory.pitch_text import (
    PITCH_NAME_SYSTEMS,
    read_pitch,
    read_pitch_name,
    split_pitch_name,
    write_pitch,
)

REFERENCE_ACCIDENTALS = {-3: "---", -2: "--", -1: "-", 0: "", 1: "#", 2: "##", 3: "###"}  # as music21 writes them
NAMES = [PitchName.of(step, alter) for step in "CDEFGAB" for alter in range(-3, 4)]


@pytest.mark.parametrize("name", NAMES, ids=str)
def test_german_name_agrees_with_music21(name):
    german = ReferencePitch(name.step + REFERENCE_ACCIDENTALS[name.alter]).german
    assert read_pitch_name(german, "german") == name
    assert write_pitch(name, "german") == german


@pytest.mark.parametrize("name", [n for n in NAMES if abs(n.alter) < 3], ids=str)
@pytest.mark.parametrize("language", ["french", "italian", "spanish"])
def test_fixed_do_name_of_music21_is_read(name, language):
    words = getattr(ReferencePitch(name.step + REFERENCE_ACCIDENTALS[name.alter]), language)
    assert read_pitch_name(words, "fixed do") == name


# German usage (common practice, no source).
@pytest.mark.parametrize(
    ("german", "english"),
    [
        ("H", "B"), ("h", "B"), ("B", "Bb"), ("b", "Bb"), ("His", "B#"), ("Heses", "Bbb"), ("Es", "Eb"), ("es", "Eb"),
        ("Eses", "Ebb"), ("As", "Ab"), ("Asas", "Abb"), ("Ases", "Abb"), ("Ais", "A#"), ("Fisis", "F##"), ("F#", "F#"),
        ("Ces", "Cb"), ("Fes", "Fb"), ("Cisis", "C##"), ("Eb", "Eb"), ("G♯", "G#"),
    ],
)  # fmt: skip
def test_german_names(german, english):
    assert read_pitch_name(german, "german").name == english
    assert read_pitch(f"{german}4", "german").name == f"{english}4"


@pytest.mark.parametrize("text", ["Bb", "B♭", "Bb4"])
def test_german_b_flat_sign_is_ambiguous(text):
    with pytest.raises(AmbiguousError, match="English Bbb") as refusal:
        read_pitch(text, "german")
    assert refusal.value.readings == ("B", "Heses")


@pytest.mark.parametrize("text", ["Bes", "Cas", "Ees", "Hb", "H#", "B#", "Fis#", "X", "", "Fisisisis", "Do"])
def test_what_is_no_german_name_is_refused(text):
    with pytest.raises(PitchError):
        read_pitch_name(text, "german")


# Romance-language usage (common practice, no source).
@pytest.mark.parametrize(
    ("text", "english"),
    [
        ("Do", "C"), ("ut", "C"), ("Ré", "D"), ("re", "D"), ("Sol", "G"), ("Si", "B"), ("Ti", "B"), ("Sib", "Bb"), ("Si♭", "Bb"),
        ("fa#", "F#"), ("Fa dièse", "F#"), ("mi bémol", "Eb"), ("la bemolle", "Ab"), ("do sostenido", "C#"),
        ("sol double dièse", "G##"), ("si doppio bemolle", "Bbb"), ("Solb", "Gb"), ("La♯", "A#"), ("mi b", "Eb"), ("Sol ♯", "G#"), ("Fax", "F##"),
    ],
)  # fmt: skip
def test_fixed_do_names(text, english):
    assert read_pitch_name(text, "fixed do").name == english


def test_accent_may_be_a_combining_mark():
    # Unicode: some systems store accented letters decomposed (NFD)
    assert read_pitch_name("Re\u0301", "fixed do") == read_pitch_name("R\u00e9", "fixed do") == PitchName("D")
    assert read_pitch_name("mi be\u0301mol", "fixed do") == PitchName("Eb")


@pytest.mark.parametrize("text", ["C", "Dob#", "do mineur", "fa dièse bémol", "so so", "double do", "sol dièse#"])
def test_what_is_no_fixed_do_name_is_refused(text):
    with pytest.raises(PitchError):
        read_pitch_name(text, "fixed do")


def test_german_b_is_never_read_silently_in_english():
    for text in ("H", "Hes", "Fis", "Es"):
        with pytest.raises(PitchError, match="German"):
            read_pitch_name(text)


pitches = st.builds(Pitch.of, st.sampled_from("CDEFGAB"), st.integers(-3, 3), st.integers(-4, 11))


@given(pitches, st.sampled_from(sorted(PITCH_NAME_SYSTEMS)), st.booleans())
@settings(deadline=None)
def test_every_written_pitch_reads_back(pitch, names, printed):
    assert read_pitch(write_pitch(pitch, names, printed=printed), names) == pitch
    name = pitch.pitch_name
    assert read_pitch_name(write_pitch(name, names, printed=printed), names) == name


def test_unknown_system_is_refused_everywhere():
    for call in (
        lambda: read_pitch("C4", "dutch"),
        lambda: read_pitch_name("C", "dutch"),
        lambda: write_pitch(Pitch("C4"), "dutch"),
        lambda: split_pitch_name("C7", "dutch"),
    ):
        with pytest.raises(PitchError, match="names 'dutch': must be one of"):
            call()


def test_octave_is_asked_for_and_refused():
    with pytest.raises(PitchError, match="has no octave number"):
        read_pitch("H", "german")
    with pytest.raises(PitchError, match="has an octave number"):
        read_pitch_name("H4", "german")


# Case A25 and its kind: the root of a chord symbol in German and Romance charts (common practice, no source).
@pytest.mark.parametrize(
    ("text", "names", "root", "rest"),
    [
        ("H7", "german", "B", "7"), ("B7", "german", "Bb", "7"), ("Es7", "german", "Eb", "7"), ("Esus4", "german", "E", "sus4"),
        ("Asus", "german", "A", "sus"), ("Essus4", "german", "Eb", "sus4"), ("As7", "german", "Ab", "7"),
        ("Fism7", "german", "F#", "m7"), ("F#m7", "german", "F#", "m7"), ("Adim", "german", "A", "dim"), ("Dm", "german", "D", "m"),
        ("Solm7", "fixed do", "G", "m7"), ("Sib7", "fixed do", "Bb", "7"), ("Do", "fixed do", "C", ""), ("Misus4", "fixed do", "E", "sus4"),
        ("Bb7", "english", "Bb", "7"), ("F♯m", "english", "F#", "m"), ("Abb", "english", "Abb", ""), ("C", "english", "C", ""),
        ("Gsus", "english", "G", "sus"),
    ],
)  # fmt: skip
def test_root_is_split_from_a_chord_text(text, names, root, rest):
    assert split_pitch_name(text, names) == (PitchName(root), rest)


def test_root_is_refused():
    with pytest.raises(PitchError, match="H is German for B; write 'B7'"):
        split_pitch_name("H7")
    with pytest.raises(AmbiguousError, match="Heses"):
        split_pitch_name("Bb7", "german")
    for text, names in (("", "english"), ("7", "english"), ("m7", "german"), ("X7", "fixed do")):
        with pytest.raises(PitchError, match="begin with a note name"):
            split_pitch_name(text, names)
