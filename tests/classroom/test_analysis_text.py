"""The summary: what a teacher reads first, in lines that fit, with nothing lost and nothing that acts on a terminal."""

import music21
import pytest

from musictheory_nb.classroom.analysis_text import MOST_OF_A_KIND, analysis_lines
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.score.load import load_score

HEADINGS = ["Key", "Form", "Harmony, section by section", "Parts", "How sure"]


def load(name):
    return load_score(music21.corpus.getWork(name), cache=False)


def text(analysis, **options) -> str:
    return "\n".join(line.text for line in analysis_lines(analysis, **options))


@pytest.fixture(scope="module")
def minuet():
    return analyse(load("mozart/k156/movement3.mxl"))


@pytest.mark.parametrize("width", [60, 100])
def test_no_line_is_too_wide(minuet, width):
    assert max(len(line.text) for line in analysis_lines(minuet, width=width, every=True)) <= width


def test_headings_come_in_order(minuet):
    found = [line.text for line in analysis_lines(minuet) if line.is_heading]
    assert found[0] == "K.156 – W.A. Mozart"
    assert [heading for heading in found if heading in HEADINGS] == HEADINGS


def test_it_says_what_is_published_of_the_piece(minuet):
    # known_forms.tsv: minuet 1-14, 15-36 (return at 25), trio 37-46, 47-62; one sharp, then two flats
    told = text(minuet)
    assert "4 parts; 62 measures" in told
    assert "Minuet and trio" in told
    assert "G major" in told.partition("Form")[0]
    for place in ("A, bars 1-14", "A', bars 25-36", "C (trio), bars 37-46", "D (trio), bars 47-62"):
        assert place in told


def test_numerals_of_a_plain_cadence():
    """I-IV-V-I in C, written out; common practice, no source."""
    piece = load_score(b"X:1\nM:4/4\nL:1/1\nK:C\n[C,EGc]|[F,FAc]|[G,DGB]|[C,EGc]|]\n", cache=False)
    assert "1: [C major] I | 2: IV | 3: V | 4: I" in text(analyse(piece))


def test_a_chord_that_goes_on_into_a_section_is_in_brackets():
    """fosterBrownHair: C of bar 17 sounds on in bars 18 and 19, where the bridge begins (its symbols: music21)."""
    told = text(analyse(load("leadSheet/fosterBrownHair.mxl")))
    assert "18: [F major] (V) | 19: – | 20: I" in told


def test_what_is_left_out_is_counted_and_all_can_be_had():
    movement = analyse(load("haydn/opus74no1/movement1.mxl"))
    many = {name: found for name, found in movement.by_kind().items() if len(found) > MOST_OF_A_KIND}
    assert many
    name, found = next(iter(many.items()))
    assert f"… and {len(found) - MOST_OF_A_KIND} more; --all tells every one" in text(movement)
    everything = " ".join(text(movement, every=True).split())
    assert "--all" not in everything
    assert all(one.sentence in everything for one in found), name


def test_a_hostile_title_is_one_harmless_line():
    piece = load_score(b'X:1\nT:a\x1b[31mred\nM:4/4\nL:1/4\nK:C\nV:1 name="\x1b[2J"\nCDEF|]\n', cache=False)
    assert "\x1b" not in text(analyse(piece))


@pytest.mark.parametrize("source", [b"X:1\nM:4/4\nL:1/4\nK:C\nz4|]\n", b"X:1\nM:none\nL:1/4\nK:C\nC\n"])
def test_a_piece_with_next_to_nothing_in_it(source):
    told = text(analyse(load_score(source, cache=False)))
    assert "How sure" in told
