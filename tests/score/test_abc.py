"""ABC tunes. Source: the ABC 2.1 standard (abcnotation.com), quoted by section; music21 on the bundled tune books."""

import random
import warnings
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest
from music21 import converter, corpus

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.abc_file import split_tunes
from musictheory_nb.score.abc_text import decode_abc
from musictheory_nb.score.load import load_score, load_tunes

HEAD = "X:1\nT:Test\nM:4/4\nL:1/8\nK:C\n"
BOOKS = sorted({Path(path) for path in corpus.corpora.CoreCorpus().getPaths(fileExtensions=[".abc"])})


def read(body, head=HEAD):
    return load_score((head + body + "\n").encode())


def notes(piece):
    return [(note.written.name, note.duration) for note in piece.notes]


def played(piece):
    return "".join(note.written.step for note in piece.played().notes)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("C D E F G A B c|", "C4 D4 E4 F4 G4 A4 B4 C5"),  # 4.1
        ("C, c' C,, c''|", "C3 C6 C2 C7"),  # 4.1
        ("^c _B =c ^^f __e|", "C#5 Bb4 C5 F##5 Ebb5"),  # 4.2
        ("^c c C|c|", "C#5 C#5 C#4 C5"),  # 4.2: to the end of the bar, in all octaves by default
    ],
)
def test_pitch(text, expected):
    assert " ".join(name for name, _ in notes(read(text))) == expected


@pytest.mark.parametrize(
    ("text", "eighths"),
    [
        ("A A2 A3 A/ A/2 A// A3/2 A4|", "1 2 3 1/2 1/2 1/4 3/2 4"),  # 4.3
        ("A>B A<B A>>B A<<B|", "3/2 1/2 1/2 3/2 7/4 1/4 1/4 7/4"),  # 4.4
        ("A2>B2|", "3 1"),  # 4.4
        ("(3ABc (2AB (4ABcd|", "2/3 2/3 2/3 3/2 3/2 3/4 3/4 3/4 3/4"),  # 4.13: 3 in 2, 2 in 3, 4 in 3
        ("(5:4:5ABcde|", "4/5 4/5 4/5 4/5 4/5"),  # 4.13
        ("(3:2:2A2B|", "4/3 2/3"),  # 4.13
        ("[CEG]2 [C2E2G2]|", "2 2 2 2 2 2"),  # 4.17
    ],
)
def test_length(text, eighths):
    assert [length * 2 for _, length in notes(read(text))] == [Fraction(value) for value in eighths.split()]


@pytest.mark.parametrize(
    ("key", "fifths", "mode"),  # 3.1.14
    [
        ("G", 1, "major"),
        ("Am", 0, "minor"),
        ("Edor", 2, "dorian"),
        ("E Dorian", 2, "dorian"),
        ("Bbmaj", -2, "major"),
        ("D mixolydian", 1, "mixolydian"),
        ("F#m", 3, "minor"),
        ("Hp", 2, "mixolydian"),
        ("Cb", -7, "major"),
        ("none", 0, ""),
        ("G clef=bass", 1, "major"),
    ],
)
def test_key(key, fifths, mode):
    found = read("c|", f"X:1\nM:4/4\nL:1/8\nK:{key}\n").key_signatures[0]
    assert (found.fifths, found.mode) == (fifths, mode)


@pytest.mark.parametrize(
    ("metre", "unit"),  # 3.1.7: below 0.75 the unit is a 16th, else an eighth
    [("2/4", "1/4"), ("6/8", "1/2"), ("4/4", "1/2"), ("C", "1/2"), ("C|", "1/2"), ("3/4", "1/2"), ("5/8", "1/4")],
)
def test_default_unit_length(metre, unit):
    assert read("c|", f"X:1\nM:{metre}\nK:C\n").notes[0].duration == Fraction(unit)


@pytest.mark.parametrize(
    ("body", "order"),  # 4.8 and 4.9
    [
        ("|:C8|D8:|E8|", "CDCDE"),
        ("C8|D8:|E8|]", "CDCDE"),
        ("|:C8::D8:|", "CCDD"),
        ("|:C8:||:D8:|", "CCDD"),
        ("|:C8|1D8:|2E8|]", "CDCE"),
        ("|:C8|[1D8:|[2E8||F8|]", "CDCEF"),
        ("|:C8|1,3 D8:|2 E8:|4 F8|]", "CDCECDCF"),
        ("|:C8|1-2 D8:|3 E8|]", "CDCDCE"),
        ("|::C8::|D8|", "CCCD"),
        ("C8|D8:|\n|:E8|F8:|", "CDCDEFEF"),
        ("|:G4|C8|D4:|\n|:A4|E8|F4:|", "GCDGCDAEFAEF"),
        ("!segno!C8|D8!fine!|E8!D.S.!|", "CDECD"),
        ('C8|"^Fine"D8|E8"^D.C."|]', "CDECD"),
        ("[1C8:|[2D8|]", "CD"),
    ],
)
def test_repeats(body, order):
    assert played(read(body)) == order


