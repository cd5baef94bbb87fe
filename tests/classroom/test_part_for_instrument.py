"""Parts for instruments by name. Source: `transpositions.tsv` (where a written C4 sounds); clefs are common practice."""

import csv
from pathlib import Path

import music21
import pytest

from musictheory_nb.classroom.part_for_instrument import part_for, part_kind
from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score
from musictheory_nb.score.write_musicxml import write_musicxml
from musictheory_nb.theory.pitch import Pitch

TABLE = Path(__file__).parents[1] / "published" / "transpositions.tsv"
ROWS = csv.DictReader(
    [line for line in TABLE.read_text(encoding="utf-8").splitlines() if line and not line.startswith("# ")],
    delimiter="\t",
)
SOUNDS = {name: row["written C4 sounds"] for row in ROWS for name in row["asked for"].split("; ")}
#: Of the table's names those that are voices or whole families, which no part is written for by that name.
NO_INSTRUMENTS = {"tenor voice", "banjo"}
TUNE = b'X:1\nM:4/4\nL:1/4\nK:Bb\n"Bb"B c d "F7"e|"Gm"d c B2|]\n'


def test_table_was_found():
    assert len(SOUNDS) > 25


@pytest.mark.parametrize("name", [name for name in SOUNDS if name not in NO_INSTRUMENTS])
def test_written_for_each_instrument_of_the_table(name):
    piece = load_score(TUNE, cache=False)
    part = part_for(piece, 0, name)
    up = Pitch("C4").midi - Pitch(SOUNDS[name]).midi
    assert [note.written.midi - note.sounding.midi for note in part.notes] == [up] * 7
    assert [note.sounding for note in part.notes] == [note.sounding for note in piece.notes]
    data = write_musicxml(part)
    again = load_score(data, cache=False)
    assert (again.notes, again.parts, again.clefs) == (part.notes, part.parts, part.clefs)
    assert [(one.text, one.written) for one in again.chord_symbols] == [
        (one.text, one.written) for one in part.chord_symbols
    ]
    heard = music21.converter.parseData(data.decode("utf-8"), format="musicxml").toSoundingPitch()
    assert [
        pitch.midi for note in heard.flatten().notes if "Harmony" not in note.classes for pitch in note.pitches
    ] == [note.sounding.midi for note in piece.notes]


@pytest.mark.parametrize(
    ("name", "shown", "clef"),
    [
        ("B-flat clarinet", "clarinet in Bb", "treble"),
        ("Clarinet in B flat", "clarinet in Bb", "treble"),
        ("B♭ clarinet", "clarinet in Bb", "treble"),
        ("tenor sax", "tenor saxophone", "treble"),
        ("French horn", "horn in F", "treble"),
        ("horn in F", "horn in F", "treble"),
        ("upright bass", "double bass", "bass"),
        ("double bass", "double bass", "bass"),
        ("viola", "viola", "alto"),
        ("cello", "cello", "bass"),
        ("guitar", "guitar", "treble"),
    ],
)
def test_names_as_players_write_them_and_their_clefs(name, shown, clef):
    part = part_for(load_score(TUNE, cache=False), 0, name)
    assert (part.parts[0].name, [one.name for one in part.clefs]) == (shown, [clef])


def test_every_part_for_one_instrument():
    duo = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nV:1 name=High\nc4|\nV:2 name=Low clef=bass\nC4|\n", cache=False)
    both = part_for(duo, None, "horn in F")
    assert [part.name for part in both.parts] == ["High, horn in F", "Low, horn in F"]
    assert [note.written.name for note in both.notes] == ["G5", "G4"]
    assert [note.sounding for note in both.notes] == [note.sounding for note in duo.notes]


def test_keys_and_intervals_stay_as_they_were():
    assert [part_kind(text).written_by for text in ("Bb", "B♭", " Eb ", "F", "-M9", "P8")] == [
        *("Bb", "Bb", "Eb", "F", "-M9", "P8")
    ]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("saxophone", "say which: 'soprano saxophone', 'alto saxophone'"),
        ("bass", "say which"),
        ("tenor saxofone", "did you mean 'tenor saxophone'"),
        ("kazoo", "known are 'piccolo'.*or write its key, one of Bb, Eb, F, A, C, or the interval"),
        ("", "or write its key"),
    ],
)
def test_what_is_no_instrument_is_told_with_what_is_allowed(text, said):
    with pytest.raises(ScoreError, match=said):
        part_kind(text)
