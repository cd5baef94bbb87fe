"""Tunings against orchestration handbooks, and where pitches lie against counting frets."""

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import AmbiguousError, InstrumentError
from musictheory_nb.instrument.hand import HANDS, hand
from musictheory_nb.instrument.tuning import StringPlace, Tuning, tuning_names
from musictheory_nb.theory.pitch import Pitch

PUBLISHED = Path(__file__).parents[1] / "published" / "tunings.tsv"


def published():
    with open(PUBLISHED, encoding="utf-8") as file:
        for row in csv.DictReader((line for line in file if not line.startswith("#")), delimiter="\t"):
            strings = row["low to high (sounding)"].replace("(or C1 extension) ", "")
            for name in row["asked for"].split("; "):
                yield pytest.param(name, strings, [int(number) for number in row["MIDI"].split()], id=name)


@pytest.mark.parametrize(("name", "strings", "numbers"), tuple(published()))
def test_open_strings_are_those_of_the_handbooks(name, strings, numbers):
    tuning = Tuning(name)
    assert str(tuning) == strings
    assert [pitch.midi for pitch in tuning.strings] == numbers


def test_the_extension_reaches_the_low_c_of_the_handbooks():
    tuning = Tuning("double bass with C extension")
    assert [tuning.lowest.name, *map(str, tuning.strings[1:])] == ["C1", "A1", "D2", "G2"]
    # The gate at the nut closed, the string is the usual open E (makers of extensions; common practice).
    assert StringPlace(4, 0, True) in tuning.places("E1")
    assert StringPlace(4, -4, True) in tuning.places("C1")
    assert [(place.fret, place.is_open) for place in tuning.places("Eb1")] == [(-1, False)]
    # Above the nut it is a double bass like any other.
    assert tuning.places("F1") == Tuning("double bass").places("F1")


def test_a_short_string_begins_at_its_own_nut():
    # Five-string banjo: the fifth string is fixed at the fifth fret (common practice, no source).
    places = Tuning("5-string banjo").places("G4")
    assert StringPlace(5, 5, True) in places
    assert StringPlace(1, 5, False) in places
    assert all(place.string != 5 for place in Tuning("5-string banjo").places("F4"))


# Twelfth fret: the octave of the open string; fifth fret of the E string of a bass: the open A (common practice).
@pytest.mark.parametrize(
    ("name", "pitch", "place"),
    [
        ("bass guitar", "E2", StringPlace(4, 12, False)),
        ("bass guitar", "A1", StringPlace(4, 5, False)),
        ("bass guitar", "A1", StringPlace(3, 0, True)),
        ("guitar", "B3", StringPlace(3, 4, False)),
        ("violin", "D4", StringPlace(4, 7, False)),
        ("ukulele", "A4", StringPlace(4, 2, False)),
        ("bass guitar", "Fb1", StringPlace(4, 0, True)),
    ],
)
def test_place_of_a_pitch(name, pitch, place):
    assert place in Tuning(name).places(pitch)


def test_only_the_reentrant_tunings_are():
    reentrant = {name for name in tuning_names() if Tuning(name).is_reentrant}
    assert reentrant == {"ukulele", "5-string banjo"}


@given(st.sampled_from(tuning_names()), st.integers(0, 127))
def test_every_place_sounds_the_pitch_and_no_place_is_missed(name, number):
    tuning = Tuning(name)
    found = {(place.string, place.fret) for place in tuning.places_of(number)}
    counted = {
        (len(tuning.strings) - index, fret)
        for index, (pitch, nut) in enumerate(zip(tuning.strings, tuning.nuts, strict=True))
        for fret in range(nut, tuning.frets + 1)
        if pitch.midi + fret - nut == number
    }
    assert found == counted
    assert all(tuning.pitch_at(string, fret) == number for string, fret in found)


@pytest.mark.parametrize("name", tuning_names())
def test_a_named_tuning_reads_back_from_its_strings(name):
    tuning = Tuning(name)
    again = Tuning(str(tuning), frets=tuning.frets, fretted=tuning.fretted, hand=tuning.hand, nuts=tuning.nuts)
    assert again == tuning
    assert Tuning(tuning) == tuning
    assert tuning.hand in HANDS
    assert all(tuning.string_name(string) for string in range(1, len(tuning.strings) + 1))


@pytest.mark.parametrize(
    "text", ["E1 A1 D2 G2", "E1, A1, D2, G2", ["E1", "A1", "D2", "G2"], [Pitch("E1"), "A1", "D2", "G2"]]
)
def test_any_tuning_from_its_open_strings(text):
    assert [pitch.midi for pitch in Tuning(text).strings] == [28, 33, 38, 43]


