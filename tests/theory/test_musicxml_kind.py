"""MusicXML kinds with their degrees, against the W3C schema's wording and music21's reading of the same elements."""

import csv
from pathlib import Path

import pytest
from music21.harmony import ChordStepModification, ChordSymbol

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.musicxml_kind import MUSICXML_KINDS

KINDS_FILE = Path(__file__).parents[1] / "published" / "musicxml_kinds.tsv"


def published():
    with open(KINDS_FILE, encoding="utf-8") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


def test_every_kind_value_of_the_schema_is_known():
    assert [row["kind"] for row in published()] == list(MUSICXML_KINDS)
    assert len(MUSICXML_KINDS) == 33


STATED = [row for row in published() if not row["degrees"].startswith("(")]


@pytest.mark.parametrize("row", STATED, ids=lambda row: row["kind"])
def test_kind_has_the_degrees_that_the_schema_states(row):
    assert len(STATED) == 26
    chord = Chord.from_musicxml("C", row["kind"])
    assert " ".join(chord.degrees) == row["degrees"]
    assert chord.musicxml_kind == row["kind"]
    assert chord.musicxml_degrees == ()


#: Functional kinds on their own lowest tone in C (common practice): root, kind, names, bass.
FUNCTIONAL = [
    ("Db", "Neapolitan", "Db F Ab", "F"),
    ("Ab", "Italian", "Ab C F#", "Ab"),
    ("Ab", "French", "Ab C D F#", "Ab"),
    ("Ab", "German", "Ab C Eb F#", "Ab"),
    ("F", "Tristan", "F B D# G#", "F"),  # the example of musicxml_kinds.tsv
]


@pytest.mark.parametrize(("root", "kind", "names", "bass"), FUNCTIONAL)
def test_functional_kind(root, kind, names, bass):
    chord = Chord.from_musicxml(root, kind)
    assert {tone.name for tone in chord.tones} == set(names.split())
    assert chord.bass.name == bass
    assert Chord.from_musicxml(chord.root, chord.musicxml_kind, chord.musicxml_degrees, chord.bass) == chord
    assert Chord(chord.symbol) == chord


def test_none_is_no_chord_and_other_is_made_of_its_degrees():
    assert Chord.from_musicxml(None, "none").is_no_chord
    added = Chord.from_musicxml("C", "other", [(4, 0, "add"), (7, 0, "add"), (9, -1, "add")])
    assert added.degrees == ("1", "4", "b7", "b9")


#: Kind, degrees (value, alter, type), spelled names. An added 7 is a minor seventh: the schema counts from a dominant.
MODIFIED = [
    ("dominant", [(9, -1, "add")], "C E G Bb Db"),
    ("dominant", [(5, 1, "alter"), (9, 1, "add")], "C E G# Bb D#"),
    ("dominant-13th", [(11, 1, "alter")], "C E G Bb D F# A"),
    ("dominant-13th", [(11, 0, "subtract")], "C E G Bb D A"),
    ("suspended-fourth", [(7, 0, "add")], "C F G Bb"),
    ("major", [(9, 0, "add")], "C E G D"),
    ("minor", [(7, 1, "add")], "C Eb G B"),
    ("half-diminished", [(9, 0, "add")], "C Eb Gb Bb D"),
]


@pytest.mark.parametrize(("kind", "degrees", "names"), MODIFIED)
def test_degrees_change_the_kind(kind, degrees, names):
    chord = Chord.from_musicxml("C", kind, degrees)
    assert {tone.name for tone in chord.tones} == set(names.split())
    assert Chord.from_musicxml("C", chord.musicxml_kind, chord.musicxml_degrees) == chord


@pytest.mark.parametrize("kind", ["major", "minor", "dominant", "major-seventh", "minor-seventh"])
@pytest.mark.parametrize("alter", [-1, 1])
def test_altered_fifth_agrees_with_music21(kind, alter):
    reference = ChordSymbol(root="E-", kind={"dominant": "dominant-seventh"}.get(kind, kind))
    reference.addChordStepModification(ChordStepModification("alter", 5, alter), updatePitches=True)
    chord = Chord.from_musicxml("Eb", kind, [(5, alter, "alter")])
    assert {tone.name for tone in chord.tones} == {pitch.name.replace("-", "b") for pitch in reference.pitches}


@pytest.mark.parametrize(
    ("root", "kind", "degrees", "message"),
    [
        ("C", "dominant-seventh", (), "kind 'dominant-seventh'"),
        (None, "major", (), "needs a root"),
        ("C", "major", [(7, 0, "subtract")], "none to subtract"),
        ("C", "major", [(5, 0, "raise")], "degree type 'raise'"),
        ("C", "major", [(15, 0, "add")], "degree 15"),
        ("C", "pedal", [(1, 0, "subtract")], "no tone"),
        ("C", "dominant", [(9, -1)], "value, alter, type"),
        ("C", "dominant", [9], "value, alter, type"),
        ("C", "dominant", None, "value, alter, type"),
        ("C", ["dominant"], (), "no kind value"),
    ],
)
def test_malformed_harmony_is_refused(root, kind, degrees, message):
    with pytest.raises(ChordError, match=message):
        Chord.from_musicxml(root, kind, degrees)
