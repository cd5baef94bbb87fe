"""The page about a piece: it stands alone, every picture and notation has its words, and hostile text stays text."""

import base64
import re
from html.parser import HTMLParser
from itertools import pairwise

import music21
import pytest

from musictheory_nb.classroom.analysis_page import MOST_ENGRAVED, PARTS, analysis_html
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.classroom.proving_notation import MOST_STAVES, proving_notation
from musictheory_nb.score.load import load_score

#: HTML Living Standard, 13.1.2: elements without an end tag.
VOID = {"meta", "img", "br", "hr"}


class Page(HTMLParser):
    """Reads a page: elements with their attributes and parents, and the text."""

    def __init__(self, data: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[tuple[str, dict]] = []
        self.open: list[str] = []
        self.text: list[str] = []
        self.feed(data.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag, attributes):
        self.found.append((tag, dict(attributes)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag, "elements overlap"

    def handle_data(self, data):
        self.text.append(data)

    def all(self, tag):
        return [attributes for name, attributes in self.found if name == tag]


def load(name):
    return load_score(music21.corpus.getWork(name), cache=False)


@pytest.fixture(scope="module")
def chorale():
    return analyse(load("bach/bwv269.mxl"))


@pytest.fixture(scope="module")
def data(chorale):
    return analysis_html(chorale)


@pytest.fixture(scope="module")
def page(data):
    return Page(data)


def test_it_stands_alone_and_runs_nothing(page, data):
    assert not page.open
    assert page.all("html") == [{"lang": "en"}]
    assert {tag for tag, _ in page.found}.isdisjoint({"script", "link", "iframe", "object", "embed", "form", "svg"})
    for tag, attributes in page.found:
        assert not [name for name in attributes if name.startswith("on") or name == "style"], tag
        for name in ("src", "href"):
            assert attributes.get(name, "#").startswith(("#", "data:image/svg+xml;base64,"))
    assert b"url(" not in data


def test_pictures_hold_no_address_and_no_script(page):
    for image in page.all("img"):
        svg = base64.b64decode(image["src"].partition(",")[2]).decode("utf-8")
        assert not re.findall(r"https?://(?!www\.w3\.org/)", svg)
        assert "<script" not in svg


def test_every_picture_and_notation_has_its_words(page):
    figures, twins = page.all("figure"), page.all("details")
    assert len(figures) == len(twins) == len(page.all("img")) > 6
    assert all(image["alt"].strip() for image in page.all("img"))


def test_headings_landmarks_and_links(page):
    levels = [int(tag[1]) for tag, _ in page.found if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))
    assert [len(page.all(tag)) for tag in ("header", "main", "nav")] == [1, 1, 1]
    ids = [attributes["id"] for _, attributes in page.found if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert {link["href"].removeprefix("#") for link in page.all("a")} <= set(ids)
    assert set(PARTS) <= set(ids)
    assert "main" in ids


def test_every_finding_is_told_and_the_surest_are_engraved(chorale, page):
    told = " ".join(" ".join(page.text).split())
    for name, found in chorale.by_kind().items():
        assert all(f"{one.sentence} ({100 * one.confidence:.0f} % sure)" in told for one in found), name
    shown = sum(image["alt"].startswith("Notation of") for image in page.all("img"))
    assert shown == sum(min(len(found), MOST_ENGRAVED) for found in chorale.by_kind().values())


def test_all_can_be_engraved(chorale):
    every = Page(analysis_html(chorale, every=True))
    assert sum(image["alt"].startswith("Notation of") for image in every.all("img")) == len(chorale.findings)


def test_same_piece_same_file(data):
    assert analysis_html(analyse(load("bach/bwv269.mxl"))) == data


def test_proving_notes_are_ringed_in_words_too():
    """B4 to F5 in bar 2, beats 2 and 3."""
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GBfe|dcBd|c4|]\n", cache=False)
    (leap,) = [one for one in piece.devices() if one.name == "tritone leap"]
    notation = proving_notation(piece, leap)
    assert notation.engraving.text.count("marked") == 2
    assert notation.engraving.svg.count('class="music-mark"') == 2
    assert notation.is_marked


def test_notes_of_a_transposing_part_are_ringed_as_its_player_reads_them():
    """A clarinet in B flat that sounds B4 to F5 reads C#5 to G5."""
    written = music21.stream.Score()
    part = music21.stream.Part()
    part.insert(0, music21.instrument.Clarinet())
    for name in ("D4", "E4", "F#4", "G4", "A4", "C#5", "G5", "F#5", "E5", "D5", "C#5", "E5", "D5"):
        part.append(music21.note.Note(name, quarterLength=4 if name == "D5" and len(part.notes) == 12 else 1))
    written.insert(0, part.makeMeasures())
    path = written.write("musicxml")
    piece = load_score(path, cache=False)
    leaps = [one for one in piece.devices() if one.name == "tritone leap"]
    assert leaps
    notation = proving_notation(piece, leaps[0])
    assert notation.engraving.svg.count('class="music-mark"') == len(leaps[0].notes) == 2


def test_many_parts_and_many_bars_are_cut_to_what_fits():
    voices = "".join(f'V:{v} name="Part {v}"\n' + "CDEF|" * 40 + "\n" for v in range(1, 13))
    piece = load_score(f"X:1\nM:4/4\nL:1/4\nK:C\n{voices}".encode(), cache=False)
    (tutti,) = [one for one in piece.devices() if one.name in ("unison", "tutti")][:1]
    notation = proving_notation(piece, tutti)
    assert f"{MOST_STAVES} of 12 parts" in notation.shown
    assert "bars 1-3 of 1-40" in notation.shown


@pytest.mark.parametrize("text", ["<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "</style><b>"])
def test_hostile_text_is_text(text):
    def made(title):
        return Page(analysis_html(analyse(load_score(
            f"X:1\nT:{title}\nC:{title}\nM:4/4\nL:1/4\nK:C\nV:1 name=\"{title.replace(chr(34), '')}\"\nCDEF|GABc|]\n".encode(), cache=False
        ))))  # fmt: skip

    hostile, plain = made(text), made("Plain")
    assert [tag for tag, _ in hostile.found] == [tag for tag, _ in plain.found], "the text made elements"
    assert text in "".join(hostile.text)


@pytest.mark.parametrize("source", [b"X:1\nM:4/4\nL:1/4\nK:C\nz4|]\n", b"X:1\nM:none\nL:1/4\nK:C\nC\n"])
def test_a_piece_with_next_to_nothing_in_it(source):
    assert not Page(analysis_html(analyse(load_score(source, cache=False)))).open