def test_bar_split_by_a_repeat_is_one_bar():
    piece = read("G2|C8|D6:|\n|:A2|E8|F6:|", "X:1\nM:4/4\nL:1/8\nK:C\n")
    assert [measure.number for measure in piece.measures] == ["0", "1", "2", "2", "3", "4"]
    assert piece.notes_of(3, 3)[0].beat == 4


def test_ties_chords_grace_notes_and_rests():
    piece = read("{cd}e4-e4|[CEG]8-|[CEG]4 z4|x8|Z2|c8|")
    assert [(n.grace, n.duration) for n in piece.notes[:3]] == [(True, 0), (True, 0), (False, 2)]
    assert [n.duration for n in piece.joined_notes if not n.grace] == [4, 6, 6, 6, 4]
    assert len(piece.measures) == 7
    assert [rest.duration for rest in piece.rests] == [2, 4, 4, 4]


def test_accidental_lasts_over_a_tie():
    assert [name for name, _ in notes(read("^f8-|f4 f4|"))] == ["F#5", "F#5", "F5"]


def test_chord_symbols_and_annotations():
    piece = read('"Am7"A4"D7/F#"B4|"A7alt"c8|"N.C."d8|"^slowly"e4"Coda"f4|"G"|"Bbmaj7"z8|')
    assert [(chord.text, chord.measure, chord.beat) for chord in piece.chord_symbols] == [
        ("Am7", 0, 1),
        ("D7/F#", 0, 3),
        ("A7alt", 1, 1),
        ("N.C.", 2, 1),
        ("G", 4, 1),
        ("Bbmaj7", 5, 1),
    ]
    assert [word.text for word in piece.words] == ["slowly", "Coda"]


def test_free_text_between_the_fields_is_no_music():
    assert played(read("c8|", "X:1\nI (1) :| (2) ||\nM:4/4\nL:1/8\nK:C\n")) == "C"


def test_fields_amid_the_tune():
    piece = read("c8|\nM:3/4\nL:1/4\nd3|[K:G]f3|[M:2/4][L:1/8]f4|\nP:B\ng4|")
    assert [(measure.metre, measure.length) for measure in piece.measures] == [
        ("4/4", 4),
        ("3/4", 3),
        ("3/4", 3),
        ("2/4", 2),
        ("2/4", 2),
    ]
    assert piece.notes_of(2, 2)[0].written.name == "F#5"
    assert [(mark.text, mark.measure) for mark in piece.rehearsal_marks] == [("B", 4)]


def test_voices_clefs_and_transposition():
    head = 'X:1\nM:4/4\nL:1/4\nV:1 name="Clarinet" transpose=-2\nV:2 clef=bass name=Bass\nK:D\n'
    piece = read("V:1\nd4|e4|\nV:2\nD,4|A,4|", head)
    assert [part.name for part in piece.parts] == ["Clarinet", "Bass"]
    assert [n.sounding.name for n in piece.notes] == ["C5", "D3", "D5", "A3"]
    assert [clef.name for clef in piece.clefs] == ["bass"]
    assert [key.fifths for key in piece.key_signatures] == [0, 2]


def test_overlay_starts_at_the_bar_again():
    piece = read("c8&E4F4|")
    assert [(n.written.name, n.onset, n.voice) for n in piece.notes] == [("C5", 0, 1), ("E4", 0, 2), ("F4", 2, 2)]


def test_tempo_title_and_accents():
    piece = read("c8|", 'X:1\nT:Caf\\\'e\nC:J\\"org\nQ:"Lively" 3/8=80\nM:6/8\nK:C\n')
    assert (piece.title, piece.composer) == ("Café", "Jörg")
    assert [(tempo.quarters_per_minute, tempo.text) for tempo in piece.tempos] == [(120, "Lively")]


def test_book_of_several_tunes():
    book = b"X:1\nT:One\nK:C\nC8|\n\nX:2\nT:Two\nK:G\nG8|\n"
    assert [tune.title for tune in load_tunes(book)] == ["One", "Two"]
    assert load_score(book, tune=2).title == "Two"
    with pytest.raises(ScoreError, match=r"holds 2 tunes \(1, 2\); write load_score\(\.\.\., tune=1\)"):
        load_score(book)
    with pytest.raises(ScoreError, match="tune 7: the file has the tunes 1, 2"):
        load_score(book, tune=7)


BAD_BOOK = (
    b"X:1\nT:One\nK:C\nC8|\n\nX:2\nT:Two\nK:Es\nG8|\n\nX:3\nT:Three\nK:G\nG8|\n\nX:4\nT:Four\nM:5/0\nK:G\nG8|\n\n"
    b"X:2\nT:Five\nK:C\nz/0|\n\nX:6\nT:Six\nK:C\n\nX:7\nT:Seven\nK:D\nD8|\n"
)


