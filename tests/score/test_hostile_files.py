"""Files made to hurt, damaged files and files that are no scores: refused quickly, with one plain sentence.

Sources: XML 1.0 (entities, appendix F on encodings), MusicXML 4.0 (container), the ZIP file format, Standard MIDI Files 1.0.
"""

import io
import zipfile
import zlib

import pytest
from written_musicxml import HEAD, attributes, measure, note, score

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score

GOOD = score([measure(attributes() + note("C4", 4), 1)], names=["Flöte"])
TEXT = GOOD.decode("utf-8")


def archive(*members, container=None, method=zipfile.ZIP_DEFLATED):
    """A ZIP archive; `container` is the path that its container names, or None for no container."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", method) as made:
        for name, data in members:
            made.writestr(name, data)
        if container is not None:
            made.writestr(
                "META-INF/container.xml",
                f'<container><rootfiles><rootfile full-path="{container}"/></rootfiles></container>',
            )
    return buffer.getvalue()


@pytest.mark.parametrize(
    "encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "iso-8859-1", "windows-1252"]
)
def test_every_encoding_is_read_as_written(encoding):
    stated = {"utf-8-sig": "UTF-8", "utf-16-le": "UTF-16", "utf-16-be": "UTF-16"}.get(encoding, encoding)
    data = TEXT.replace('encoding="UTF-8"', f'encoding="{stated}"').encode(encoding)
    assert load_score(data).parts[0].name == "Flöte"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-16", "windows-1252"])
def test_no_declaration(encoding):
    text = TEXT.removeprefix(HEAD)
    if encoding == "windows-1252":
        with pytest.raises(ScoreError, match=r"not in the encoding that it states \(utf-8\)"):
            load_score(text.encode(encoding))
    else:
        assert load_score(text.encode(encoding)).parts[0].name == "Flöte"


def test_encoding_that_is_not_true():
    with pytest.raises(ScoreError, match="not in the encoding that it states"):
        load_score(TEXT.encode("iso-8859-1"))
    assert load_score(TEXT.replace("UTF-8", "UTF-16").encode("utf-8")).parts[0].name == "Flöte"
    with pytest.raises(ScoreError, match="encoding 'ebcdic-us'"):
        load_score(TEXT.replace("UTF-8", "EBCDIC-US").encode("utf-8"))


BOMB = "".join(f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefgh", "bcdefghi", strict=True))
DOCTYPES = [
    f'<!DOCTYPE score-partwise [<!ENTITY a "aaaaaaaaaa">{BOMB}]>',
    '<!DOCTYPE score-partwise [<!ENTITY x SYSTEM "file:///etc/hostname">]>',
    '<!DOCTYPE score-partwise [<!ENTITY x PUBLIC "-//X//EN" "http://example.org/x">]>',
    '<!DOCTYPE score-partwise [<!ENTITY % p SYSTEM "http://example.org/x.dtd"> %p;]>',
    "<!DOCTYPE score-partwise [\n<!ELEMENT a ANY>\n<!ENTITY\tx 'y'>]>",
]


@pytest.mark.parametrize("doctype", DOCTYPES)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_are_refused_before_a_parser_sees_them(doctype, encoding, monkeypatch):
    import xml.etree.ElementTree as ElementTree

    monkeypatch.setattr(ElementTree, "fromstring", lambda *_: pytest.fail("parsed"))
    for text in (TEXT.removeprefix(HEAD), TEXT.removeprefix(HEAD).replace("score-partwise", "mei")):
        with pytest.raises(ScoreError, match="document type defines entities"):
            load_score((doctype + text).encode(encoding))


def test_public_document_type_is_no_harm_and_never_fetched():
    doctype = '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://127.0.0.1:9/partwise.dtd">'
    assert len(load_score((doctype + TEXT.removeprefix(HEAD)).encode()).notes) == 1


def test_entity_that_nobody_defines():
    with pytest.raises(ScoreError, match="damaged at line 2"):
        load_score(TEXT.replace("Flöte", "&flute;").encode())


@pytest.mark.parametrize("part", [0.1, 0.5, 0.9, 0.99])
def test_truncated_score(part):
    with pytest.raises(ScoreError, match="breaks off or is damaged at line"):
        load_score(GOOD[: int(len(GOOD) * part)])


@pytest.mark.parametrize("data", [b"", b"  \n", b"\xef\xbb\xbf"])
def test_empty_file(data):
    with pytest.raises(ScoreError, match=r"empty|no format"):
        load_score(data)


NO_SCORES = [
    (b"%PDF-1.7", "PDF"),
    (b"\x89PNG\r\n", "picture"),
    (b"<!DOCTYPE html><html><body></body></html>", "web page"),
    (b"<?xml version='1.0'?><museScore version='4'/>", "notation program"),
    (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "outermost tag is <svg>"),
    (b"Dear teacher, here is my homework.", "no format that is read"),
    (b"\x00\x01\x02\x03" * 50, "no format that is read"),
    (b"<score-partwise/>", "no <part-list>"),
    (b"<score-partwise><part-list><score-part id='P1'/></part-list></score-partwise>", "has the music of none"),
    (
        b"<score-partwise><part-list><score-part id='P1'/></part-list><part id='P1'/></score-partwise>",
        "this score is empty",
    ),
    (
        b"<score-partwise><part-list><score-part id='P1'/></part-list><part id='P1'><measure/></part></score-partwise>",
        "empty",
    ),
    (
        b"<score-partwise><part-list><score-part id='P1'/></part-list><part id='P2'/></score-partwise>",
        "does not name part 'P2'",
    ),
    (b"<mei><music/></mei>", "holds no <score>"),
    (b"X:1\nT:nothing\nK:C\n", "empty"),
    (b"**kern\n*-\n", "Humdrum|empty"),
    (b"MThd\x00\x00\x00\x06\x00\x01", "breaks off in its header"),
]


@pytest.mark.parametrize(("data", "said"), NO_SCORES, ids=[said for _, said in NO_SCORES])
def test_what_is_no_score_is_named(data, said):
    with pytest.raises(ScoreError, match=said):
        load_score(data)


def test_paths_that_are_no_files(tmp_path):
    with pytest.raises(ScoreError, match="there is no such file"):
        load_score(tmp_path / "none.musicxml")
    with pytest.raises(ScoreError, match="that is a folder"):
        load_score(tmp_path)
    with pytest.raises(ScoreError, match="cannot be opened"):
        load_score("a\0b.musicxml")


def test_something_else_altogether():
    with pytest.raises(ScoreError, match="score 'int': give a path, bytes or a music21 stream"):
        load_score(3)


# Archives


@pytest.mark.parametrize(
    "name", ["score.xml", "music/my score.xml", ".xml", "score.mxl", "Ünïcode.musicxml", "a/b/../c.xml"]
)
def test_container_names_any_file(name):
    other = score([measure(attributes() + note("D4", 4), 1)])
    data = archive(("aaa.xml", other), (name, GOOD), ("zzz.xml", other), container=name)
    assert load_score(data).notes[0].written.name == "C4"


def test_container_in_percent_encoding_and_with_backslashes():
    assert len(load_score(archive(("my score.xml", GOOD), container="my%20score.xml")).notes) == 1
    assert len(load_score(archive(("music/a.xml", GOOD), container="music\\a.xml")).notes) == 1


def test_container_prefers_the_score_to_other_renditions():
    """MusicXML 4.0: the first rootfile is the score; others are renditions such as PDF."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as made:
        made.writestr("a.xml", GOOD)
        made.writestr("a.pdf", b"%PDF")
        made.writestr(
            "META-INF/container.xml",
            '<container><rootfiles><rootfile full-path="a.pdf" media-type="application/pdf"/>'
            '<rootfile full-path="a.xml" media-type="application/vnd.recordare.musicxml+xml"/></rootfiles></container>',
        )
    assert len(load_score(buffer.getvalue()).notes) == 1