@pytest.mark.parametrize(
    ("written", "name"),
    [
        ("Five-String Bass Guitar", "5-string bass guitar"),
        ("contrabass", "double bass"),
        ("VIOLONCELLO", "cello"),
        ("double bass 5", "5-string double bass"),
        ("re-entrant ukulele", "ukulele"),
    ],
)
def test_a_name_is_read_as_players_write_it(written, name):
    assert Tuning(written).name == name


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("E A D G", "octave numbers"),
        ("EADG", "blanks between them and octave numbers"),
        ("DADGAD", "blanks between them and octave numbers"),
        ("E1A1D2G2", "blanks between them and octave numbers"),
        ("E1-A1-D2-G2", "blanks between them and octave numbers"),
        ("e1 a1 d2 g2", "capital"),
        (b"E1", "write a name"),
        (["E", "A"], "octave numbers"),
        ("", "known are"),
        ("lute", "known are"),
        ("giutar", "did you mean 'guitar'"),
        ("H1 A1", "known are"),
        ([], "1 to 12 strings, not 0"),
        (["E1"] * 13, "1 to 12 strings, not 13"),
        (7, "write a name"),
        (None, "write a name"),
        (["hello4"], "write a name"),
    ],
)
def test_what_is_no_tuning_is_refused(text, says):
    with pytest.raises(InstrumentError, match="tuning .*" + says):
        Tuning(text)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("bass", {"bass guitar", "double bass"}),
        ("bass, four-string", None),
        ("4-string bass", {"bass guitar", "double bass"}),
        ("bass 5 string", {"5-string bass guitar", "5-string double bass"}),
        ("drop D", {"bass guitar in drop D", "guitar in drop D"}),
    ],
)
def test_a_name_that_several_bear_is_refused_with_its_readings(text, readings):
    with pytest.raises(InstrumentError if readings is None else AmbiguousError) as caught:
        Tuning(text)
    if readings:
        assert readings <= set(caught.value.readings)


@pytest.mark.parametrize(
    ("settings", "says"),
    [
        ({"frets": 0}, "frets 0"),
        ({"frets": 12.0}, "frets 12.0"),
        ({"frets": True}, "frets True"),
        ({"hand": ["paw"]}, "hand"),
        ({"hand": "paw"}, "hand 'paw': must be one of 'one finger a fret'"),
        ({"nuts": (0, 0)}, "must be 4 whole numbers"),
        ({"nuts": 3}, "must be 4 whole numbers"),
        ({"nuts": (0, 0, 0, 99)}, "must be 4 whole numbers"),
    ],
)
def test_a_setting_that_cannot_be_is_refused(settings, says):
    with pytest.raises(InstrumentError, match=says):
        Tuning("bass guitar", **settings)


# First finger on G sharp, A, B flat, B of the G string: half, I, II, II½ position (F. Simandl's method, from memory).
# Violin: first finger on the second letter of the string, first position (common practice).
@pytest.mark.parametrize(
    ("name", "position", "called"),
    [
        ("1-2-4", 1, "half position"),
        ("1-2-4", 2, "I position"),
        ("1-2-4", 3, "II position"),
        ("1-2-4", 4, "II½ position"),
        ("1-2-4", 12, "VII position"),
        ("diatonic", 2, "1st position"),
        ("diatonic", 5, "3rd position"),
        ("cello", 7, "4th position"),
        ("one finger a fret", 5, "position 5"),
    ],
)
def test_positions_have_the_names_of_the_trade(name, position, called):
    assert hand(name).position_name(position) == called


@pytest.mark.parametrize("name", HANDS)
def test_every_position_of_a_hand_has_a_name_and_fingers(name):
    for position in hand(name).places(24):
        assert hand(name).position_name(position)
        fingers = [reach.finger for reach in hand(name).reaches(position) if not reach.stretch]
        assert set(fingers) <= {1, 2, 3, 4}
        assert fingers[0] == 1


def test_the_double_bass_hand_leaves_out_the_third_finger_in_low_positions():
    # Simandl's system: a whole step from 1 to 4, the half step to 2; the third finger takes over in high positions.
    low = {reach.finger: reach.offset for reach in hand("1-2-4").reaches(2) if not reach.stretch}
    high = {reach.finger: reach.offset for reach in hand("1-2-4").reaches(12) if not reach.stretch}
    assert low == {1: 0, 2: 1, 4: 2}
    assert 3 in high
    assert 4 not in high
