"""The small score files of `tests/score/cases`, with the right values that stand beside them in the collection's table.

Source: kind E of the project's collection of inputs on which general readers fail (`cases.tsv`), and for the rest
MusicXML 4.0; what players do is common practice.
"""

from fractions import Fraction
from pathlib import Path

import pytest

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score

CASES = Path(__file__).parent / "cases"


def case(name):
    return load_score(CASES / name)


@pytest.mark.parametrize("name", ["pickup.musicxml", "pickup_num1.musicxml"])
def test_pickup_is_on_its_beat_and_the_first_full_bar_is_bar_one(name):
    """E01."""
    piece = case(name)
    assert [measure.number for measure in piece.measures] == ["0", "1", "2"]
    assert piece.measures[0].is_pickup
    assert piece.notes[0].beat == 3
    assert [note.beat for note in piece.notes_of(1, 1)] == [1, 2, 3]
    assert [measure.length for measure in piece.measures] == [1, 3, 2]
    assert piece.measures[0].offset == 2


def test_segno_ending_and_coda_are_played_as_players_do():
    """E03."""
    piece = case("dsvolta.musicxml")
    assert [note.written.step for note in piece.played().notes] == list("GABADAC")
    assert [measure.number for measure in piece.played().measures] == ["1", "2", "3", "2", "4", "2", "5"]
    assert [measure.time for measure in piece.played().measures] == [1, 1, 1, 2, 1, 3, 1]


def test_chord_symbols_stand_at_their_offset():
    """E05."""
    chords = case("midchord.musicxml").chord_symbols
    assert [(chord.text, chord.measure, chord.beat) for chord in chords] == [
        ("C", 0, 1),
        ("G7", 0, 3),
        ("Am", 1, 1),
        ("Bb7", 1, 3),
    ]


def test_ties_of_two_voices_are_joined():
    """E07."""
    joined = case("voices.musicxml").joined_notes
    spans = {step: [(n.start, n.end) for n in joined if n.written.step == step] for step in "GE"}
    assert spans == {"G": [(0, 2), (2, 6), (6, 8)], "E": [(0, 2), (2, 6), (6, 8)]}


def test_grace_note_triplet_and_tie():
    """E09."""
    piece = case("gracetup.musicxml")
    first = piece.notes_of(0, 0)
    assert sum(note.duration for note in first) == 2
    assert [(note.written.name, note.duration) for note in first if note.grace] == [("D5", 0)]
    assert [note.onset for note in first if not note.grace] == [0, Fraction(1, 3), Fraction(2, 3), 1]
    assert [note.duration for note in piece.joined_notes if note.written.step == "F"] == [3]


def test_container_names_the_score():
    """E11."""
    assert [note.written.name for note in case("odd1.mxl").notes] == ["C4"]


@pytest.mark.parametrize("name", ["bomb.musicxml", "xxe.musicxml"])
def test_entities_are_refused(name):
    """E13."""
    with pytest.raises(ScoreError, match="document type defines entities"):
        case(name)


def test_key_changes_in_the_middle_of_a_bar():
    """E15: three sharps from beat 3, in which C sharp is diatonic."""
    piece = case("midkey.musicxml")
    assert [(key.measure, key.onset, key.fifths) for key in piece.key_signatures] == [(0, 0, 0), (0, 2, 3)]
    assert piece.key_signature_at(Fraction(1)).fifths == 0
    assert piece.key_signature_at(Fraction(2)).fifths == 3
    assert [(measure.metre, measure.length, measure.fifths) for measure in piece.measures] == [
        ("4/4", 4, 0),
        ("3/4", 3, 3),
    ]


def test_score_without_part_list_is_one_plain_error():
    """E12a."""
    with pytest.raises(ScoreError, match=r"^score 'nopl\.musicxml': this MusicXML has no <part-list>"):
        case("nopl.musicxml")


def test_empty_part_is_kept_and_named():
    """E12a."""
    piece = case("emptypart.musicxml")
    assert [(part.name, part.is_empty) for part in piece.parts] == [("A", False), ("B", True)]
    assert piece.notices == ("part 'B' is empty",)


def test_utf_16_is_read_as_written():
    """E12a."""
    assert case("enc_utf-16.musicxml").parts[0].name == "Flöte"


def test_degrees_become_chart_text():
    """MusicXML 4.0, degree: alter changes a chord tone, add adds one; a sixth chord with 9 is written 6/9."""
    texts = [chord.text for chord in case("degrees.musicxml").chord_symbols]
    assert texts[:3] == ["Em(maj7)(b5)", "G7#9b13", "C6/9"]
    assert texts[3] == "C(other)"
