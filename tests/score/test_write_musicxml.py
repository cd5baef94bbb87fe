"""Scores written as MusicXML: they read back the same, are valid, and music21 and verovio read what was written.

Source: the MusicXML 4.0 schema (`musicxml_schema`), music21's reading, and for the cases of kind E the values beside the
files in `cases`, which `test_cases` states.
"""

import random
import warnings
import zipfile
from collections import Counter
from fractions import Fraction
from pathlib import Path

import pytest
import verovio
from hypothesis import given, settings
from hypothesis import strategies as st
from music21 import converter, corpus
from musicxml_schema import schema_faults
from same_score import differences
from written_musicxml import attributes, barline, begin, harmony, measure, note, rest, score, sign, stop, tune, words

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score, load_tunes
from musictheory_nb.score.write_musicxml import write_musicxml
from musictheory_nb.theory.chord import Chord

CASES = sorted(path for path in (Path(__file__).parent / "cases").iterdir() if path.suffix in (".musicxml", ".mxl"))
REFUSED = {"bomb.musicxml", "xxe.musicxml", "nopl.musicxml"}
BUNDLED = sorted(
    {
        Path(path)
        for path in corpus.corpora.CoreCorpus().getPaths()
        if Path(path).suffix in (".mxl", ".xml", ".musicxml", ".krn", ".mei", ".abc", ".mid")
    }
)


def _sample(count, per_kind):
    chosen = []
    for kind in (".mxl", ".xml", ".musicxml", ".krn", ".abc", ".mei", ".mid"):
        files = [path for path in BUNDLED if path.suffix == kind and path.stat().st_size < 200_000]
        chosen += random.Random(count).sample(files, min(len(files), per_kind))
    return chosen


def _again(piece, **how):
    return load_score(write_musicxml(piece, **how), cache=False)


def _theirs(data):
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # music21 reads it without a warning
        return converter.parseData(data.decode("utf-8"), format="musicxml")


def _pieces(path):
    return load_tunes(path) if path.suffix == ".abc" else (load_score(path, cache=False),)


@pytest.mark.parametrize("path", [p for p in CASES if p.name not in REFUSED], ids=lambda path: path.name)
def test_case_reads_back_the_same(path):
    piece = load_score(path)
    data = write_musicxml(piece)
    assert differences(piece, load_score(data)) == []
    assert schema_faults(data) == []


def _check_bundled(path):
    for piece in _pieces(path)[:3]:
        assert differences(piece, _again(piece)) == []
        concert = _again(piece, view="concert")
        assert [(n.start, n.duration, n.sounding) for n in concert.notes] == [
            (n.start, n.duration, n.sounding) for n in piece.notes
        ]
        assert [mark.text for mark in concert.chord_symbols] == [mark.text for mark in _again(piece).chord_symbols]
        assert all(note.written == note.sounding for note in concert.notes)


