"""Harte labels: the distinct labels of an open annotated corpus against two reference libraries.

Corpus: McGill Billboard 2.0 (CC0; Burgoyne, Wild, Fujinaga, ISMIR 2011). References: `harte-library` for the spelled
notes, `mir_eval` for the pitch classes that its one octave keeps.
"""

import csv
from pathlib import Path

import pytest
from harte.harte import Harte
from mir_eval.chord import encode

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.harte import HARTE_SHORTHANDS, read_harte

LABELS_FILE = Path(__file__).parents[1] / "published" / "billboard" / "harte_labels.tsv"
#: The one malformed label of the corpus (its SOURCE.txt names it).
MALFORMED = "F:b3)"


def corpus():
    with open(LABELS_FILE, encoding="utf-8") as file:
        return [row["label"] for row in csv.DictReader(file, delimiter="\t")]


LABELS = [label for label in corpus() if label != MALFORMED]


def test_the_corpus_has_914_well_formed_labels_and_one_malformed():
    assert len(LABELS) == 914
    assert MALFORMED in corpus()
    with pytest.raises(ChordError, match=r"Harte label 'F:b3\)'"):
        Chord.from_harte(MALFORMED)


@pytest.mark.parametrize("label", LABELS)
def test_label_agrees_with_reference_note_for_note(label):
    chord = Chord.from_harte(label)
    reference = Harte(label)
    assert set(chord.names) == {pitch.name.replace("-", "b") for pitch in reference.pitches}
    if not chord.is_no_chord:
        assert chord.root.name == reference.root().name.replace("-", "b")
        assert chord.bass.name == reference.bass().name.replace("-", "b")


@pytest.mark.parametrize("label", LABELS)
def test_label_is_written_back_unchanged_in_meaning(label):
    chord = Chord.from_harte(label)
    assert Chord.from_harte(chord.harte) == chord
    assert {pitch.name for pitch in Harte(chord.harte).pitches} == {pitch.name for pitch in Harte(label).pitches}
    assert Chord(chord.symbol) == chord
    kind, degrees = chord.musicxml_kind, chord.musicxml_degrees
    assert Chord.from_musicxml(chord.root, kind, degrees, chord.bass) == chord


@pytest.mark.parametrize("label", LABELS)
def test_pitch_classes_agree_with_mir_eval_where_it_keeps_them(label):
    root, bitmap, bass = encode(label, reduce_extended_chords=True)
    chord = Chord.from_harte(label)
    if chord.is_no_chord:
        assert root == -1
        return
    assert chord.root.pitch_class == root
    assert (chord.bass.pitch_class - root) % 12 == bass % 12
    kept = {(root + step) % 12 for step, on in enumerate(bitmap) if on > 0}
    assert kept | {(root + bass) % 12} == chord.pitch_classes


@pytest.mark.parametrize(("shorthand", "degrees"), HARTE_SHORTHANDS.items())
def test_shorthand_of_2005_agrees_with_the_reference_map(shorthand, degrees):
    from harte.mappings import SHORTHAND_DEGREE_MAP

    assert degrees == ("1", *SHORTHAND_DEGREE_MAP[shorthand])
    assert len(HARTE_SHORTHANDS) == len(SHORTHAND_DEGREE_MAP) == 16


#: Grammar of Harte et al. 2005 beyond what the corpus holds: label, degrees, bass.
GRAMMAR = [
    ("C", "1 3 5", "C"),
    ("C/3", "1 3 5", "E"),
    ("G:(3,5,b7,b9)", "1 3 5 b7 b9", "G"),
    ("C:maj(*3)", "1 5", "C"),
    ("C:(*3)", "1 5", "C"),
    ("C:min7(*b3,4)", "1 4 5 b7", "C"),
    ("D#:7(#9)/b7", "1 3 5 b7 #9", "C#"),
    ("Cbb:maj", "1 3 5", "Cbb"),
]


@pytest.mark.parametrize(("label", "degrees", "bass"), GRAMMAR)
def test_grammar_is_read(label, degrees, bass):
    root, read, read_bass = read_harte(label)
    assert (" ".join(read), read_bass.name) == (degrees, bass)
    assert root.name == label.split(":")[0].split("/")[0]


@pytest.mark.parametrize(
    "label", ["X", "C:", "C:maj7(", "C:foo", "C:/3", "Bb:dim7/F", "H:maj", "C:maj(*7)", "C:(b14)", "c:maj", "", None, 5]
)
def test_malformed_label_is_refused(label):
    with pytest.raises(ChordError, match="Harte label"):
        Chord.from_harte(label)


def test_a_label_with_a_colon_is_read_by_the_constructor():
    assert Chord("A:min7/b3") == Chord("Am7/C")


def test_a_seventh_chord_without_third_is_written_from_the_dominant():
    # Harte et al. 2005: * takes a degree out of a shorthand; C7 without its third is the C7 shorthand less 3
    assert Chord("C7(no3)").harte == "C:7(*3)"
    assert Chord("Am(no5)").harte == "A:(b3)"
