"""Forms of bundled pieces, against `tests/published/known_forms.tsv` (bar plans; identities measured there with music21).

Every row's statement about form stands below as data, in the words of the table where they fit; sections are told by the
numbers of their measures. The prelude is a pedal entry and is checked with the pedal points.
"""

import csv
from functools import cache
from pathlib import Path

import pytest
from music21 import corpus

from musictheory_nb.score.form_section import find_form
from musictheory_nb.score.load import load_score

TABLE = Path(__file__).parents[1] / "published" / "known_forms.tsv"
ROWS = {
    row["corpus_path"]: row
    for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE)
}


@cache
def form_of(name):
    assert name in ROWS, "a piece of the table"
    return find_form(load_score(corpus.getWork(name), cache=False))


def section_at(name, measure):
    """The first section that begins at a measure."""
    found = [section for section in form_of(name).sections if section.first_measure == str(measure)]
    assert found, f"no section at {measure}: {[section.first_measure for section in form_of(name).sections]}"
    return found[0]


STARTS = [  # piece, measures at which the table says that a section begins
    ("joplin/maple_leaf_rag.mxl", (1, 18, 35, 51, 68)),
    ("leadSheet/fosterBrownHair.mxl", (2, 10, 18, 26)),
    ("leadSheet/berlinAlexandersRagtime.mxl", (2,)),
    ("mozart/k156/movement3.mxl", (1, 15, 25, 37, 47)),
    ("mozart/k80/movement3.mxl", (1, 9, 21, 29, 37)),
    ("haydn/opus1no1/movement2.mxl", (1, 11, 25, 35)),
    ("haydn/opus74no1/movement3.mxl", (1, 15, 32, 61)),
    ("haydn/opus74no1/movement1.mxl", (1, 3, 55)),
    ("haydn/opus74no1/movement2.mxl", (1, 58, 94)),
    ("haydn/opus74no1/movement4.mxl", (1, 107, 155)),
    ("chopin/mazurka06-2.krn", (1, 9, 49)),
    ("schumann_clara/polonaise_op1n1.mxl", (1, 9, 13, 21)),
    ("schumann_clara/polonaise_op1n3.mxl", (1, 9, 17, 25)),
    ("handel/rinaldo/Lascia_chio_pianga.mxl", (1, 13, 43)),
    ("beethoven/opus18no1/movement3.mxl", (1, 11, 86)),
]


@pytest.mark.parametrize(("name", "starts"), STARTS)
def test_sections_begin_where_the_table_says(name, starts):
    text = " ".join(ROWS[name].values())
    found = {section.first_measure for section in form_of(name).sections}
    for start in starts:
        assert str(start) in text
        assert str(start) in found


def test_table_is_checked_row_by_row():
    assert {name for name, _ in STARTS} == {row for row in ROWS if not row.startswith("bach/")}


def test_rag_has_the_plan_of_the_table():
    form = form_of("joplin/maple_leaf_rag.mxl")
    assert form.plan == "AABBACCDD"
    assert form.name == "rag"
    spans = [(section.first_measure, section.last_measure) for section in form.sections]
    assert spans == [
        ("1", "16"),
        ("1", "17"),
        ("18", "33"),
        ("18", "34"),
        ("35", "50"),
        ("51", "66"),
        ("51", "67"),
        ("68", "83"),
        ("68", "84"),
    ]
    assert form.labels[4] == "A'"
    assert {section.role for section in form.sections if section.letter == "C"} == {"trio"}


def test_the_rag_says_how_its_first_strain_returns():
    # known_forms.tsv: bars 35-50 = 1-16 in 15 of 16 bars, right and left hand
    told = section_at("joplin/maple_leaf_rag.mxl", 35).differences
    assert told
    assert all(one.bars == ("50",) and one.parts == ("Piano",) for one in told)
    assert all(one.sentence.startswith("bar 50 (as against bar 16): ") for one in told)


def test_song_is_aaba():
    form = form_of("leadSheet/fosterBrownHair.mxl")
    assert form.plan == "AABA"
    assert form.labels == ("Intro", "A", "A'", "B", "A''")
    assert form.name == "32-bar AABA"
    assert form.times == 2
    assert [section.first_measure for section in form.sections if section.letter] == ["2", "10", "18", "26"]
    # known_forms.tsv: bars 10-13 and 26-29 are bars 2-5, so nothing before bar 14 may be called changed
    assert section_at("leadSheet/fosterBrownHair.mxl", 10).changes[0].startswith("bars 14-17 (as against bars 6-9)")


