"""Excerpts: music as plain data."""

import copy
import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.excerpt import (
    CLEFS,
    TIES,
    TIMBRES,
    Excerpt,
    ExcerptChord,
    ExcerptMeasure,
    ExcerptNote,
    ExcerptPart,
)
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import strict_json

PITCHES = st.builds("{}{}{}".format, st.sampled_from("CDEFGAB"), st.sampled_from(["", "#", "b"]), st.integers(1, 7))
QUARTERS = st.fractions(min_value=0, max_value=8, max_denominator=32)


@st.composite
def excerpts(draw):
    parts = draw(
        st.lists(
            st.builds(
                ExcerptPart,
                name=st.text(max_size=6),
                clef=st.sampled_from(CLEFS),
                group=st.integers(0, 2),
                chromatic=st.sampled_from([0, -12, -2]),
                diatonic=st.sampled_from([0, -7, -1]),
                timbre=st.sampled_from(TIMBRES),
            ),
            min_size=1,
            max_size=3,
        )
    )
    measures = draw(
        st.lists(
            st.builds(
                ExcerptMeasure,
                number=st.integers(0, 99).map(str),
                length=QUARTERS.filter(bool),
                metre=st.sampled_from(["4/4", "3/4", "6/8", "2/2"]),
                fifths=st.integers(-7, 7),
                mark=st.sampled_from(["", "A", "Trio"]),
                repeat_start=st.booleans(),
                repeat_end=st.booleans(),
                double_bar=st.booleans(),
                ending=st.sampled_from(["", "1", "2"]),
            ),
            min_size=1,
            max_size=5,
        )
    )
    notes = draw(
        st.lists(
            st.builds(
                ExcerptNote,
                part=st.integers(0, len(parts) - 1),
                measure=st.integers(0, len(measures) - 1),
                onset=QUARTERS,
                duration=QUARTERS,
                pitches=st.lists(PITCHES, max_size=3).map(tuple),
                voice=st.integers(1, 3),
                tie=st.sampled_from(TIES),
            ),
            max_size=12,
        )
    )
    chords = draw(
        st.lists(
            st.builds(ExcerptChord, st.integers(0, len(measures) - 1), QUARTERS, st.sampled_from(["C7alt", "N.C."])),
            max_size=3,
        )
    )
    return Excerpt(tuple(parts), tuple(measures), tuple(notes), tuple(chords), title="Two steps", tempo=Fraction(90))


GOOD = Excerpt.melody(["C4", "E4"], chord="C").to_data()


def _damaged(change):
    data = copy.deepcopy(GOOD)
    change(data)
    return data


@given(excerpts())
def test_reading_back_what_is_written_gives_the_same_excerpt(excerpt):
    text = json.dumps(excerpt.to_data())
    again = Excerpt.from_data(strict_json(text))
    assert again == excerpt
    assert again.digest == excerpt.digest
    assert hash(again) == hash(excerpt)


@given(excerpts(), st.data())
def test_cutting_keeps_exactly_what_lies_inside(excerpt, data):
    first = data.draw(st.integers(0, len(excerpt.measures) - 1))
    last = data.draw(st.integers(first, len(excerpt.measures) - 1))
    part = data.draw(st.integers(0, len(excerpt.parts) - 1))
    piece = excerpt.cut(first, last, [part])
    inside = [n for n in excerpt.notes if first <= n.measure <= last and n.part == part]
    assert [(n.measure + first, n.onset, n.pitches) for n in piece.notes] == [
        (n.measure, n.onset, n.pitches) for n in inside
    ]
    assert piece.measures == excerpt.measures[first : last + 1]
    assert piece.starts[-1] == excerpt.starts[last + 1] - excerpt.starts[first]


