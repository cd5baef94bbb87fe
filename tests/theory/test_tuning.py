"""Frequencies against ISO 16, the table of equal temperament, and music21."""

import csv
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from music21.pitch import Pitch as ReferencePitch

from musictheory_nb.errors import IntervalError, PitchError, PitchRangeError
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.tuning import (
    PYTHAGOREAN_COMMA,
    STANDARD_A4_HZ,
    SYNTONIC_COMMA,
    cents_between,
    cents_to_ratio,
    hz_to_midi,
    just_hz,
    midi_to_hz,
    nearest_midi,
    nearest_pitch,
    ratio_to_cents,
)

PUBLISHED = Path(__file__).parents[1] / "published"


def rows(name: str) -> list[dict[str, str]]:
    """Rows of a published table, comment lines left out."""
    with open(PUBLISHED / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"))


TEMPERED = rows("tempered_pitches.tsv")


def test_published_table_is_there():
    assert len(TEMPERED) == 17


def test_standard_tuning_frequency():
    assert STANDARD_A4_HZ == 440.0  # ISO 16:1975
    assert Pitch("A4").hz() == 440.0


@pytest.mark.parametrize("row", TEMPERED, ids=lambda row: row["note"])
def test_frequency_is_that_of_the_table(row):
    places = len(row["hz"].partition(".")[2])
    assert round(Pitch(row["note"]).hz(), places) == float(row["hz"])
    assert round(midi_to_hz(int(row["midi"])), places) == float(row["hz"])
    assert Pitch(row["note"]).midi == int(row["midi"])
    number, cents = nearest_midi(float(row["hz"]))
    assert number == int(row["midi"])
    assert abs(cents) < 0.05  # the table's rounding


@pytest.mark.parametrize("midi", range(0, 128, 7))
def test_frequency_agrees_with_music21(midi):
    assert midi_to_hz(midi) == pytest.approx(ReferencePitch(midi=midi).frequency, rel=1e-9)


@given(st.floats(-24, 151), st.floats(380, 480))
@settings(deadline=None)
def test_hertz_and_midi_numbers_read_back(number, a4):
    assert hz_to_midi(midi_to_hz(number, a4), a4) == pytest.approx(number, abs=1e-9)
    whole, cents = nearest_midi(midi_to_hz(number, a4), a4)
    assert -50.000001 <= cents <= 50.000001
    assert whole + cents / 100 == pytest.approx(number, abs=1e-9)


@given(st.floats(-4800, 4800))
@settings(deadline=None)
def test_cents_and_ratios_read_back(cents):
    assert ratio_to_cents(cents_to_ratio(cents)) == pytest.approx(cents, abs=1e-8)
    assert cents_between(100.0, 100.0 * cents_to_ratio(cents)) == pytest.approx(cents, abs=1e-8)


@pytest.mark.parametrize(
    ("row"),
    [row for row in rows("just_ratios.tsv") if row["ratio"]],
    ids=lambda row: f"{row['interval']} {row['ratio']}",
)
def test_cents_of_a_ratio_are_those_of_the_table(row):
    assert ratio_to_cents(Fraction(row["ratio"])) == pytest.approx(float(row["cents"]), abs=5e-4)


def test_commas_by_their_definitions():
    # syntonic: four fifths against two octaves and a just third; Pythagorean: twelve fifths against seven octaves
    assert Fraction(3, 2) ** 4 / 4 / Fraction(5, 4) == SYNTONIC_COMMA
    assert Fraction(3, 2) ** 12 / 2**7 == PYTHAGOREAN_COMMA


def test_nearest_pitch_is_spelled_in_the_key():
    # 311.127 Hz is MIDI 63 (table of equal temperament)
    assert nearest_pitch(311.127, "Eb major")[0] == Pitch("Eb4")
    assert nearest_pitch(311.127, "E major")[0] == Pitch("D#4")
    with pytest.raises(PitchRangeError, match="0 to 127"):
        nearest_pitch(5.0)


def test_just_notes_of_a_major_scale():
    # Zarlino's just major scale over C: 1, 9/8, 5/4, 4/3, 3/2, 5/3, 15/8, 2 (from memory)
    ratios = [just_hz(f"{letter}4", "C4") / Pitch("C4").hz() for letter in "CDEFGAB"]
    expected = [1, 9 / 8, 5 / 4, 4 / 3, 3 / 2, 5 / 3, 15 / 8]
    assert ratios == pytest.approx(expected)
    assert just_hz("C3", "C4") == pytest.approx(Pitch("C3").hz())
    with pytest.raises(IntervalError, match="no standard just ratio"):
        just_hz("F##4", "C4")


@pytest.mark.parametrize("value", [0, -1.0, float("nan"), float("inf"), "440", None, True])
def test_impossible_frequency_is_refused(value):
    for call in (
        hz_to_midi,
        nearest_midi,
        ratio_to_cents,
        lambda hz: cents_between(hz, 440),
        lambda hz: midi_to_hz(69, hz),
    ):
        with pytest.raises(PitchError, match="must be a positive"):
            call(value)


def test_endless_numbers_are_refused():
    for call in (midi_to_hz, cents_to_ratio):
        with pytest.raises(PitchError, match="must be finite"):
            call(float("inf"))