def test_chorus_of_32_bars():
    form = form_of("leadSheet/berlinAlexandersRagtime.mxl")
    assert form.name.startswith("32-bar")
    assert sum(section.bars for section in form.sections if section.letter) == 32


@pytest.mark.parametrize(
    ("name", "trio", "inner"),
    [
        ("mozart/k156/movement3.mxl", 37, "rounded binary"),
        ("mozart/k80/movement3.mxl", 29, "rounded binary"),
        ("haydn/opus1no1/movement2.mxl", 35, "rounded binary"),
        ("haydn/opus74no1/movement3.mxl", 61, "rounded binary"),
        ("beethoven/opus18no1/movement3.mxl", 86, ""),
    ],
)
def test_dance_and_trio(name, trio, inner):
    form = form_of(name)
    row = ROWS[name]["form"].casefold().replace("menuetto", "minuet")
    dances = form.name.removesuffix(" and trio").split(" or ")
    assert form.name.endswith(" and trio")
    assert any(dance in row for dance in dances)
    assert section_at(name, trio).role == "trio"
    before = [section for section in form.sections if section.role != "trio"]
    assert all(int(section.last_measure) < trio for section in before)
    if inner:
        assert form.inner_names[0] == inner


@pytest.mark.parametrize(
    ("name", "back", "of"),
    [
        ("mozart/k156/movement3.mxl", 25, 1),
        ("mozart/k80/movement3.mxl", 21, 1),
        ("haydn/opus1no1/movement2.mxl", 25, 1),
        ("haydn/opus74no1/movement3.mxl", 32, 1),
        ("haydn/opus74no1/movement2.mxl", 94, 1),
        ("haydn/opus74no1/movement4.mxl", 155, 1),
        ("schumann_clara/polonaise_op1n1.mxl", 13, 1),
        ("schumann_clara/polonaise_op1n3.mxl", 17, 1),
        ("chopin/mazurka06-2.krn", 49, 1),
    ],
)
def test_return_is_told_as_one(name, back, of):
    form = form_of(name)
    section = section_at(name, back)
    assert section.like is not None
    assert form.sections[section.like].first_measure == str(of)


@pytest.mark.parametrize(
    ("name", "development", "recapitulation"),
    [
        (
            "haydn/opus74no1/movement1.mxl",
            55,
            None,
        ),  # the table gives "55/57-": a lead of two bars, then the development
        ("haydn/opus74no1/movement2.mxl", 58, 94),
        ("haydn/opus74no1/movement4.mxl", 107, 155),
    ],
)
def test_sonata_movements(name, development, recapitulation):
    form = form_of(name)
    assert form.name == "sonata form"
    assert section_at(name, development).role == "development"
    if recapitulation is not None:
        assert section_at(name, recapitulation).role == "recapitulation"
    assert form.sections[0].role in ("exposition", "introduction")


def test_mazurka_is_ternary_and_its_opening_an_introduction():
    form = form_of("chopin/mazurka06-2.krn")
    assert form.name == "ternary"
    assert (form.sections[0].role, form.sections[0].last_measure) == ("introduction", "8")


@pytest.mark.parametrize("name", ["schumann_clara/polonaise_op1n1.mxl", "schumann_clara/polonaise_op1n3.mxl"])
def test_polonaises_are_da_capo_with_a_trio(name):
    form = form_of(name)
    assert form.name == "da capo with trio"
    assert form.inner_names[0] == "rounded binary"
    assert form.sections[-1].label in ("A", "A'")


def test_aria_is_aba_behind_an_introduction():
    form = form_of("handel/rinaldo/Lascia_chio_pianga.mxl")
    assert form.plan == "ABA"
    assert form.name == "dal segno (ABA)"
    spans = [(section.first_measure, section.last_measure) for section in form.sections]
    assert spans == [("1", "12"), ("13", "42"), ("43", "54"), ("13", "42")]
    assert form.sections[0].role == "introduction"