def test_archive_without_container():
    assert len(load_score(archive(("only.xml", GOOD))).notes) == 1
    with pytest.raises(ScoreError, match=r"no META-INF/container.xml .* 'a.xml', 'b.xml'"):
        load_score(archive(("a.xml", GOOD), ("b.xml", GOOD)))


@pytest.mark.parametrize("path", ["../outside.xml", "/etc/hostname", "missing.xml", "C:\\windows\\win.ini", ""])
def test_container_that_leads_outside_or_nowhere(path, tmp_path, monkeypatch):
    (tmp_path / "outside.xml").write_bytes(GOOD)
    (tmp_path / "inside").mkdir()
    monkeypatch.chdir(tmp_path / "inside")
    with pytest.raises(ScoreError, match="which is not in the archive"):
        load_score(archive(("a.xml", GOOD), container=path))


def test_nothing_of_an_archive_is_written_to_disk(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    load_score(archive(("../up.xml", GOOD), ("/abs.xml", GOOD), ("a.xml", GOOD), container="a.xml"), cache=False)
    assert list(tmp_path.iterdir()) == []


def test_archive_that_unpacks_without_end():
    with pytest.raises(ScoreError, match="would unpack to 50000000 bytes; that is no score"):
        load_score(archive(("a.xml", b" " * 50_000_000), container="a.xml"))


def test_archive_that_lies_about_its_size():
    data = bytearray(archive(("a.xml", GOOD + b" " * 3_000_000), container="a.xml"))
    at = data.rfind(b"a.xml") - 46  # the central directory entry; its uncompressed size stands at 24
    assert data[at : at + 4] == b"PK\x01\x02"
    data[at + 24 : at + 28] = (1000).to_bytes(4, "little")
    with pytest.raises(ScoreError):
        load_score(bytes(data))


def test_archive_in_an_archive():
    inner = archive(("a.xml", GOOD), container="a.xml")
    with pytest.raises(ScoreError, match="holds another archive"):
        load_score(archive(("a.mxl", inner), container="a.mxl"))


def test_damaged_archive():
    data = bytearray(archive(("a.xml", GOOD), container="a.xml"))
    data[40] ^= 0xFF
    with pytest.raises(ScoreError, match="damaged"):
        load_score(bytes(data))
    with pytest.raises(ScoreError, match="damaged"):
        load_score(bytes(data[: len(data) // 2]))


def test_locked_archive():
    data = bytearray(archive(("a.xml", GOOD), container="a.xml", method=zipfile.ZIP_STORED))
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        at = data.find(mark)
        data[at + offset] |= 1
    with pytest.raises(ScoreError, match="locked with a password"):
        load_score(bytes(data))


def test_container_with_entities():
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as made:
        made.writestr("a.xml", GOOD)
        made.writestr("META-INF/container.xml", f"{DOCTYPES[1]}<container><rootfiles/></container>")
    with pytest.raises(ScoreError, match="defines entities"):
        load_score(buffer.getvalue())


def test_too_many_members():
    with pytest.raises(ScoreError, match="2001 files"):
        load_score(archive(*[(f"{n}.txt", b"") for n in range(2000)], container="a.xml"))


def test_deep_nesting_is_no_crash():
    deep = "<a>" * 200_000 + "</a>" * 200_000
    with pytest.raises(ScoreError):
        load_score(f"<score-partwise>{deep}</score-partwise>".encode())
    assert zlib.crc32(deep.encode())  # the text really was built


def test_numbers_without_end():
    for huge in ("9" * 100, "1e999999999", "0." + "1" * 100_000, "inf", "nan", "٣"):
        text = TEXT.replace("<duration>16<", f"<duration>{huge}<")
        try:
            piece = load_score(text.encode())
        except ScoreError:
            continue
        assert piece.length < 10_000
