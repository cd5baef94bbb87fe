"""Humdrum files and music21 streams.

Outside truth: the same quartet movements bundled as MusicXML and as Humdrum, encoded by different hands; music21's objects.
"""

from collections import Counter
from fractions import Fraction

import pytest
from music21 import chord, clef, corpus, harmony, instrument, key, meter, note, stream, tempo, tie

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score

KERN = """**kern\t**kern
*clefF4\t*clefG2
*k[b-]\t*k[b-]
*M3/4\t*M3/4
4C\t4c
=1\t=1
2.F\t(12f
.\t12g
.\t12a)
.\t[4b-
.\t8b-]
.\t8r
=2:|!\t=2:|!
2G;\t4e 4g
.\t4cc
=\t=
4C\t8c
.\t8d
=3\t=3
2.F\t2.f
==\t==
*-\t*-
"""


def test_kern():
    """Humdrum user guide: dots are carried over, = begins a bar, :| closes a repeat, [ ] tie, ; fermata."""
    piece = load_score(KERN.encode())
    assert [measure.number for measure in piece.measures] == ["0", "1", "2", "2", "3"]
    assert [measure.length for measure in piece.measures] == [1, 3, 2, 1, 3]
    assert [measure.repeat_end for measure in piece.measures] == [False, True, False, False, False]
    upper = [part.index for part in piece.parts if part.index == piece.notes_of(0, 0)[0].part]
    assert len(piece.parts) == 2
    assert upper
    lengths = Counter(n.duration for n in piece.joined_notes if n.measure == 1)
    assert lengths == {Fraction(1, 3): 3, Fraction(3, 2): 1, Fraction(3): 1}
    assert [n.sounding.name for n in piece.notes if n.fermata] == ["G3"]
    assert piece.measures[0].fifths == -1


def test_keyboard_spines_are_staves_of_one_player():
    piece = load_score(corpus.getWork("chopin/mazurka06-2.krn"))
    assert [(part.name, part.staves) for part in piece.parts] == [("Piano", 2)]
    lowest = min(piece.notes, key=lambda note: note.sounding.chromatic)
    assert lowest.staff == 2
    assert [m.number for m in piece.measures][6:11] == ["7", "8", "8", "9", "10"]


def test_what_cannot_be_read_is_not_left_out_in_silence(capfd):
    """music21 drops a token that it cannot read, with a line on the error stream."""
    with pytest.raises(ScoreError, match=r"line \d+: '2\.Q' cannot be read as Humdrum"):
        load_score(KERN.replace("2.F", "2.Q", 1).encode())
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize("name", ["beethoven/opus18no1/movement3", "beethoven/opus18no1/movement1"])
def test_two_encodings_of_one_movement(name):
    """They differ in misprints, and in the octave of a cello in treble clef (opus 18 no. 1, bars 72-78 and 233-239)."""
    xml, kern = load_score(corpus.getWork(name + ".mxl")), load_score(corpus.getWork(name + ".krn"))
    assert [m.number for m in kern.measures] == [m.number for m in xml.measures]
    rows = [
        Counter((n.part, n.measure, n.onset, n.duration, n.sounding) for n in piece.notes if not n.grace)
        for piece in (xml, kern)
    ]
    differ = sum((rows[0] - rows[1]).values()) + sum((rows[1] - rows[0]).values())
    assert differ <= sum(rows[0].values()) * 3 // 100


def test_stream_made_in_a_notebook():
    part = stream.Part()
    part.append([meter.TimeSignature("3/4"), key.Key("G"), clef.TrebleClef()])
    for name, length in (("D4", 1), ("G4", 2), ("B4", 0.5), ("A4", 0.5), ("F#4", 1 / 3), ("G4", 1 / 3), ("A4", 1 / 3)):
        part.append(note.Note(name, quarterLength=length))
    part.append(chord.Chord(["G3", "D4", "B4"], quarterLength=5))
    part.insert(0, harmony.ChordSymbol("Am7"))
    part.insert(3, harmony.NoChord())
    before = [element.offset for element in part]
    piece = load_score(part)
    assert [element.offset for element in part] == before
    assert [measure.length for measure in piece.measures][:3] == [3, 3, 3]
    assert sum(n.duration for n in piece.joined_notes if n.sounding.step in "B") == Fraction(11, 2)
    assert [(c.text, c.start) for c in piece.chord_symbols] == [("Am7", 0), ("N.C.", 3)]
    assert piece.measures[0].fifths == 1


