"""Parts written for instruments of other keys: notes, keys, chord symbols, clefs, and what sounds.

Source: `transpositions.tsv` (where each instrument sounds), common practice for the choice of keys, music21's reading.
"""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import converter, corpus
from musicxml_schema import schema_faults
from same_score import differences

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score
from musictheory_nb.score.transposed_part import KEYS, transposed
from musictheory_nb.score.write_musicxml import write_musicxml


def tune(body, key="C", more=""):
    return load_score(f"X:1\nM:4/4\nL:1/4\nK:{key} {more}\n{body}\n".encode(), cache=False)


def written(piece):
    return " ".join(note.written.name for note in piece.notes)


@pytest.mark.parametrize(
    ("instrument", "notes", "chords", "fifths"),
    [  # concert B flat scale start with its chords; common practice for each instrument
        ("Bb", "C5 D5 E5 F5", "Cmaj7 D7/F#", 0),
        ("Eb", "G5 A5 B5 C6", "Gmaj7 A7/C#", 1),
        ("F", "F5 G5 A5 Bb5", "Fmaj7 G7/B", -1),
        ("C", "Bb4 C5 D5 Eb5", "Bbmaj7 C7/E", -2),
        ("-M9", "C6 D6 E6 F6", "Cmaj7 D7/F#", 0),  # tenor saxophone
        ("-P8", "Bb5 C6 D6 Eb6", "Bbmaj7 C7/E", -2),  # guitar, double bass
        ("P8", "Bb3 C4 D4 Eb4", "Bbmaj7 C7/E", -2),  # piccolo
    ],
)
def test_part_is_written_for_the_instrument(instrument, notes, chords, fifths):
    piece = tune('"Bbmaj7"B c "C7/E"d e|', "Bb")
    part = transposed(piece, 0, instrument)
    assert written(part) == notes
    assert [mark.written for mark in part.chord_symbols] == chords.split()
    assert [mark.text for mark in part.chord_symbols] == ["Bbmaj7", "C7/E"]
    assert part.key_signatures[0].written == fifths
    assert [n.sounding for n in part.notes] == [n.sounding for n in piece.notes]


@pytest.mark.parametrize(
    ("key", "instrument", "fifths", "notes"),
    [  # an instrument's part has the enharmonic key with fewer signs: common practice, no source
        ("B", "Bb", -5, "Db5 Eb5 F5"),
        ("E", "Eb", -5, "Db5 Eb5 F5"),
        ("F#", "Bb", -4, "Ab4 Bb4 C5"),
        ("Gb", "Bb", -4, "Ab4 Bb4 C5"),
        ("Cb", "Bb", -5, "Db5 Eb5 F5"),
        ("G#m", "Bb", -5, "Bb4 C5 Db5"),
        ("A", "Bb", 5, "B4 C#5 D#5"),
    ],
)
def test_key_of_the_part_has_few_signs(key, instrument, fifths, notes):
    body = {"B": "Bcd", "E": "EFG", "F#": "FGA", "Gb": "GAB", "Cb": "CDE", "G#m": "GAB", "A": "ABc"}[key]
    piece = tune(body + "|", key)
    part = transposed(piece, 0, instrument)
    assert part.key_signatures[0].written == fifths
    assert [name[:-1] for name in written(part).split()] == [name[:-1] for name in notes.split()]
    assert all(abs(note.written.alter) <= 1 for note in part.notes)
    again = load_score(write_musicxml(part), cache=False)
    assert [n.sounding for n in again.notes] == [n.sounding for n in piece.notes]
    assert again.key_signatures[0].fifths == piece.key_signatures[0].fifths


def test_key_change_respells_from_there_on():
    piece = tune('"C"CDEF|[K:B]"B"BcdB|[K:C]"F"CDEF|')
    part = transposed(piece, 0, "Bb")
    assert [key.written for key in part.key_signatures] == [2, -5, 2]
    assert [mark.written for mark in part.chord_symbols] == ["D", "Db", "G"]
    assert written(part) == "D4 E4 F#4 G4 Db5 Eb5 F5 Db5 D4 E4 F#4 G4"
    data = write_musicxml(part)
    assert schema_faults(data) == []
    again = load_score(data, cache=False)
    assert differences(part, again) == []
    assert [n.sounding for n in again.notes] == [n.sounding for n in piece.notes]


def _rows():
    path = Path(__file__).parents[1] / "published" / "transpositions.tsv"
    rows = [line for line in path.read_text(encoding="utf-8").splitlines() if line and not line.startswith("# ")]
    return {name: row for row in csv.DictReader(rows, delimiter="\t") for name in row["asked for"].split("; ")}


