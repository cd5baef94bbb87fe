"""Cadences named from two chords and from the voices (definitions of harmony courses; common practice, no source)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import RomanNumeralError
from musictheory_nb.theory.cadence import CADENCES, cadence_of
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.roman_numeral import Roman

NAMED = [
    ("V I", "C major", "authentic"),
    ("V7 I", "C major", "authentic"),
    ("V7 i", "A minor", "authentic"),
    ("V9 I", "C major", "authentic"),
    ("V7sus4 I", "C major", "authentic"),
    ("V7 I6", "C major", "imperfect authentic"),
    ("V65 I", "C major", "imperfect authentic"),
    ("V43 I6", "C major", "imperfect authentic"),
    ("vii°6 I", "C major", "leading-tone"),
    ("vii°7 i", "A minor", "leading-tone"),
    ("viiø7 I", "C major", "leading-tone"),
    ("I V", "C major", "half"),
    ("ii6 V", "C major", "half"),
    ("IV V", "C major", "half"),
    ("vi V", "C major", "half"),
    ("V7/V V", "C major", "half"),
    ("vii°7/V V", "A minor", "half"),
    ("Ger65 V", "C major", "half"),
    ("It6 V", "A minor", "half"),
    ("Cad64 V", "C major", "half"),
    ("i V", "A minor", "half"),
    ("iv V", "A minor", "half"),
    ("iv6 V", "A minor", "Phrygian half"),
    ("iv6 V", "E minor", "Phrygian half"),
    ("IV6 V", "C major", "half"),
    ("IV I", "C major", "plagal"),
    ("iv I", "C major", "plagal"),
    ("iv i", "A minor", "plagal"),
    ("IV7 I", "C major", "plagal"),
    ("V vi", "C major", "deceptive"),
    ("V7 vi", "C major", "deceptive"),
    ("V7 VI", "A minor", "deceptive"),
    ("V7 bVI", "C major", "deceptive"),
    ("V7 IV6", "C major", "deceptive"),
    ("V7 V42/IV", "C major", "evaded"),
    ("V V42", "C major", "evaded"),
    ("V7 vii°7/vi", "C major", "evaded"),
    ("V7 V7/ii", "C major", "evaded"),
    ("ii iii", "C major", "no cadence"),
    ("V V7", "C major", "no cadence"),
    ("I IV", "C major", "no cadence"),
    ("ii V65", "C major", "no cadence"),
    ("IV V7", "C major", "no cadence"),
    ("v i", "A minor", "no cadence"),
    ("V65 vi", "C major", "no cadence"),
    ("V IV", "C major", "no cadence"),
]


@pytest.mark.parametrize(("pair", "key", "name"), NAMED)
def test_cadence_of_two_numerals(pair, key, name):
    first, second = pair.split()
    found = cadence_of(first, second, key)
    assert found.name == name
    assert found.name in CADENCES
    assert found.reason
    assert found.is_authentic == (name in ("authentic", "perfect authentic", "imperfect authentic", "leading-tone"))


def test_every_cadence_of_the_table_is_met():
    assert {name for _, _, name in NAMED} | {"perfect authentic"} == set(CADENCES)


# Four voices from the bass up.
@pytest.mark.parametrize(("first", "second", "key", "name"), [
    ("G2 D4 G4 B4", "C3 C4 G4 C5", "C major", "perfect authentic"),
    ("G2 B3 F4 D5", "C3 C4 E4 C5", "C major", "perfect authentic"),
    ("G2 D4 F4 B4", "C3 C4 G4 E5", "C major", "imperfect authentic"),
    ("G2 B3 D4 G4", "C3 C4 E4 G4", "C major", "imperfect authentic"),
    ("B2 D4 F4 G4", "C3 C4 E4 G4", "C major", "imperfect authentic"),
    ("E3 G#3 B3 E4", "A2 A3 C4 E4", "A minor", "imperfect authentic"),
    ("F3 A3 D4 D5", "E3 B3 E4 G#4", "A minor", "Phrygian half"),
    ("F2 C4 F4 A4", "C3 C4 E4 G4", "C major", "plagal"),
])  # fmt: skip
def test_cadence_of_four_voices(first, second, key, name):
    assert cadence_of(first.split(), second.split(), key).name == name


def test_soprano_may_be_given_beside_the_chords():
    assert cadence_of("G7", "C", "C major", soprano=("B4", "C5")).name == "perfect authentic"
    assert cadence_of("G7", "C", "C major", soprano=("B", "C")).name == "perfect authentic"
    assert cadence_of("G7", "C", "C major", soprano=("F4", "E4")).name == "imperfect authentic"
    assert "soprano on E" in cadence_of("G7", "C", "C major", soprano=("F4", "E4")).reason


def test_inverted_tonic_as_a_setting():
    assert cadence_of("V7", "I6", "C major", inverted_tonic="evaded").name == "evaded"
    assert cadence_of("V65", "I", "C major", inverted_tonic="evaded").name == "imperfect authentic"


def test_picardy_third():
    found = cadence_of("E7", "A", "A minor")
    assert found.is_picardy
    assert not cadence_of("E7", "Am", "A minor").is_picardy
    assert cadence_of("Dm", "A", "A minor").is_picardy


def test_six_four_before_the_dominant_is_cadential():
    found = cadence_of("C/G", "G", "C major")
    assert (found.name, found.numerals[0].figure) == ("half", "Cad64")


def test_refusals():
    with pytest.raises(RomanNumeralError, match=r"soprano 'B4': give two notes"):
        cadence_of("G7", "C", "C major", soprano="B4")
    with pytest.raises(RomanNumeralError, match="inverted_tonic 'x': must be one of"):
        cadence_of("G7", "C", "C major", inverted_tonic="x")
    with pytest.raises(RomanNumeralError, match="is in D major, not in C major"):
        cadence_of(Roman("V", "D major"), "C", "C major")


@given(
    row=st.sampled_from(NAMED),
    up=st.sampled_from(["M2", "m3", "P4", "P5", "m7", "m2"]),
)
def test_a_cadence_has_the_same_name_in_every_key(row, up):
    pair, key, name = row
    first, second = (Roman(text, key) for text in pair.split())
    moved = Key.of(Key(key).tonic.up(up), Key(key).mode)
    assert cadence_of(first.up(up), second.up(up), moved).name == name
    if first.kind == "plain":
        chords = [Chord(numeral.chord).up(up) for numeral in (first, second)]
        assert cadence_of(*chords, moved).name == name
