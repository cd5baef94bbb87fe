"""Numeral reading: numerals by music21 and by a published table; near misses by the docstring's table."""

import csv
from pathlib import Path

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.numeral_credit import numeral_case_of
from musictheory_nb.practice.numeral_vocabulary import LEVELS, numerals_of
from musictheory_nb.theory.roman_analysis import roman_of
from musictheory_nb.theory.roman_numeral import Roman

PUBLISHED = Path(__file__).parents[1] / "published" / "roman_chords.tsv"


def exercise(count=20, **settings):
    return Exercise("one", "numeral-reading", settings, count=count, lesson="demo")


def reading_of(numeral, **settings):
    return exercise(1, items=[numeral], **settings).item(1, 0)


def score(numeral, answered, **settings):
    made = exercise(1, items=[numeral], **settings)
    return made.mark(made.item(1, 0), {"numeral": {"symbol": answered}}).score


def published():
    with PUBLISHED.open(encoding="utf-8") as file:
        rows = csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t")
        return [(row["key"], row["numeral"], row["notes"].split()) for row in rows if not row["convention"]]


def asked(numeral, key):
    """A numeral of the vocabulary in major or minor."""
    return numeral in numerals_of(tuple(LEVELS), key.endswith("minor"))


FROM_THE_TABLE = [row for row in published() if asked(row[1], row[0])]


def test_the_table_covers_the_levels():
    assert len(FROM_THE_TABLE) >= 50


@pytest.mark.parametrize(("key", "numeral", "notes"), FROM_THE_TABLE, ids=lambda one: str(one))
def test_notes_are_those_of_the_published_table(key, numeral, notes):
    item = reading_of(f"{key}: {numeral}")
    pitches = item.media[0].excerpt.notes[0].pitches
    assert pitches[0][:-1] == notes[0]
    assert {name[:-1] for name in pitches} == set(notes)
    assert numeral in item.solution["numeral"]["symbol"]


@pytest.mark.parametrize("mode", ["major", "minor"])
@pytest.mark.parametrize("layout", ["close", "four parts"])
def test_notes_are_those_of_music21(mode, layout):
    """Augmented sixths are named otherwise there (music21 has It6, Fr43, Ger65 too); N6 is its bII6."""
    from music21 import key, roman

    keys = {"major": ["Eb major", "B major"], "minor": ["F# minor", "G minor"]}[mode]
    made = exercise(60, keys=keys, levels=list(LEVELS), layout=layout)
    tried = 0
    for index in range(made.count):
        item = made.item(4, index)
        tonic, _ = item.key["key"].split()
        home = key.Key(tonic.replace("b", "-"), mode)
        theirs = roman.RomanNumeral(item.key["figure"].replace("N6", "bII6").replace("°", "o"), home)
        ours = {name[:-1].replace("b", "-") for name in item.key["pitches"]}
        assert ours == {pitch.name for pitch in theirs.pitches}, item.key
        assert item.key["pitches"][0][:-1].replace("b", "-") == theirs.bass().name
        tried += 1
    assert tried == 60


@pytest.mark.parametrize("key", ["C major", "A minor"])
def test_each_numeral_of_a_level_is_the_usual_one_of_its_chord(key):
    for figure in numerals_of(tuple(LEVELS), key == "A minor"):
        assert roman_of(Roman(figure, key).chord, key).figure == figure


@pytest.mark.parametrize(
    ("numeral", "answered", "worth"),
    [
        ("C major: V65", "V6/5", 1.0),
        ("C major: V7/V", "II7", 0.75),
        ("C major: V65", "V43", 0.5),
        ("C major: V7", "V", 0.5),
        ("C major: ii", "ii7", 0.5),
        ("C major: V65", "V", 0.25),
        ("C major: iv", "IV", 0.25),
        ("C major: IV", "ii6", 0.0),
        ("A minor: VII7", "V7/III", 1.0),
        ("C major: I64", "Cad64", 1.0),
        ("C major: N6", "bII6", 1.0),
        ("A minor: VII", "bVII", 1.0),
    ],
)
def test_credit_is_that_of_the_table(numeral, answered, worth):
    """The rows of the docstring, read off by hand; bVII for VII in minor and bII6 for N6 are conventions of textbooks."""
    assert score(numeral, answered) == worth
    assert score(numeral, answered, partial=False) == (worth if worth == 1.0 else 0.0)


def test_choices_hold_one_right_numeral_and_some_like_it():
    made = exercise(60, levels=["triads", "inverted triads", "sevenths", "inverted sevenths", "secondary dominants"])
    for index in range(made.count):
        item = made.item(2, index)
        figures = [option.value for option in item.response.steps[0].inputs[0].options]
        assert len(figures) == 8
        cases = [numeral_case_of(item.key["figure"], one, item.key["key"]) for one in figures]
        assert cases.count("right") == 1
        assert "reading" not in cases
        roots = [Roman(one, item.key["key"]).root.name for one in figures]
        assert len(set(roots)) < len(roots), "some numeral shares its root with another"


def test_the_key_signature_is_written():
    """Three flats in E flat major (common practice, no source)."""
    item = reading_of("Eb major: V65/V")
    assert item.media[0].excerpt.measures[0].fifths == -3
    assert [name[:-1] for name in item.key["pitches"]] == ["A", "C", "Eb", "F"]


def test_a_twin_reads_the_notes_and_no_numeral():
    item = reading_of("A minor: V65", clef="treble")
    assert item.twin_text.startswith("The notes from low to high are G♯")
    assert item.twin_text.endswith("The key is A minor.")


def test_a_wrong_answer_is_heard_and_seen_beside_the_right_one():
    made = exercise(1, items=["C major: V65"])
    right, answered, *seen = made.compare(made.item(1, 0), {"numeral": {"symbol": "IV"}})
    assert (right.label, answered.label) == ("Right: V65", "Your answer: IV")
    assert [name[:-1] for name in answered.excerpt.notes[0].pitches] == ["F", "A", "C"]
    assert [request.kind for request in seen] == ["notation", "notation"]


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"levels": []}, "levels"),
        ({"items": ["V7"]}, "items"),
        ({"items": ["C major: H7"]}, "items"),
        ({"items": ["C major: V7", "C major: V7"]}, "items"),
        ({"low": "C4", "high": "E4"}, "does not fit"),
        ({"layout": "piano"}, "layout"),
        ({"keys": ["D dorian"]}, "keys"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen)