@pytest.mark.parametrize(
    ("name", "instrument"),
    [
        ("clarinet in Bb", "Bb"),
        ("alto sax", "Eb"),
        ("horn in F", "F"),
        ("clarinet in A", "A"),
        ("flute", "C"),
        ("tenor sax", "-M9"),
        ("double bass", "-P8"),
        ("piccolo", "P8"),
    ],
)
def test_written_c_sounds_as_the_table_says(name, instrument):
    sounds = _rows()[name]["written C4 sounds"]
    letter, octave = sounds[:-1].replace("b", ""), int(sounds[-1])
    body = "_" * sounds.count("b") + letter + "," * max(4 - octave, 0) + "'" * max(octave - 4, 0)
    assert written(transposed(tune(body + "|"), 0, instrument)) == "C4"


@pytest.mark.parametrize("name", ["leadSheet/fosterBrownHair.mxl", "bach/bwv269.mxl"])
@pytest.mark.parametrize("instrument", ["Bb", "Eb", "F", "-P8"])
def test_music21_hears_what_sounded_before(name, instrument):
    piece = load_score(Path(corpus.getWork(name)), cache=False)
    part = transposed(piece, 0, instrument)
    stream = converter.parseData(write_musicxml(part).decode(), format="musicxml")
    heard = [p.midi for n in stream.toSoundingPitch().flatten().notes if "Harmony" not in n.classes for p in n.pitches]
    assert sorted(heard) == sorted(n.sounding.midi for n in piece.notes if n.part == 0)


def test_part_alone_brings_the_chords_the_road_and_the_tempo_with_it():
    head = "X:1\nM:4/4\nL:1/1\nQ:1/4=100\nV:1 name=Lead\nV:2 name=Low\nK:C\n"
    piece = load_score((head + 'V:1\n"Dm7"D|"G7"G!fine!|"C"C!D.C.alfine!|]\nV:2\nD,|G,|C,|]\n').encode(), cache=False)
    part = transposed(piece, "Low", "Bb")
    assert [one.name for one in part.parts] == ["Low in B♭"]
    assert [mark.written for mark in part.chord_symbols] == ["Em7", "A7", "D"]
    assert [word.text for word in part.words] == ["Fine", "D.C. al Fine"]
    assert len(part.tempos) == 1
    assert part.play_order == piece.play_order
    assert differences(part, load_score(write_musicxml(part), cache=False)) == []


def test_whole_score_keeps_its_other_parts():
    piece = load_score(Path(corpus.getWork("bach/bwv269.mxl")), cache=False)
    changed = transposed(piece, 1, "Eb", only=False)
    assert len(changed.parts) == len(piece.parts)
    same = [(a.written == b.written) for a, b in zip(piece.notes, changed.notes, strict=True) if a.part != 1]
    assert all(same)
    assert [n.sounding for n in changed.notes] == [n.sounding for n in piece.notes]


def test_clef_follows_where_the_written_notes_lie():
    piece = tune("C,2 E,2|G,4|", "C", "clef=bass")
    assert [clef.name for clef in transposed(piece, 0, "-M9").clefs] == ["treble"]
    assert [clef.name for clef in transposed(piece, 0, "-P8").clefs] == ["bass"]


@pytest.mark.parametrize("bad", ["H", "", "saxophone", "B flat minor"])
def test_what_is_no_key_is_refused_with_the_keys(bad):
    with pytest.raises(ScoreError, match=f"instrument '{bad}': write its key, one of Bb, Eb, F, A, C, or the interval"):
        transposed(tune("C4|"), 0, bad)


def test_parts_that_do_not_exist_are_refused():
    with pytest.raises(ScoreError, match="part 3: this score has the parts"):
        transposed(tune("C4|"), 3, "Bb")


@given(
    key=st.sampled_from(
        ["C", "G", "D", "A", "E", "B", "F#", "C#", "F", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "Am", "G#m"]
    ),
    instrument=st.sampled_from([*KEYS, "-M9", "-P8", "m3"]),
    body=st.lists(
        st.sampled_from(["C", "^d", "_B", "e", "=F", '"F#m7b5"F', '"Bb13"G', '"D7/F#"A']), min_size=1, max_size=9
    ),
)
def test_sound_key_and_chords_stay_and_the_part_has_at_most_six_signs(key, instrument, body):
    piece = tune(" ".join(body) + "|", key)
    part = transposed(piece, 0, instrument)
    assert abs(part.key_signatures[0].written) <= 6
    assert [n.sounding for n in part.notes] == [n.sounding for n in piece.notes]
    again = load_score(write_musicxml(part), cache=False)
    assert [(n.sounding.chromatic, n.written) for n in again.notes] == [
        (n.sounding.chromatic, n.written) for n in part.notes
    ]
    assert [mark.written for mark in again.chord_symbols] == [mark.written for mark in part.chord_symbols]
