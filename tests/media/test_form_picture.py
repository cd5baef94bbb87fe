"""The form chart: sections, keys and players of bundled pieces whose plan is published, and pieces of every size."""

import re
from xml.etree import ElementTree

import pytest
from music21 import corpus

from musictheory_nb.media.form_picture import form_picture
from musictheory_nb.media.picture import HATCHES, INK
from musictheory_nb.media.section_band import look, played_bands, written_bands
from musictheory_nb.score.load import load_score


def texts(svg: str) -> list[str]:
    return [
        "".join(element.itertext()).strip()
        for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")
    ]


@pytest.fixture(scope="module")
def minuet():
    return load_score(corpus.getWork("mozart/k156/movement3.mxl"), cache=False)


def test_sections_of_a_minuet_and_trio(minuet):
    # tests/published/known_forms.tsv: minuet 1-14, 15-36 with a return at 25; trio 37-46, 47-62; then da capo
    told = form_picture(minuet).alt
    sections = re.findall(r"([A-Z]'?)(?: \(trio\))?, bars (\d+)-(\d+)", told.partition(" Keys: ")[0])
    strains = {("1", "14"), ("15", "24"), ("25", "36"), ("37", "46"), ("47", "62")}
    assert {bars for _, *bars in sections for bars in [tuple(bars)]} == strains
    assert [label for label, first, _ in sections if first in ("37", "47")] == ["C", "C", "D", "D"]
    assert "minuet and trio" in told


def test_every_line_says_whose_rows_these_are(minuet):
    shown = texts(form_picture(minuet).svg)
    lines = shown.count("Key")
    assert lines >= 2
    assert all(shown.count(part.name) == lines for part in minuet.parts)


def test_bands_cover_the_piece_as_written_and_as_played(minuet):
    played = played_bands(minuet)
    assert [band.first for band in played] == [0, *(band.last + 1 for band in played[:-1])]
    assert played[-1].last == len(minuet.played().measures) - 1
    measures = [at for band in written_bands(minuet) for at in range(band.first, band.last + 1)]
    assert measures == list(range(len(minuet.measures)))


def test_who_does_not_play_is_said():
    duo = load_score(
        b'X:1\nM:4/4\nL:1/4\nK:C\nV:1 name="Oboe"\nCDEF|GABc|cBAG|FEDC|]\nV:2 name="Horn"\nz4|z4|z4|z4|]\n', cache=False
    )
    told = form_picture(duo).alt
    assert "Oboe plays in every section" in told
    assert "Horn does not play" in told


@pytest.mark.parametrize("bars", [1, 4, 9, 130, 700])
@pytest.mark.parametrize("parts", [1, 20])
def test_any_size_can_be_drawn(bars, parts):
    """It fits a page's width, and its height but for a score of very many parts."""
    voices = "".join(f'V:{v} name="Instrument {v}"\n' + "CDEF|" * bars + "\n" for v in range(1, parts + 1))
    piece = load_score(f"X:1\nT:Long\nM:4/4\nL:1/4\nK:C\n{voices}".encode(), cache=False)
    root = ElementTree.fromstring(form_picture(piece).svg)
    width, height = (float(root.get(side).removesuffix("pt")) for side in ("width", "height"))
    assert 600 <= width <= 720
    assert height <= max(800, 20 * parts + 200)


def test_no_text_runs_out_of_the_picture():
    """Texts begin at the place that the SVG gives; a letter is 0.55 of the type's size wide on average (from memory)."""
    piece = load_score(corpus.getWork("joplin/maple_leaf_rag.mxl"), cache=False)
    svg = form_picture(piece).svg
    width = float(re.search(r'width="([\d.]+)pt"', svg)[1])
    placed = re.findall(
        r'<text style="[^"]*font-size: ([\d.]+)px[^"]*start;[^"]*" x="([\d.]+)"[^>]*>([^<]*)</text>', svg
    )
    placed += re.findall(r'<text style="font: ([\d.]+)px[^"]*start;[^"]*" x="([\d.]+)"[^>]*>([^<]*)</text>', svg)
    assert len(placed) > 50
    assert max(float(x) + 0.55 * float(size) * len(told) for size, x, told in placed) <= width


def test_a_piece_of_percussion_has_sections_and_players_but_no_keys():
    drums = load_score(b"X:1\nM:4/4\nL:1/4\nK:C clef=perc\nV:1\n%%MIDI channel 10\nCCCC|CCCC|]\n", cache=False)
    assert form_picture(drums).alt.startswith("Form as played, 2 measures")


def test_patterns_tell_letters_apart_without_colour():
    looks = [look(place) for place in range(6)]
    assert len({one["hatch"] for one in looks}) == 6 == len(HATCHES)
    assert len({one["facecolor"] for one in looks}) == 6
    pairs = {(one["facecolor"], one["hatch"]) for one in map(look, range(36))}
    assert len(pairs) == 36


def test_equal_pieces_give_equal_bytes(minuet):
    again = load_score(corpus.getWork("mozart/k156/movement3.mxl"), cache=False)
    picture = form_picture(minuet)
    assert picture == form_picture(again)
    assert INK not in picture.svg.replace(f"var(--jp-content-font-color1, {INK})", "")


def test_a_title_with_dollars_and_markup_is_text():
    piece = load_score(b'X:1\nT:<b>$x^2$ & "y"\nM:4/4\nL:1/4\nK:C\nV:1 name="$a$ <i>"\nCDEF|]\n', cache=False)
    picture = form_picture(piece)
    assert "$x^2$" in picture.alt
    assert any("$a$ <i>" in text for text in texts(picture.svg))
