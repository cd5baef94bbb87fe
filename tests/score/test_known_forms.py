"""What `tests/published/known_forms.tsv` states of bundled pieces, found again in our note table.

Source: that table; its bar identities were measured on the bundled files with music21. Measures go by players' number.
"""

import csv
from pathlib import Path

import pytest
from music21 import corpus

from musictheory_nb.score.load import load_score

TABLE = Path(__file__).parents[1] / "published" / "known_forms.tsv"
ROWS = {
    row["corpus_path"]: row
    for row in csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines(), delimiter="\t", quoting=csv.QUOTE_NONE)
}


def piece_of(name):
    assert name in ROWS
    return load_score(corpus.getWork(name))


def content(piece, number, parts, staves):
    """Sounding notes of a measure by place and length, of all parts and staves or of some."""
    at = piece.measure_index(number)
    return sorted(
        (note.onset, note.duration, note.sounding.chromatic, note.part, note.staff)
        for note in piece.notes_of(at, at, parts)
        if not note.grace and note.staff in staves
    )


def same(piece, first, last, like, parts, staves):
    """How many of the measures first to last are note for note those from `like` on."""
    return sum(
        content(piece, number, parts, staves) == content(piece, like + number - first, parts, staves)
        for number in range(first, last + 1)
    )


IDENTITIES = [  # piece, returning bars, the bars they repeat, how many of them are the same, of which parts and staves
    ("joplin/maple_leaf_rag.mxl", 35, 50, 1, 15, (), (1, 2)),
    ("leadSheet/fosterBrownHair.mxl", 10, 13, 2, 4, (), (1, 2)),
    ("leadSheet/fosterBrownHair.mxl", 26, 29, 2, 4, (), (1, 2)),
    ("mozart/k156/movement3.mxl", 25, 30, 1, 6, (0,), (1, 2)),
    ("mozart/k80/movement3.mxl", 21, 28, 1, 7, (0,), (1, 2)),
    ("haydn/opus1no1/movement2.mxl", 25, 32, 1, 5, (0,), (1, 2)),
    ("haydn/opus74no1/movement3.mxl", 32, 39, 1, 8, (0,), (1, 2)),
    ("chopin/mazurka06-2.krn", 49, 56, 1, 7, (), (1, 2)),
    ("schumann_clara/polonaise_op1n1.mxl", 13, 16, 1, 4, (), (1, 2)),
    ("schumann_clara/polonaise_op1n3.mxl", 17, 20, 1, 3, (), (1,)),
]


@pytest.mark.parametrize(("name", "first", "last", "like", "count", "parts", "staves"), IDENTITIES)
def test_returning_bars_are_the_bars_that_the_table_names(name, first, last, like, count, parts, staves):
    assert f"{first}-" in ROWS[name]["evidence measured here"]
    assert same(piece_of(name), first, last, like, parts, staves) == count


def test_rag_strains_keys_and_repeats():
    piece = piece_of("joplin/maple_leaf_rag.mxl")
    keys = {key.start: (piece.measures[key.measure].number, key.fifths) for key in piece.key_signatures}
    assert list(keys.values()) == [("0", -4), ("51", -5), ("68", -4)]
    opens = [measure.number for measure in piece.measures if measure.repeat_start]
    closes = [measure.number for measure in piece.measures if measure.repeat_end]
    assert list(zip(opens, closes, strict=True)) == [("1", "16"), ("18", "33"), ("51", "66"), ("68", "83")]
    played = [measure.number for measure in piece.played().measures]
    # AABBACCDD: each strain twice but the returning A; second endings 17, 34, 67, 84
    numbers = [str(n) for n in range(86)]
    assert played == (
        numbers[0:17] + numbers[1:16] + numbers[17:34] + numbers[18:33] + numbers[34:67] + numbers[51:66]
        + numbers[67:84] + numbers[68:83] + numbers[84:85]
    )  # fmt: skip


def test_song_has_its_chord_symbols_endings_and_32_bars():
    piece = piece_of("leadSheet/fosterBrownHair.mxl")
    assert len([chord for chord in piece.chord_symbols if not chord.is_no_chord]) == 40
    assert [(m.number, m.ending) for m in piece.measures if m.ending] == [
        ("32", (1,)),
        ("33", (1,)),
        ("34", (2,)),
        ("35", (2,)),
    ]
    played = [measure.number for measure in piece.played().measures]
    assert played == [str(n) for n in [*range(1, 34), *range(2, 32), 34, 35]]


@pytest.mark.parametrize(
    ("name", "spans"),
    [
        ("mozart/k156/movement3.mxl", "1-14 1-36 15-46 37-62 47-62 1-36"),  # Menuetto da capo senza Ritornello
        ("mozart/k80/movement3.mxl", "1-8 1-28 9-36 29-52 37-52 1-28"),  # Menuetto da capo
        ("schumann_clara/polonaise_op1n1.mxl", "1-8 1-28 9-40 1-20"),  # 9-28 again at :| 28; D.C. al Fine (20)
        ("handel/rinaldo/Lascia_chio_pianga.mxl", "1-54 13-42"),  # D.S. (13) al Fine (42)
    ],
)
def test_da_capo_and_dal_segno(name, spans):
    piece = piece_of(name)
    found, order = [], [int(measure.number) for measure in piece.played().measures]
    for number in order:
        if found and number == found[-1][1] + 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    assert " ".join(f"{first}-{last}" for first, last in found) == spans


@pytest.mark.parametrize(("name", "place"), [("mozart/k156/movement3.mxl", "37"), ("mozart/k80/movement3.mxl", "29")])
def test_trio_begins_with_a_new_key(name, place):
    piece = piece_of(name)
    at = piece.measure_index(place)
    assert piece.measures[at - 1].fifths == 1
    assert piece.measures[at].fifths != 1


def test_prelude_lacks_the_bar_that_the_table_says_it_lacks():
    assert len(piece_of("bach/bwv846.mxl").measures) == 34