def test_bad_tune_does_not_spoil_the_others():
    """Wrong in turn: a German key name, a metre over nothing, a length over nothing, no music at all."""
    book = load_tunes(BAD_BOOK)
    assert [tune.title for tune in book] == ["One", "Three", "Seven"]
    assert (len(book), book[-1].title, [tune.title for tune in book[:2]]) == (3, "Seven", ["One", "Three"])
    assert [(one.place, one.number, one.title) for one in book.left_out] == [
        (2, "2", "Two"),
        (4, "4", "Four"),
        (5, "2", "Five"),
        (6, "6", "Six"),
    ]
    for one, said in zip(book.left_out, ("ABC writes it 'Eb'", "metre '5/0'", "length '/0'", "empty"), strict=True):
        assert one.reason.startswith(f"tune X:{one.number}: ")
        assert said in one.reason
        assert str(one) in repr(book)


def test_good_book_leaves_nothing_out():
    book = load_tunes(b"X:1\nT:One\nK:C\nC8|\n\nX:2\nT:Two\nK:G\nG8|\n")
    assert (book.left_out, repr(book)) == ((), "<TuneBook: 2 tunes>")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"X:1\nK:Q\nC|\n", "^score: tune X:1: key 'Q'"),
        (
            b"X:1\nK:Q\nC|\n\nX:2\nM:0/4\nK:C\nC|\n",
            "^score: none of its 2 tunes can be read; the first: tune X:1: key 'Q'",
        ),
        (b"no music here", "^score: the file is in no format"),
        (b"", "^score: "),
    ],
)
def test_book_without_a_tune_that_can_be_read_is_an_error(data, said):
    with pytest.raises(ScoreError, match=said):
        load_tunes(data)


def test_file_of_another_format_is_a_book_of_one_piece():
    book = load_tunes(Path(__file__).parent / "cases" / "pickup.musicxml")
    assert (len(book), book.left_out) == (1, ())
    assert book[0].source == "pickup.musicxml"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("X:1\nK:Q\nC|", "key 'Q'"),
        ("X:1\nK:H\nC|", "ABC writes it 'B'"),
        ("X:1\nM:5/0\nK:C\nC|", "metre '5/0'"),
        ("X:1\nL:x\nK:C\nC|", "unit note length 'x'"),
        ("X:1\nK:C\nC99999|", "length '99999'"),
        ("X:1\nK:C\nC0|", "length '0'"),
        ("X:1\nK:C\nC/0|", "length '/0'"),
        ("X:1\nK:C\nZ99999|", "rest of '99999' bars"),
        ("X:1\nK:C\n(1C|", r"tuplet '\(1"),
        ("X:1\nK:C\nC,,,,,,,,,,,,|", "far outside any instrument"),
    ],
)
def test_what_is_wrong_is_named(text, said):
    with pytest.raises(ScoreError, match=f"tune X:1: .*{said}"):
        load_score(text.encode())


SAMPLE = random.Random(9).sample(BOOKS, 25)


@pytest.mark.parametrize("path", SAMPLE, ids=lambda path: path.stem)
def test_notes_of_bundled_books_are_as_music21_reads_them(path):
    """Letters and how many; music21 10.5 reads broken rhythms behind decorations and some accidentals otherwise."""
    text = decode_abc(path.read_bytes())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        stream = converter.parseData(text, format="abc")
    theirs = list(stream.scores) if "Opus" in stream.classes else [stream]
    ours = load_tunes(path)
    assert len(ours) == len(theirs) == len(split_tunes(text))
    for own, other in zip(ours, theirs, strict=True):
        letters = [
            pitch.step for note in other.recurse().notes if "Harmony" not in note.classes for pitch in note.pitches
        ]
        counted = Counter(note.written.step for note in own.notes)
        difference = sum((counted - Counter(letters)).values()) + sum((Counter(letters) - counted).values())
        assert difference <= len(letters) // 20, own.title


#: Tunes of the bundled books that are not written in ABC: a German key name, a metre with a bracket behind it.
MISPRINTS = {("folkHaydn", "13"), ("han2", "374"), ("han2", "445"), ("test1", "12")}


@pytest.mark.full
def test_every_bundled_tune_is_read():
    read, refused = [], set()
    for path in BOOKS:
        book = load_tunes(path)
        read.extend(book)
        refused |= {(path.stem, tune.number) for tune in book.left_out}
    assert refused == MISPRINTS
    assert len(read) > 12_000
    assert sum(any(measure.repeat_end for measure in tune.measures) for tune in read) > 3_000
    for tune in read:
        assert len(tune.played().measures) >= len(tune.measures) / 2