@pytest.mark.parametrize("path", _sample(11, 8), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_bundled_piece_reads_back_the_same(path):
    _check_bundled(path)


@pytest.mark.full
@pytest.mark.parametrize("path", _sample(12, 220), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_many_bundled_pieces_read_back_the_same(path):
    _check_bundled(path)


def _exact(value):
    return Fraction(value).limit_denominator(5040)


def _check_music21(path):
    """Each note as music21 reads it from what we wrote: measure, onset, length, written pitch; and each chord symbol."""
    piece = _pieces(path)[0]
    data = write_musicxml(piece)
    assert schema_faults(data) == []
    stream = _theirs(data)
    found, chords = Counter(), []
    for part in stream.parts:
        for at, bar in enumerate(part.getElementsByClass("Measure")):
            for element in bar.recurse().notes:
                onset = _exact(element.getOffsetInHierarchy(bar))
                if "Harmony" in element.classes:
                    chords.append((at, onset, "N.C." if "NoChord" in element.classes else element.root().name))
                    continue
                length = Fraction(0) if element.duration.isGrace else _exact(element.duration.quarterLength)
                for pitch in element.pitches:
                    found[at, onset, length, pitch.name.replace("-", "b"), pitch.octave] += 1
    own = Counter(
        (n.measure, n.onset, n.duration, n.written.pitch_name.name, n.written.octave)
        for n in piece.events.of_kind("note", "cue")
        if n.written and not n.cents
    )
    assert own - found == Counter()
    assert len(stream.parts) >= len(piece.parts)
    wanted = Counter()
    for mark in piece.chord_symbols:
        root = "N.C." if mark.is_no_chord else Chord(mark.written).root.name.replace("b", "-")
        wanted[mark.measure, mark.onset, root] += 1
    assert Counter(chords) == wanted


@pytest.mark.parametrize("path", _sample(13, 3), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_music21_reads_what_was_written(path):
    _check_music21(path)


@pytest.mark.full
@pytest.mark.parametrize("path", _sample(14, 60), ids=lambda path: f"{path.parent.name}/{path.name}")
def test_music21_reads_many_pieces_as_written(path):
    _check_music21(path)


@pytest.mark.parametrize("name", ["leadSheet/fosterBrownHair.mxl", "joplin/maple_leaf_rag.mxl", "bach/bwv269.mxl"])
def test_verovio_renders_what_was_written(name):
    piece = load_score(Path(corpus.getWork(name)))
    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "none", "adjustPageHeight": True, "adjustPageWidth": True})
    assert toolkit.loadData(write_musicxml(piece).decode("utf-8"))
    picture = toolkit.renderToSVG(1)
    assert picture.count('class="measure"') == len(piece.measures)
    heads = picture.count('class="note"')
    assert heads == len(piece.notes)


# What each thing looks like in the file. Source: MusicXML 4.0, the elements named.


def test_chord_symbols_have_kind_degrees_bass_and_printed_text():
    tune = b'X:1\nM:4/4\nL:1/4\nK:C\n"Dm7"D"G7b9/B"G"C6/9"C"N.C."z|"F#m7b5"A"B7sus4"B"E7alt"e"Bb13#11"d|\n'
    data = write_musicxml(load_score(tune))
    assert schema_faults(data) == []
    stream = _theirs(data)
    kinds = [h.chordKind for h in stream.recurse().getElementsByClass("Harmony") if "NoChord" not in h.classes]
    # MusicXML 4.0, kind-value, as music21 names them
    assert kinds[:4] == ["minor-seventh", "dominant-seventh", "major-sixth", "half-diminished-seventh"]
    assert b'<kind text="7b9">dominant</kind>' in data
    assert b"<bass-step>B</bass-step>" in data
    assert b'<kind text="N.C.">none</kind>' in data
    assert [mark.text for mark in load_score(data).chord_symbols] == [
        "Dm7", "G7b9/B", "C6/9", "N.C.", "F#m7b5", "B7sus4", "E7alt", "Bb13#11",
    ]  # fmt: skip


def test_triplet_has_its_ratio_bracket_and_beams():
    data = write_musicxml(load_score(b"X:1\nM:2/4\nL:1/8\nK:C\n(3cde f2|(3c2d2e2|\n"))
    assert data.count(b"<actual-notes>3</actual-notes>") == 6
    assert data.count(b"<normal-notes>2</normal-notes>") == 6
    assert data.count(b'<tuplet type="start"') == data.count(b'<tuplet type="stop"') == 2
    assert [data.count(f'<beam number="1">{word}'.encode()) for word in ("begin", "continue", "end")] == [1, 1, 1]


def test_dotted_values_and_lengths_that_no_value_has():
    data = write_musicxml(load_score(b"X:1\nM:9/8\nL:1/8\nK:C\nc3 d7/2 e5/2|\n"))
    assert data.count(b"<dot />") == 1 + 2  # a dotted quarter, a double-dotted half for 7/4, no type for 5/4
    assert data.count(b"<type>") == 2
    assert [n.duration for n in load_score(data).notes] == [Fraction(3, 2), Fraction(7, 4), Fraction(5, 4)]


def test_road_is_told_and_printed():
    tune = b"X:1\nM:4/4\nL:1/1\nK:C\n!segno!C|D!dacoda!|E!D.S.alcoda!|!coda!F|]\n"
    piece = load_score(tune)
    data = write_musicxml(piece)
    assert differences(piece, load_score(data)) == []
    for told in (b'segno="', b'tocoda="', b'dalsegno="', b'coda="', b"<segno", b"<coda", b"D.S. al Coda", b"To Coda"):
        assert told in data
    assert "".join(n.written.step for n in load_score(data).played().notes) == "CDECDF"


@pytest.mark.parametrize(
    "tune",
    [
        pytest.param(b"X:1\nM:2/4\nL:1/8\nK:C\n|:C4|D4:|\n||:E4|F4:||\n", id="a double bar beside a repeat sign"),
        pytest.param(b'X:1\nM:2/4\nL:1/8\nK:C\n"segno"C4|D4|"_D.S."E4"segno"|]\n', id="signs as words"),
        pytest.param(b'X:1\nM:2/4\nL:1/8\nK:C\nC4||"Trio"D4|"^Menuetto D.C."E4|]\n', id="a Fine that nobody prints"),
        pytest.param(b"X:1\nM:2/4\nL:1/8\nK:C\nC4!fine!|D4!D.C.!|]\n", id="D.C. and Fine"),
        pytest.param(b"X:1\nM:4/4\nL:1/4\nK:C\nC:|2C||C||C|C|\n", id="a double bar behind a bracket of one bar"),
        pytest.param(b'X:1\nM:2/4\nL:1/8\nQ:"lively" 1/4=90\nK:C\nC4|]\n', id="words with a tempo"),
        pytest.param(b'X:1\nM:2/4\nL:1/8\nQ:"lively"\nK:C\nC4|]\n', id="words without a tempo"),
    ],
)
def test_barlines_signs_and_words_read_back_the_same(tune):
    piece = load_score(tune, cache=False)
    assert differences(piece, _again(piece)) == []


def test_repeat_taken_after_a_jump_and_dal_segno_read_back_the_same():
    again = barline("right", '<repeat direction="backward" after-jump="yes"/>')
    data = tune("{}", "{}" + again, "{}" + sign("segno"), "{}" + words("D.C. al Segno"))
    piece = load_score(data)
    assert differences(piece, _again(piece)) == []
    assert _again(piece).play_order == piece.play_order == (0, 1, 0, 1, 2, 3, 0, 1, 0, 1, 2)


def test_compressed_file_names_its_score(tmp_path):
    piece = load_score(CASES[0].parent / "pickup.musicxml")
    path = tmp_path / "piece.mxl"
    assert write_musicxml(piece, path) == path.read_bytes()
    with zipfile.ZipFile(path) as archive:
        assert "META-INF/container.xml" in archive.namelist()
    assert differences(piece, load_score(path)) == []


def test_unknown_view_and_folder_are_refused(tmp_path):
    piece = load_score(CASES[0].parent / "pickup.musicxml")
    with pytest.raises(ScoreError, match="view 'C'; allowed: 'written', 'concert'"):
        write_musicxml(piece, view="C")
    with pytest.raises(ScoreError, match="cannot be written"):
        write_musicxml(piece, tmp_path)


# Scores made at random. The truth is what was put in: what is read back must be the same music.

_VALUES = ("1", "2", "3", "4", "1/2", "3/2", "5/2", "7/4")
_BAR = st.lists(
    st.tuples(
        st.sampled_from(
            ["C", "^F", "_b", "e'", "G,", "z", "[CEG]", "{d}c", "(3abc (3abc", "F-F", '"Am7"A', '"D7/F#"F']
        ),
        st.sampled_from(_VALUES),
    ),
    min_size=1,
    max_size=6,
)


def _abc(bars, ends, voices, key):
    lines = ["X:1", "T:Chance", "M:4/4", "L:1/4", f"K:{key}"]
    for voice in range(voices):
        lines.append(f"V:{voice + 1}")
        for bar, end in zip(bars, ends, strict=True):
            lines.append(" ".join(token + (value if token[-1] not in "c" else "") for token, value in bar) + end)
    return ("\n".join(lines) + "\n").encode()


@given(
    bars=st.lists(_BAR, min_size=1, max_size=5),
    ends=st.lists(st.sampled_from(["|", "||", ":|", "::", "|]", ":|2", "|[M:3/4]", "|[K:Eb]"]), min_size=5, max_size=5),
    voices=st.integers(1, 3),
    key=st.sampled_from(["C", "F#m", "Bb", "Edor clef=bass"]),
)
@settings(max_examples=60, deadline=None)
def test_any_score_reads_back_the_same(bars, ends, voices, key):
    piece = load_score(_abc(bars, ends[: len(bars)], voices, key), cache=False)
    data = write_musicxml(piece)
    assert differences(piece, load_score(data, cache=False)) == []
    assert schema_faults(data) == []


@given(st.data())
@settings(max_examples=60, deadline=None)
def test_any_staves_voices_and_marks_read_back_the_same(data):
    def bar(first):
        top = "".join(
            data.draw(st.sampled_from([note("C5", 1), note("D#5", 1), rest(1), harmony("Bb") + note("Bb4", 1)]))
            for _ in range(data.draw(st.integers(0, 4)))
        )
        low = data.draw(st.sampled_from(["", note("C3", 4, "", voice=5).replace("</note>", "<staff>2</staff></note>")]))
        above = data.draw(st.sampled_from(["", words("dolce"), words("Fine", 'fine="yes"'), words("D.C. al Fine")]))
        back = f"<backup><duration>{4 * (top.count('<note'))}</duration></backup>" if top and low else ""
        around = data.draw(
            st.sampled_from(
                [
                    ("", ""),
                    (begin(1), stop(1, again=True)),
                    ("", barline("right", "<bar-style>light-light</bar-style>")),
                ]
            )
        )
        return around[0] + first + above + top + back + low + around[1]

    opening = attributes(more="<staves>2</staves>") + data.draw(st.sampled_from(["", harmony("F#", "dominant-ninth")]))
    bars = [measure(bar(opening if at == 0 else ""), at + 1) for at in range(data.draw(st.integers(1, 5)))]
    moved = "<transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>"
    second = [
        measure((attributes("3", more=moved) if at == 0 else "") + note("E4", 3), at + 1) for at in range(len(bars))
    ]
    file = score(bars, second)
    piece = load_score(file, cache=False)
    written = write_musicxml(piece)
    assert differences(piece, load_score(written, cache=False)) == []
    assert schema_faults(written) == []
