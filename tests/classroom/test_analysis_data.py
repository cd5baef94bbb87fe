"""Data of a piece: the published schema holds it, and its key, form and counts are those stated elsewhere."""

import csv
import json
from fractions import Fraction
from pathlib import Path

import jsonschema
import music21
import pytest

from musictheory_nb.classroom.analysis_data import analysis_data, analysis_json, analysis_schema
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.errors import ScoreError
from musictheory_nb.score.load import load_score

PUBLISHED = Path(__file__).parents[1] / "published"
PIECES = [
    "mozart/k156/movement3.mxl",
    "leadSheet/fosterBrownHair.mxl",
    "bach/bwv846.mxl",
    "joplin/maple_leaf_rag.mxl",
    "schoenberg/opus19/movement2.mxl",
]
ODD = {
    "silence": b"X:1\nM:4/4\nL:1/4\nK:C\nz4|z4|]\n",
    "one note": b"X:1\nM:none\nL:1/4\nK:C\nC\n",
    "chords alone": b'X:1\nM:4/4\nL:1/4\nK:C\n"Am"z4|"D7"z4|"N.C."z4|]\n',
}


def load(name):
    return load_score(music21.corpus.getWork(name), cache=False)


@pytest.fixture(scope="module")
def minuet():
    return analyse(load("mozart/k156/movement3.mxl"))


@pytest.fixture(scope="module")
def validator():
    schema = analysis_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    return jsonschema.Draft202012Validator(schema)


@pytest.mark.parametrize("name", PIECES)
def test_schema_holds_bundled_pieces(validator, name):
    data = json.loads(analysis_json(analyse(load(name))))
    assert [error.message for error in validator.iter_errors(data)] == []
    assert data["harmony"]


@pytest.mark.parametrize("name", ODD)
def test_schema_holds_pieces_with_next_to_nothing_in_them(validator, name):
    data = json.loads(analysis_json(analyse(load_score(ODD[name], cache=False))))
    assert [error.message for error in validator.iter_errors(data)] == []
    assert data["form"]["sections"]


def test_schema_refuses_what_is_not_so(validator, minuet):
    data = json.loads(analysis_json(minuet))
    for wrong in (
        {**data, "format_version": 2},
        {**data, "key": {**data["key"], "confidence_ratio": 1.5}},
        {**data, "more": 1},
        {name: value for name, value in data.items() if name != "harmony"},
    ):
        assert not validator.is_valid(wrong)


def test_every_object_of_the_schema_is_closed_and_every_number_names_its_unit():
    """Units: the list in the schema's own description; a beat counts beats, an index and a count are plain numbers."""
    units = (
        "_quarters",
        "_count",
        "_index",
        "_midi",
        "_semitones",
        "_per_minute",
        "_ratio",
        "beat",
        "_version",
        "index",
    )

    def walk(name, part):
        if part.get("type") == "object" and name != "details":
            assert part["additionalProperties"] is False, name
            assert set(part["required"]) == set(part["properties"]), name
        kinds = part.get("type", [])
        is_number = not {"integer", "number"}.isdisjoint([kinds] if isinstance(kinds, str) else kinds)
        if (is_number or part.get("$ref") in ("#/$defs/exact", "#/$defs/midi")) and name != "score":
            assert name.endswith(units), name
        for inner, below in part.get("properties", {}).items():
            walk(inner, below)
        for below in part.get("oneOf", ()):
            walk(name if below.get("type") == "object" else f"{name}_count", below)
        if "items" in part:
            walk(f"{name}_item", part["items"])

    walk("data", analysis_schema())


def test_form_is_the_published_one(minuet):
    # known_forms.tsv: minuet 1-14, 15-36 with a return at 25; trio 37-46, 47-62
    form = analysis_data(minuet)["form"]
    firsts = {(one["first_measure_number"], one["last_measure_number"]) for one in form["sections"]}
    assert firsts == {("1", "14"), ("15", "24"), ("25", "36"), ("37", "46"), ("47", "62")}
    assert form["name"] == "minuet and trio"
    (back,) = {one["like_section_index"] for one in form["sections"] if one["first_measure_number"] == "25"}
    assert form["sections"][back]["first_measure_number"] == "1"


def test_keys_are_the_published_ones():
    with (PUBLISHED / "chorale_keys.tsv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))
    same = [row for row in rows if row["rntxt_first_key"].casefold() == row["analyze_key"].casefold()][:4]
    assert len(same) == 4
    for row in same:
        key = analysis_data(analyse(load(row["path"])))["key"]["name"]
        assert key.casefold() == row["rntxt_first_key"].casefold(), row["title"]


def test_parts_are_counted_as_music21_counts(minuet):
    score = music21.converter.parse(music21.corpus.getWork("mozart/k156/movement3.mxl"))
    told = analysis_data(minuet)["parts"]
    assert [one["name"] for one in told] == [part.partName for part in score.parts]
    for one, part in zip(told, score.stripTies().parts, strict=True):
        pitches = [pitch for note in part.recurse().notes if not note.duration.isGrace for pitch in note.pitches]
        assert one["notes_count"] == len(pitches)
        assert (one["lowest_midi"], one["highest_midi"]) == (min(p.midi for p in pitches), max(p.midi for p in pitches))
    assert analysis_data(minuet)["piece"]["measures_count"] == 62


def test_exact_lengths_add_up(minuet):
    """Chords follow each other without a gap from the first note to the end: 62 bars of 3 quarters."""
    harmony = analysis_data(minuet)["harmony"]
    assert harmony[0]["start_quarters"] == 0
    assert sum(Fraction(one["duration_quarters"]) for one in harmony) == 62 * 3


def test_a_proving_note_is_where_it_is_said_to_be():
    """A tritone B4-F5 written in bar 2."""
    piece = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GBfe|dcBd|c4|]\n", cache=False)
    (leap,) = [one for one in analysis_data(analyse(piece))["findings"] if one["name"] == "tritone leap"]
    assert [(note["pitch"], note["measure_number"], note["beat"]) for note in leap["notes"]] == [
        ("B4", "2", 2),
        ("F5", "2", 3),
    ]


def test_selection_keeps_what_lies_in_it(minuet):
    piece = minuet.piece
    some = analyse(piece, first=37, last="46", parts=["Viola"])
    assert some.findings
    assert len(some.findings) < len(minuet.findings)
    for one in some.findings:
        assert int(one.last_number) >= 37
        assert int(one.first_number) <= 46
        assert not one.parts or "Viola" in one.parts
    assert analysis_data(some)["selection"] == {"first_measure_index": 36, "last_measure_index": 45, "parts": ["Viola"]}
    assert analysis_data(some)["form"] == analysis_data(minuet)["form"]


@pytest.mark.parametrize(
    ("choice", "message"),
    [
        ({"first": 99}, "measure '99'"),
        ({"first": 9, "last": 3}, "the last one comes before the first"),
        ({"parts": ["Trumpet"]}, "part 'Trumpet'"),
    ],
)
def test_what_the_piece_does_not_have_is_refused(minuet, choice, message):
    with pytest.raises(ScoreError, match=message):
        analyse(minuet.piece, **choice)
