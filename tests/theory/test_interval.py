"""Intervals against handbook tables, the recorded cases of kind B, and the laws of inversion and sum."""

import copy
import csv
import pickle
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import AmbiguousError, IntervalError, PitchError
from musictheory_nb.theory.interval import COMPOUND_INVERSIONS, Interval
from musictheory_nb.theory.just_intonation import just_ratios
from musictheory_nb.theory.pitch import Pitch, PitchName

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a published table, comment lines left out."""
    with open(PUBLISHED / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


SIZES = [
    (name, int(row["semitones"]) + extra)
    for row in rows("interval_sizes.tsv")
    for column, extra in (("simple", 0), ("compound", 12))
    for name in row[column].split(", ")
]


def test_published_tables_are_there():
    assert len(SIZES) == 54  # 27 simple names and as many compound ones in the table
    assert len(rows("just_ratios.tsv")) == 19


@pytest.mark.parametrize(("name", "semitones"), SIZES)
def test_size_is_that_of_the_handbook_table(name, semitones):
    assert Interval(name).semitones == semitones
    assert Interval(f"-{name}").semitones == -semitones


# Cases of kind B of the project's collection (id beside each), and others of their kinds.
@pytest.mark.parametrize(
    ("first", "second", "expected", "semitones"),
    [
        pytest.param("C4", "C♭4", "-A1", -1, id="B01"),
        pytest.param("C♯4", "G♭4", "dd5", 5, id="B03"),
        pytest.param("G♯2", "E♭3", "d6", 7, id="B05"),
        pytest.param("G♯2", "D♯3", "P5", 7, id="B05, the fifth"),
        pytest.param("C4", "C#4", "A1", 1, id="raised unison"),
        pytest.param("C#4", "C4", "-A1", -1, id="unison narrowed from above"),
        pytest.param("Cb4", "C##4", "AAA1", 3, id="unison of three semitones"),
        pytest.param("B3", "Cb4", "d2", 0, id="diminished second"),
        pytest.param("Cb4", "B3", "-d2", 0, id="diminished second down"),
        pytest.param("B#3", "C4", "d2", 0, id="diminished second, enharmonic"),
        pytest.param("B##3", "C4", "dd2", -1, id="doubly diminished second sounds lower"),
        pytest.param("F4", "B4", "A4", 6, id="augmented fourth"),
        pytest.param("B3", "F4", "d5", 6, id="diminished fifth"),
        pytest.param("F4", "B3", "-d5", -6, id="diminished fifth down"),
        pytest.param("C4", "Fb4", "d4", 4, id="diminished fourth, sounds as a third"),
        pytest.param("Eb4", "F#5", "A9", 15, id="augmented ninth"),
        pytest.param("C4", "C6", "P15", 24, id="double octave"),
        pytest.param("C4", "C#5", "A8", 13, id="augmented octave"),
        pytest.param("C4", "Cb5", "d8", 11, id="diminished octave"),
        pytest.param("Ab3", "F#4", "A6", 10, id="augmented sixth"),
        pytest.param("C#4", "Bb4", "d7", 9, id="diminished seventh"),
        pytest.param("Fb4", "B#4", "AAA4", 8, id="triply augmented fourth"),
    ],
)
def test_interval_between_pitches(first, second, expected, semitones):
    # Reckoned from the staff: letters give the number, the keyboard the semitones (common practice, no source).
    for low, high in ((first, second), (Pitch(first), Pitch(second))):
        found = Interval.between(low, high)
        assert str(found) == expected
        assert found.semitones == semitones


def test_unison_down_is_augmented_and_its_other_name_is_a_setting():
    # Case B01: the alias may be accepted, but is never the only right answer.
    found = Interval.between("C4", "C♭4")
    assert found.name == "descending augmented unison"
    assert "diminished unison" in found.other_names
    for text in ("d1", "diminished unison"):
        assert Interval.read(text, diminished_unison=True) == found
        with pytest.raises(IntervalError, match="a unison is never diminished"):
            Interval.read(text)
    assert Interval.read("dd1", diminished_unison=True) == Interval("-AA1")
    assert Interval.read("-d1", diminished_unison=True) == Interval("A1")
    with pytest.raises(IntervalError, match="a unison is never diminished; write '-A1' if it descends"):
        Interval("d1")


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("B", "F", "d5"), ("F", "B", "A4"), ("C", "Cb", "d8"), ("C", "C#", "A1"), ("C", "C", "P1"), ("A", "C", "m3"),
        ("B#", "C", "d2"), ("Eb", "C#", "A6"), ("C#", "C", "d8"),
    ],
)  # fmt: skip
def test_interval_between_names_is_simple_and_ascends(first, second, expected):
    # The upper note is sought above the lower (common practice, no source).
    assert str(Interval.between(first, second)) == expected
    assert str(Interval.between(PitchName(first), PitchName(second))) == expected


# Case B07, and the rule that numbers add up to nine (handbook rule, table 3 of the standards).
@pytest.mark.parametrize(
    ("interval", "inversion"),
    [
        ("m9", "M7"), ("P15", "P1"), ("A8", "d8"), ("d8", "A1"), ("m2", "M7"), ("M3", "m6"), ("P4", "P5"), ("A4", "d5"),
        ("P1", "P8"), ("P8", "P1"), ("dd5", "AA4"), ("M10", "m6"), ("A11", "d5"), ("d12", "A4"), ("M13", "m3"),
        ("d9", "A7"), ("A15", "d8"), ("P22", "P1"), ("A1", "d8"), ("d2", "A7"), ("AA8", "dd8"), ("-m3", "-M6"),
    ],
)  # fmt: skip
def test_inversion(interval, inversion):
    assert str(Interval(interval).inversion) == inversion


def test_disputed_inversions_are_settings():
    assert str(Interval("P15").inverted("fold")) == "P8"
    assert str(Interval("P8").inverted("fold")) == "P1"
    assert str(Interval("m9").inverted("fold")) == "M7"
    assert str(Interval("m6").inverted("refuse")) == "M3"
    for compound in ("m9", "P15", "A8"):
        with pytest.raises(IntervalError, match="is compound"):
            Interval(compound).inverted("refuse")
    with pytest.raises(IntervalError) as refusal:
        Interval("m9").inverted("upside down")
    assert all(repr(choice) in str(refusal.value) for choice in COMPOUND_INVERSIONS)


# Reduction by octaves (common practice, no source); an octave stays an octave (issue text).
@pytest.mark.parametrize(
    ("interval", "simple", "compound"),
    [
        ("P8", "P8", False), ("P15", "P8", True), ("A8", "A1", True), ("d8", "d8", False), ("d15", "d8", True),
        ("m9", "m2", True), ("-M10", "-M3", True), ("P12", "P5", True), ("d9", "d2", True), ("M14", "M7", True),
        ("A7", "A7", False), ("P1", "P1", False), ("M23", "M2", True), ("dd16", "dd2", True),
    ],
)  # fmt: skip
def test_simple_form(interval, simple, compound):
    assert str(Interval(interval).simple) == simple
    assert Interval(interval).is_compound is compound


@pytest.mark.parametrize(
    ("interval", "name"),
    [
        ("d5", "diminished fifth"), ("AA4", "doubly augmented fourth"), ("ddd7", "triply diminished seventh"),
        ("-m3", "descending minor third"), ("P8", "perfect octave"), ("M10", "major tenth"), ("P15", "perfect fifteenth"),
        ("M21", "major twenty-first"), ("m30", "minor thirtieth"), ("P1", "perfect unison"), ("-A1", "descending augmented unison"),
        ("M20", "major twentieth"), ("m23", "minor twenty-third"), ("P12", "perfect twelfth"),
    ],
)  # fmt: skip
def test_name_in_words_and_back(interval, name):
    assert Interval(interval).name == name
    assert Interval(name) == Interval(interval)


# What musicians write and say for one interval (common practice, no source).
@pytest.mark.parametrize(
    ("texts", "expected"),
    [
        (
            [
                "m3",
                "minor third",
                "minor 3rd",
                "min 3rd",
                "min3",
                "Minor Third",
                "min. 3rd",
                "+m3",
                "m 3",
                "m3rd",
                "ascending minor third",
                " m3 ",
            ],
            "m3",
        ),
        (
            [
                "-m3",
                "−m3",
                "m3 down",
                "descending m3",
                "down minor third",
                "minor third, descending",
            ],
            "-m3",
        ),
        (["A4", "aug 4", "augmented 4th", "aug4"], "A4"),
        (["dd5", "doubly diminished fifth", "double diminished fifth", "double-diminished 5th"], "dd5"),
        (["P8", "octave", "perfect octave", "perf 8"], "P8"),
        (["P1", "unison", "perfect unison", "perfect prime", "-P1"], "P1"),
        (["P15", "double octave"], "P15"),
        (["A1", "chromatic half step", "chromatic semitone"], "A1"),
        (["m2", "diatonic half step", "diatonic semitone"], "m2"),
    ],
)
def test_every_way_of_writing_an_interval_is_read(texts, expected):
    for text in texts:
        assert str(Interval(text)) == expected, text


# A word that stands for several spellings (design, section 3).
@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("tritone", ("A4", "d5")), ("Tritone", ("A4", "d5")), ("tri-tone", ("A4", "d5")), ("half step", ("m2", "A1")), ("half-step", ("m2", "A1")),
        ("semitone", ("m2", "A1")), ("whole step", ("M2", "d3")), ("whole tone", ("M2", "d3")),
        ("descending half step", ("-m2", "-A1")), ("tritone down", ("-A4", "-d5")),
    ],
)  # fmt: skip
def test_ambiguous_word_is_refused_with_its_readings(text, readings):
    with pytest.raises(AmbiguousError, match="may be") as refusal:
        Interval(text)
    assert refusal.value.readings == readings


@pytest.mark.parametrize(
    ("text", "advice"),
    [
        ("M5", "a fifth is P, A or d, never M"), ("m4", "a fourth is P, A or d, never m"), ("P3", "a third is M, m, A or d, never P"),
        ("m8", "an octave is P, A or d, never m"), ("M11", "an eleventh is P, A or d, never M"), ("P6", "a sixth is M, m, A or d"),
        ("3m", "write quality before number: 'm3'"), ("p5", "write 'P5'"), ("a4", "write 'A4'"), ("D5", "write 'd5'"),
        ("5", "the quality is missing"), ("fifth", "the quality is missing"), ("", "write quality"), ("m0", "write quality"),
        ("Ad4", "write quality"), ("mm3", "write quality"), ("doubly minor third", "write quality"), ("major", "write quality"),
        ("perfect third", "never P"), ("P-5", "write the minus sign first: '-P5'"), ("b5", "write 'd5'"), ("#11", "write 'A11'"), ("♭3", "write 'm3'"), ("bb7", "write 'd7'"), ("m3 sideways", "write quality"), ("diminished unison", "never diminished"),
    ],
)  # fmt: skip
def test_what_is_no_interval_is_refused_with_advice(text, advice):
    with pytest.raises(IntervalError) as refusal:
        Interval(text)
    assert repr(text) in str(refusal.value)
    assert advice in str(refusal.value)


@pytest.mark.parametrize("value", [7, None, ["m3"], 3.5])
def test_what_is_no_text_is_refused(value):
    with pytest.raises(IntervalError, match="as text"):
        Interval(value)


def test_impossible_parts_are_refused():
    with pytest.raises(IntervalError, match="must be 1"):
        Interval.of("m", 3, 0)
    for number in (0, -3, 2.5):
        with pytest.raises(IntervalError, match="whole number from 1"):
            Interval.of("m", number)
    with pytest.raises(IntervalError, match="never diminished"):
        Interval.of("d", 1)
    with pytest.raises(IntervalError, match="never Q"):
        Interval.of("Q", 3)


def test_pitch_with_and_without_octave_do_not_mix():
    with pytest.raises(IntervalError, match="both an octave number, or neither"):
        Interval.between("C4", "E")
    with pytest.raises(PitchError, match="H is German"):
        Interval.between("C4", "H4")
    for first, second in (("C4", 64), (60, 64), (None, "C4")):
        with pytest.raises(IntervalError, match="give each pitch as text, Pitch or PitchName"):
            Interval.between(first, second)


@pytest.mark.parametrize(
    ("interval", "other"),
    [
        ("A4", "tritone"), ("d5", "tritone"), ("m2", "half step"), ("m2", "semitone"), ("A1", "half step"),
        ("A1", "chromatic semitone"), ("M2", "whole step"), ("M2", "whole tone"), ("P15", "double octave"),
        ("m9", "compound minor second"), ("A11", "compound tritone"), ("P22", "triple octave"),
    ],
)  # fmt: skip
def test_other_names_of_the_trade(interval, other):
    # common practice, no source
    assert other in Interval(interval).other_names


@pytest.mark.parametrize(
    ("interval", "is_tritone"),
    [
        ("A4", True),
        ("d5", True),
        ("-A4", True),
        ("A11", True),
        ("d12", True),
        ("P4", False),
        ("AA3", False),
        ("AA4", False),
    ],
)
def test_tritone_is_six_semitones_in_two_spellings(interval, is_tritone):
    # common practice, no source: spelled as an augmented fourth or a diminished fifth
    assert Interval(interval).is_tritone is is_tritone


JUST = [row for row in rows("just_ratios.tsv") if row["interval"][1:].isdigit() and row["interval"][0] in "PMmAd"]


@pytest.mark.parametrize("row", JUST, ids=lambda row: f"{row['interval']} {row['ratio']}")
def test_just_ratio_is_in_the_published_table(row):
    ours = dict(just_ratios(row["interval"]))
    assert Fraction(row["ratio"]) in ours
    assert Interval(row["interval"]).cents == int(row["tempered"])
    if Interval(row["interval"]).just_ratio == Fraction(row["ratio"]):
        assert Interval(row["interval"]).just_cents == pytest.approx(float(row["cents"]), abs=5e-4)


def test_usual_just_ratio_is_the_first_row_of_the_published_table():
    first = {}
    for row in JUST:
        first.setdefault(row["interval"], Fraction(row["ratio"]))
    assert {name: Interval(name).just_ratio for name in first} == first
    assert len(first) == 13


def test_just_ratio_of_compound_descending_and_unlisted_intervals():
    # 12th 3:1, 17th 5:1 (harmonics 3 and 5 of a string); a fifth down is 2:3.
    assert Interval("P12").just_ratio == 3
    assert Interval("M17").just_ratio == 5
    assert Interval("-P5").just_ratio == Fraction(2, 3)
    for unlisted in ("AA4", "dd5", "d2", "A7"):
        with pytest.raises(IntervalError, match="no standard just ratio"):
            Interval(unlisted).just_ratio  # noqa: B018 - the property raises


# Laws -----------------------------------------------------------------------------------------------------------

PERFECT = st.sampled_from([1, 4, 5, 8, 11, 12, 15, 18, 19, 22])
IMPERFECT = st.sampled_from([2, 3, 6, 7, 9, 10, 13, 14, 16, 17, 20, 21])


@st.composite
def intervals(draw, largest: int = 22, alterations: int = 3):
    """An interval of any quality up to `alterations` times altered, in either direction."""
    number = draw(st.integers(1, largest))
    altered = draw(st.integers(-alterations, alterations))
    perfect = (number - 1) % 7 in (0, 3, 4)
    if number == 1 and altered < 0:
        altered = -altered
    plain = "P" if perfect else draw(st.sampled_from("Mm"))
    quality = "A" * altered if altered > 0 else "d" * -altered if altered else plain
    return Interval.of(quality, number, draw(st.sampled_from([1, -1])))


pitches = st.builds(Pitch.of, st.sampled_from("CDEFGAB"), st.integers(-2, 2), st.integers(-1, 9))


@given(pitches, pitches)
@settings(deadline=None)
def test_moving_by_the_interval_between_two_pitches_arrives(low, high):
    interval = Interval.between(low, high)
    assert low.up(interval) == high
    assert high.down(interval) == low
    assert Interval.between(high, low) == -interval
    assert interval.semitones == high.chromatic - low.chromatic
    assert interval.steps == high.diatonic - low.diatonic


@given(intervals())
@settings(deadline=None)
def test_every_text_form_of_an_interval_reads_back(interval):
    assert Interval(str(interval)) == interval
    assert Interval(interval.name) == interval
    assert Interval.of(interval.quality, interval.number, interval.direction) == interval
    assert Interval.from_steps(interval.steps, interval.semitones) == interval
    assert pickle.loads(pickle.dumps(interval)) == copy.deepcopy(interval) == interval


@given(intervals(largest=8))
@settings(deadline=None)
def test_a_simple_interval_and_its_inversion_fill_an_octave(interval):
    if interval.is_compound:
        return  # an augmented octave is compound: see the next law
    assert interval + interval.inversion == Interval.of("P", 8, interval.direction)
    assert interval.number + interval.inversion.number == 9
    if interval.inversion.number > 1:  # the inversion of a perfect octave has no direction
        assert interval.inversion.inversion == interval


@given(intervals())
@settings(deadline=None)
def test_inversion_is_that_of_the_simple_form_and_complement_fills_octaves(interval):
    assert interval.inversion == interval.simple.inversion
    assert interval.simple.simple == interval.simple
    assert not interval.simple.is_compound
    whole = interval + interval.complement
    assert whole.quality == "P"
    assert whole.number % 7 == 1
    assert whole.number > 1


@given(intervals(alterations=1), intervals(alterations=1), intervals(alterations=1))
@settings(deadline=None)
def test_sum_is_that_of_letters_and_semitones(one, two, three):
    assert one + two == two + one
    assert (one + two) - two == one
    assert (one + two) + three == one + (two + three)
    assert (one + two).semitones == one.semitones + two.semitones
    assert (one + two).fifths == one.fifths + two.fifths
    assert one + Interval("P1") == one


@given(pitches, intervals(alterations=1))
@settings(deadline=None)
def test_line_of_fifths_counts_intervals(pitch, interval):
    try:
        moved = pitch.up(interval)
    except PitchError:  # more than three accidentals
        return
    assert moved.pitch_name.fifths - pitch.pitch_name.fifths == interval.fifths
    assert pitch.pitch_name.up(interval) == moved.pitch_name
    assert moved.pitch_name.down(interval) == pitch.pitch_name


@pytest.mark.parametrize("row", rows("interval_sizes.tsv"), ids=lambda row: row["semitones"])
def test_names_of_one_size_are_enharmonic(row):
    names = [Interval(name) for name in row["simple"].split(", ")]
    assert all(one.is_enharmonic_to(other) for one in names for other in names)
    assert len(set(names)) == len(names)


def test_intervals_sort_by_size():
    texts = ["P1", "-m2", "P5", "A4", "d5", "M2", "-P8", "d2"]
    assert [str(i) for i in sorted(map(Interval, texts))] == ["-P8", "-m2", "P1", "d2", "M2", "A4", "d5", "P5"]
