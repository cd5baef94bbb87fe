"""Chord symbols of MusicXML as chart text.

Source: the kinds of the W3C MusicXML 4.0 schema (`tests/published/musicxml_kinds.tsv`), the wording of ``degree`` there;
the chart spellings are common practice. What a chart text means is checked by `musictheory_nb.theory.chord` where the
kind has its tones in the table.
"""

import csv
from pathlib import Path

import pytest
from written_musicxml import attributes, harmony, measure, note, score

from musictheory_nb.score.load import load_score
from musictheory_nb.score.musicxml_chord import move_chord_text
from musictheory_nb.theory.chord import Chord

TABLE = Path(__file__).parents[1] / "published" / "musicxml_kinds.tsv"
LINES = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
TONES = [
    (row["kind"], row["degrees"].split())
    for row in csv.DictReader(LINES, delimiter="\t")
    if row["degrees"][:1].isdigit() and row["kind"] != "pedal"
]


def text_of(root, kind, more=""):
    bar = attributes() + harmony(root, kind, more) + note("C4", 4)
    return load_score(score([measure(bar, 1)])).chord_symbols[0].text


def degree(value, alter, how):
    return (
        f"<degree><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter>"
        f"<degree-type>{how}</degree-type></degree>"
    )


def test_table_was_found():
    assert len(TONES) >= 24


@pytest.mark.parametrize(("kind", "degrees"), TONES)
@pytest.mark.parametrize("root", ["C", "Bb", "F#"])
def test_text_of_a_kind_names_its_tones(root, kind, degrees):
    chord = Chord(text_of(root, kind))
    assert chord.root.name == root
    found = {tone.degree for tone in chord.tones}
    assert found <= set(degrees) | {"9", "11", "13"}
    assert {tone.degree for tone in chord.tones if not tone.optional} <= set(degrees)
    assert set(degrees) <= found | {"9", "11"}


@pytest.mark.parametrize(
    ("root", "kind", "degrees", "text"),
    [
        ("G", "dominant", [(9, 1, "add"), (13, -1, "add")], "G7#9b13"),
        ("G", "dominant", [(5, -1, "alter"), (9, -1, "add")], "G7b5b9"),
        ("C", "major-sixth", [(9, 0, "add")], "C6/9"),
        ("A", "minor-sixth", [(9, 0, "add")], "Am6/9"),
        ("C", "major", [(9, 0, "add")], "C(add9)"),
        ("C", "major", [(5, -1, "alter")], "C(b5)"),
        ("B", "major", [(5, -1, "alter")], "B(b5)"),
        ("C", "major-seventh", [(11, 1, "add")], "Cmaj7#11"),
        ("D", "dominant", [(3, 0, "subtract")], "D7(no3)"),
        ("G", "suspended-fourth", [(7, 0, "add")], "G7sus4"),
        ("G", "suspended-fourth", [(7, 0, "add"), (9, 0, "add")], "G9sus4"),
        ("G", "suspended-fourth", [(7, 0, "add"), (9, -1, "add")], "G7sus4(b9)"),
        ("E", "minor-seventh", [(11, 0, "add")], "Em7(add11)"),
    ],
)
def test_degrees(root, kind, degrees, text):
    assert text_of(root, kind, "".join(degree(*one) for one in degrees)) == text
    assert Chord(text) == Chord.from_musicxml(root, kind, degrees)


def test_flat_seventh_added_to_a_suspended_chord_is_its_seventh():
    """By the letter it would be a doubly flat one, since an added 7 is that of a dominant; no chart has such a chord."""
    assert text_of("G", "suspended-fourth", degree(7, -1, "add")) == "G7sus4"


def test_bass_and_printed_text():
    bass = "<bass><bass-step>F</bass-step><bass-alter>1</bass-alter></bass>"
    assert text_of("D", "dominant", bass) == "D7/F#"
    bar = attributes() + harmony("C", "other").replace("<kind>", '<kind text="7alt">') + note("C4", 4)
    assert load_score(score([measure(bar, 1)])).chord_symbols[0].text == "C7alt"


@pytest.mark.parametrize(
    ("text", "move", "moved"),
    [
        ("D7/F#", (-2, -1), "C7/E"),
        ("Bb5", (2, 1), "C5"),
        ("C6/9", (2, 1), "D6/9"),
        ("D|C7", (2, 1), "E|D7"),
        ("N.C.", (2, 1), "N.C."),
        ("F#m7b5", (3, 2), "Am7b5"),
        ("Ebmaj7#11", (-9, -5), "Gbmaj7#11"),
    ],
)
def test_transposed_text(text, move, moved):
    assert move_chord_text(text, *move) == moved