def test_stream_of_a_transposing_instrument_in_both_states():
    def made(sounding):
        part = stream.Part()
        part.insert(0, instrument.Clarinet())
        part.append(note.Note("C5" if sounding else "D5", quarterLength=4))
        part.atSoundingPitch = sounding
        return load_score(part)

    for sounding in (True, False):
        piece = made(sounding)
        assert (piece.notes[0].written.name, piece.notes[0].sounding.name) == ("D5", "C5")


def test_stream_ties_in_chords():
    measure = stream.Measure(number=1)
    held = chord.Chord(["C4", "E4"], quarterLength=4)
    held.notes[0].tie = tie.Tie("start")
    measure.append(held)
    part = stream.Part([measure])
    piece = load_score(stream.Score([part]))
    assert [(n.written.name, n.tie) for n in piece.notes] == [("C4", "start"), ("E4", "")]


def test_number_and_word_that_music21_makes_up_do_not_count():
    """music21 10.5 gives a tempo word its own number (allegro 132) and a number its own word (120 animato)."""
    made = stream.Part([tempo.MetronomeMark("allegro"), note.Note("C4", quarterLength=4)])
    given = stream.Part([tempo.MetronomeMark(number=120), note.Note("C4", quarterLength=4)])
    both = stream.Part([tempo.MetronomeMark("lively", 100), note.Note("C4", quarterLength=4)])
    found = [load_score(one) for one in (made, given, both)]
    assert [[(mark.quarters_per_minute, mark.text) for mark in one.tempos] for one in found] == [
        [],
        [(120, "")],
        [(100, "lively")],
    ]
    assert [[word.text for word in one.words] for one in found] == [["allegro"], [], ["lively"]]


def test_of_two_key_signatures_at_one_place_the_one_with_a_mode_counts():
    """Humdrum gives the signature (``*k[]``) and the key (``*a:``) one after the other."""
    text = b"**kern\n*M4/4\n*k[]\n*a:\n=1\n1a\n==\n*-\n"
    assert [(key.fifths, key.mode) for key in load_score(text).key_signatures] == [(0, "minor")]


def test_collection_of_streams_is_refused():
    with pytest.raises(ScoreError, match="collection of 2 pieces"):
        load_score(stream.Opus([stream.Score(), stream.Score()]))


def test_empty_stream_is_refused():
    with pytest.raises(ScoreError, match="empty"):
        load_score(stream.Score())


@pytest.mark.parametrize(
    "name", ["bach/bwv366.krn", "chopin/mazurka06-2.krn", "beethoven/opus18no1/movement3.krn", "bach/bwv277.krn"]
)
def test_expansion_list_names_every_section_that_is_played(name):
    """Humdrum user guide: ``*>[A,A,B]`` is the order of the sections labelled ``*>A``; the files state their own."""
    path = corpus.getWork(name)
    with open(path, encoding="utf-8") as file:
        lines = [line.split("\t")[0].rstrip("\n") for line in file]
    (order,) = [line[3:-1].split(",") for line in lines if line.startswith("*>[")]
    begins, bar, sounded = {}, 0, False
    for line in lines:
        if line.startswith("="):
            bar, sounded = bar + sounded, False
        elif line.startswith("*>") and "[" not in line:
            begins[bar] = line[2:]
        elif line and line[0] not in "*!":
            sounded = True
    piece = load_score(path, cache=False)
    assert [begins[at] for at in piece.play_order if at in begins] == order


def test_expansion_list_over_sections_that_are_not_marked_is_told():
    piece = load_score(b"**kern\n*M4/4\n*>[A,A,B]\n*>A\n=1\n1c\n=2\n1d\n==\n*-\n", cache=False)
    assert len(piece.played().measures) == 2
    assert any("they stand as written" in notice for notice in piece.notices)
