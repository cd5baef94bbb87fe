"""``musictheory-nb analyse`` and ``write``: what is printed and written, and one plain line when it cannot be."""

import json
import zipfile

import music21
import pytest

from musictheory_nb.cli import main
from musictheory_nb.score.load import load_score

TUNES = b"X:1\nT:One\nM:4/4\nL:1/4\nK:C\nCDEF|]\n\nX:2\nT:Two\nM:4/4\nL:1/4\nK:G\nGABc|]\n"


@pytest.fixture
def run(monkeypatch, capsys, tmp_path):
    """Return a function that runs the command line in an empty folder: (exit status, output, errors)."""
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("MUSICTHEORY_NB_CACHE", str(tmp_path / "kept scores"))
    monkeypatch.chdir(tmp_path)

    def call(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr("sys.argv", ["musictheory-nb", *map(str, arguments)])
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        return int(ended.value.code or 0), told.out, told.err

    return call


@pytest.mark.parametrize("command", ["analyse", "write"])
def test_help_has_an_example(run, command):
    status, out, _ = run(command, "--help")
    assert status == 0
    assert f"Example: musictheory-nb {command}" in " ".join(out.split())


def test_a_summary_is_plain_text_of_a_hundred_columns(run):
    status, out, errors = run("analyse", "mozart/k156/movement3.mxl")
    assert (status, errors) == (0, "")
    assert "\x1b" not in out
    assert max(map(len, out.splitlines())) <= 100
    assert "Minuet and trio" in out  # known_forms.tsv


def test_data_are_printed_and_written_alike(run, tmp_path):
    status, out, _ = run("analyse", "bach/bwv269.mxl", "--json")
    assert status == 0
    assert json.loads(out)["key"]["name"] == "G major"  # chorale_keys.tsv
    assert run("analyse", "bach/bwv269.mxl", "--to", "made/here.json")[0] == 0
    assert (tmp_path / "made" / "here.json").read_text(encoding="utf-8") == out


def test_a_page_is_written(run, tmp_path):
    status, out, errors = run("analyse", "bach/bwv269", "--to", "report.html", "--from", "5", "--until", "8")
    assert (status, errors) == (0, "")
    assert "report.html" in out
    page = (tmp_path / "report.html").read_text(encoding="utf-8")
    assert page.startswith("<!DOCTYPE html>")
    assert "Only findings of bars 5-8 are told." in page


def test_one_tune_of_several(run, tmp_path):
    (tmp_path / "two.abc").write_bytes(TUNES)
    assert run("analyse", "two.abc", "--tune", "2")[1].startswith("Two")
    status, out, errors = run("analyse", "two.abc")
    assert (status, out) == (2, "")
    assert "2 tunes" in errors


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("missing.xml", None),
        ("empty.musicxml", b""),
        ("text.txt", b"not a score"),
        ("cut.mxl", b"PK\x03\x04 cut off"),
        ("bomb.xml", b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbb"><!ENTITY c "&b;&b;">]><a>&c;</a>'),
        ("outside.xml", b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b SYSTEM "file:///etc/hosts">]><a>&b;</a>'),
    ],
)
@pytest.mark.parametrize("options", [(), ("--json",), ("--to", "r.html")])
def test_what_cannot_be_read_is_one_line_and_status_2(run, tmp_path, name, content, options):
    if content is not None:
        (tmp_path / name).write_bytes(content)
    status, out, errors = run("analyse", name, *options)
    assert (status, out) == (2, "")
    assert errors.startswith("Error: ")
    assert errors.count("\n") == 1
    assert name in errors
    assert not (tmp_path / "r.html").exists()


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--from", "99"), "measure '99'"),
        (("--part", "Trumpet"), "part 'Trumpet'"),
        (("--to", "x.pdf"), ".html for a page"),
    ],
)
def test_what_the_piece_does_not_have_is_one_line(run, options, message):
    status, out, errors = run("analyse", "bach/bwv269", *options)
    assert status in (1, 2)
    assert out == ""
    assert message in errors
    assert errors.count("\n") == 1


def test_names_lead_to_no_file_outside_the_bundled_ones(run):
    assert run("analyse", "../__init__.py")[0] == 2


def test_written_for_b_flat_instruments(run, tmp_path):
    """A B flat instrument reads a whole tone higher than it sounds; checked by music21's reading of the file."""
    assert run("write", "bach/bwv269", "--to", "alto.musicxml", "--part", "Alto", "--for", "Bb")[0] == 0
    piece = load_score(music21.corpus.getWork("bach/bwv269.mxl"), cache=False)
    sounding = [note.sounding.midi for note in piece.notes_of(parts=[piece.part_index("Alto")])]
    (part,) = music21.converter.parse(tmp_path / "alto.musicxml").parts
    assert [pitch.midi - 2 for note in part.recurse().notes for pitch in note.pitches] == sounding


def test_written_for_an_instrument_by_name(run, tmp_path):
    """A tenor saxophone reads a major ninth higher than it sounds."""
    status, out, _ = run("write", "bach/bwv269", "--to", "t.musicxml", "--part", "Tenor", "--for", "tenor saxophone")
    assert (status, "tenor saxophone" in out) == (0, True)
    piece = load_score(music21.corpus.getWork("bach/bwv269.mxl"), cache=False)
    part = load_score(tmp_path / "t.musicxml", cache=False)
    tenor = piece.notes_of(parts=[piece.part_index("Tenor")])
    assert [note.written.midi - 14 for note in part.notes] == [note.sounding.midi for note in tenor]
    assert [note.sounding for note in part.notes] == [note.sounding for note in tenor]


def test_written_as_midi_and_compressed(run, tmp_path):
    assert run("write", "bach/bwv269", "--to", "out/a.mid")[0] == 0
    assert (tmp_path / "out" / "a.mid").read_bytes()[:4] == b"MThd"
    assert run("write", "bach/bwv269", "--to", "a.mxl")[0] == 0
    assert zipfile.is_zipfile(tmp_path / "a.mxl")


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (("--to", "a.pdf"), ".musicxml for MusicXML"),
        (("--to", "a.mid", "--for", "Bb"), "MIDI holds what sounds"),
        (("--to", "a.musicxml", "--part", "Alto"), "name the instrument"),
        (("--to", "a.musicxml", "--for", "H"), "instrument 'H'"),
        (("--to", "a.musicxml", "--for", "saxophone"), "say which: 'soprano saxophone'"),
    ],
)
def test_what_cannot_be_written_is_one_line(run, tmp_path, options, message):
    status, _, errors = run("write", "bach/bwv269", *options)
    assert status in (1, 2)
    assert message in errors
    assert errors.count("\n") == 1
    assert not list(tmp_path.glob("a.*"))