@pytest.mark.parametrize(
    "change",
    [
        lambda d: d.update(title="Three steps"),
        lambda d: d.update(tempo=97),
        lambda d: d["parts"][0].__setitem__(1, "bass"),
        lambda d: d["measures"][0].__setitem__(4, "A"),
        lambda d: d["notes"][0].__setitem__(4, "Dbb4"),
        lambda d: d["notes"][0].__setitem__(6, "start"),
        lambda d: d["notes"].reverse(),
        lambda d: d["chords"].clear(),
    ],
)
def test_the_digest_tells_excerpts_apart(change):
    assert Excerpt.from_data(_damaged(change)).digest != Excerpt.from_data(GOOD).digest


@pytest.mark.parametrize(
    ("pitches", "durations", "metre", "length"),
    [
        (["C4", "D4", "E4"], None, "3/4", 3),
        (["C4", "D4"], [2, 2], "4/4", 4),
        (["C4"] * 7, [Fraction(1, 2)] * 7, "7/8", Fraction(7, 2)),
        (["C4"] * 3, [Fraction(1, 4)] * 3, "3/16", Fraction(3, 4)),
    ],
)
def test_a_melody_fills_one_measure_of_its_own_metre(pitches, durations, metre, length):
    """A metre counts note values of its lower number in one measure (common practice)."""
    excerpt = Excerpt.melody(pitches, durations)
    assert (excerpt.measures[0].metre, excerpt.measures[0].length) == (metre, length)
    assert [note.pitches for note in excerpt.notes] == [(pitch,) for pitch in pitches]


def test_notes_together_are_one_chord():
    excerpt = Excerpt.melody(["C4", "G4"], together=True)
    assert [note.pitches for note in excerpt.notes] == [("C4", "G4")]


def test_measures_are_found_by_their_printed_number():
    excerpt = Excerpt.melody(["C4"])
    assert excerpt.measure_index("1") == 0
    with pytest.raises(ExerciseError, match="measure '9': this excerpt has the measures 1 to 1"):
        excerpt.measure_index("9")


@pytest.mark.parametrize(
    "change",
    [
        lambda d: d.pop("parts"),
        lambda d: d.update(parts=[]),
        lambda d: d.update(parts=3),
        lambda d: d.update(measures=[["1"]]),
        lambda d: d["measures"][0].__setitem__(1, "x"),
        lambda d: d["measures"][0].__setitem__(1, "1/0"),
        lambda d: d["measures"][0].__setitem__(1, 1e400),
        lambda d: d["measures"][0].__setitem__(1, None),
        lambda d: d["measures"][0].__setitem__(2, "4/5"),
        lambda d: d["measures"][0].__setitem__(3, "two"),
        lambda d: d["notes"][0].__setitem__(0, 7),
        lambda d: d["notes"][0].__setitem__(1, -1),
        lambda d: d["notes"][0].__setitem__(2, -1),
        lambda d: d["notes"][0].__setitem__(4, 60),
        lambda d: d["notes"][0].__setitem__(5, "first"),
        lambda d: d["notes"][0].__setitem__(6, "tied"),
        lambda d: d["notes"][0].pop(),
        lambda d: d["parts"][0].__setitem__(1, "violin"),
        lambda d: d["parts"][0].__setitem__(6, "loud"),
        lambda d: d["chords"][0].__setitem__(1, "beat"),
        lambda d: d.update(tempo="fast"),
    ],
)
def test_damaged_data_is_refused_as_such(change):
    with pytest.raises(ExerciseError, match="excerpt"):
        Excerpt.from_data(_damaged(change))


@pytest.mark.parametrize(
    "settings",
    [
        {"kind": "video"},
        {"moment": "later"},
        {"first": 1},
        {"first": -1},
        {"last": 5},
        {"parts": (1,)},
        {"marked": (2,)},
        {"marked": (-1,)},
    ],
)
def test_a_request_for_what_the_excerpt_has_not_is_refused(settings):
    complete = {"kind": "sound", "excerpt": Excerpt.melody(["C4", "E4"]), "label": "Hear it"} | settings
    with pytest.raises(ExerciseError, match="media"):
        MediaRequest(**complete)
