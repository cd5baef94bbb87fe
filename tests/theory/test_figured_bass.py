"""Figured bass against music21 and taught examples, and both ways."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.figuredBass.realizerScale import FiguredBassScale

from musictheory_nb.errors import KeyNameError, PitchError, RomanNumeralError
from musictheory_nb.theory.figured_bass import figured_notes, figures_of
from musictheory_nb.theory.key import Key

FIGURES = ["", "6", "6,4", "7", "6,5", "4,3", "4,2", "2", "5", "6,3", "6,4,3", "6,4,2"]
KEYS = [("C", "major"), ("Eb", "major"), ("A", "major"), ("F#", "minor"), ("G", "minor"), ("A", "minor")]


@pytest.mark.parametrize("figures", FIGURES)
@pytest.mark.parametrize(("tonic", "mode"), KEYS)
def test_notes_above_every_bass_of_the_scale_agree_with_music21(tonic, mode, figures):
    reference = FiguredBassScale(tonic.replace("b", "-"), mode)
    for bass in Key.of(tonic, mode).names:
        theirs = reference.getPitchNames(bass.replace("b", "-") + "3", figures or None)
        assert {note.name for note in figured_notes(bass, figures, f"{tonic} {mode}")} == {
            name.replace("-", "b") for name in theirs
        }


@pytest.mark.parametrize("figures", ["#6", "6,#5", "#", "b7", "6,b5", "#4,2", "#6,4,3"])
def test_accidentals_agree_with_music21_where_the_signature_has_none(figures):
    # elsewhere music21 takes a sharp as "raise by a half step", we as "make it sharp": Eb with a sharp is E# here
    reference = FiguredBassScale("C", "major")
    for bass in Key("C major").names:
        theirs = reference.getPitchNames(bass + "3", figures.replace("b", "-"))
        ours = figured_notes(bass, figures, "C major")
        assert {note.name for note in ours} == {name.replace("-", "b") for name in theirs}


# Examples of harmony courses (common practice, no source): bass, figures, key, notes from the bass up.
@pytest.mark.parametrize(("bass", "figures", "key", "notes"), [
    ("E", "#", "A minor", "E G# B"),
    ("D", "♯", "G minor", "D F# A"),
    ("G", "n", "C minor", "G B D"),
    ("G", "7 ♮", "C minor", "G B D F"),
    ("Ab", "6n", "C major", "Ab C F"),
    ("C", "6+", "D minor", "C E A#"),
    ("F", "4+/2", "C minor", "F G B D"),
    ("C", "5/4", "C major", "C F G"),
    ("C", "4", "C major", "C F G"),
    ("G", "9", "C major", "G B D A"),
    ("B", "65", "C major", "B D F G"),
    ("F#", "6 5", "G major", "F# A C D"),
])  # fmt: skip
def test_taught_examples(bass, figures, key, notes):
    assert sorted(note.name for note in figured_notes(bass, figures, key)) == sorted(notes.split())


# Figures of the inversions (common practice, no source): C major and G7 in C, vii°7 and V in A minor.
@pytest.mark.parametrize(("notes", "key", "figures"), [
    ("C E G", "C major", ""), ("E G C", "C major", "6"), ("G C E", "C major", "6/4"),
    ("G B D F", "C major", "7"), ("B D F G", "C major", "6/5"), ("D F G B", "C major", "4/3"), ("F G B D", "C major", "4/2"),
    ("E G# B", "A minor", "#"), ("B E G#", "A minor", "#6/4"), ("G# B D F", "A minor", "7"), ("D E G# B", "A minor", "#4/2"),
])  # fmt: skip
def test_figures_of_inversions(notes, key, figures):
    assert figures_of(notes.split(), key) == figures


@given(
    key=st.sampled_from([f"{tonic} {mode}" for tonic, mode in KEYS]),
    degree=st.integers(0, 6),
    figures=st.sampled_from(
        [text for text in FIGURES if text not in ("5", "6,3")] + ["5,4", "9", "9,7", "#6", "b7", "n", "6,n4", "7,#"]
    ),
)
def test_figures_read_back(key, degree, figures):
    bass = Key(key).names[degree]
    notes = figured_notes(bass, figures, key)
    assert set(figured_notes(bass, figures_of(notes, key), key)) == set(notes)


@pytest.mark.parametrize("figures", ["+6", "H", "14", "6-5", "#6#", "six"])
def test_what_is_no_figure_is_refused_and_quoted(figures):
    with pytest.raises(RomanNumeralError, match=re.escape(f"figures {figures!r}")):
        figured_notes("C", figures, "C major")


def test_other_refusals():
    with pytest.raises(RomanNumeralError, match="figures 6: write them as text"):
        figured_notes("C", 6, "C major")
    with pytest.raises(PitchError, match="pitch name 'H'"):
        figured_notes("H", "6", "C major")
    with pytest.raises(KeyNameError, match="key 'H'"):
        figured_notes("C", "6", "H")
