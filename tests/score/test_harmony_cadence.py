from fractions import Fraction
from pathlib import Path

import music21
import pytest
from music21 import corpus

from musictheory_nb.score.cadence_finding import cadences
from musictheory_nb.score.chord_pair import chord_pairs
from musictheory_nb.score.harmonic_rhythm import harmonic_rhythm
from musictheory_nb.score.harmony_finding import harmony
from musictheory_nb.score.load import load_score

CORPUS = Path(music21.__file__).parent / "corpus"


def _abc(tune, key="C"):
    return load_score(f"X:1\nM:4/4\nL:1/4\nK:{key}\n{tune}|]\n".encode(), cache=False)


def test_chorale_comes_to_rest_under_its_fermatas():
    # Analysis bundled with music21 (riemenschneider002): m2 V7 I in E, m4 V7 I in E, m6 I V in A (half cadence, then b
    # minor begins), m8 V i in b minor, m10 V in A, m13 V7 I in A. The names from the definitions of the cadences.
    score = load_score(CORPUS / "bach/bwv347.mxl")
    found = [(score.measures[one.measure].number, one.name) for one in cadences(score)]
    assert [number for number, _ in found] == ["2", "4", "6", "8", "10", "13"]
    assert [name for _, name in found] == [
        "perfect authentic",
        "perfect authentic",
        "half",
        "perfect authentic",
        "half",
        "perfect authentic",
    ]
    assert {one.rests_by for one in cadences(score)} == {"fermata"}


CLOSES = [  # definitions of the cadences in harmony courses (common practice, no source)
    pytest.param("[C,4E4G4c4]|[F,2C2F2A2][G,2D2G2B2]|[C,4E4G4c4]", "perfect authentic", id="V I, tonic on top"),
    pytest.param("[C,4E4G4c4]|[F,2C2F2A2][G,2B,2F2d2]|[C,4G4c4e4]", "imperfect authentic", id="third on top"),
    pytest.param("[G,4B,4D4G4]|[C,4E4G4c4]|[F,4C4F4A4]|[C,4C4E4G4]", "plagal", id="IV I"),
    pytest.param("[C,4E4G4c4]|[F,4C4F4A4]|[G,4D4G4B4]", "half", id="rests on V"),
]


@pytest.mark.parametrize(("tune", "name"), CLOSES)
def test_close_has_its_name(tune, name):
    assert [one.name for one in cadences(_abc(tune))][-1] == name


def test_a_tonic_that_goes_on_closes_once():
    # The aria's middle part ends on F sharp minor in bar 54, whose bass moves once more under the last note (the print).
    score = load_score(corpus.getWork("handel/rinaldo/Lascia_chio_pianga.mxl"))
    found = [score.measures[one.measure].number for one in cadences(score)]
    assert [number for number in found if int(number) >= 50] == ["54"]
    again = cadences(_abc("[G,2D2G2B2][C,2E2G2c2]|[E,2G2c2]z2|]"))
    assert len(again) == 1


def test_a_phrase_that_begins_on_the_tonic_does_not_close_there():
    """V leads to I in bar 2, where a new phrase begins and rests a bar later over the same chord (by construction)."""
    on = _abc('"C"c2e2|"G7"d2B2|"C"c2e2|"C"gez2|"F"f2a2|"C"g4')
    assert [one.measure for one in cadences(on) if one.rests_by == "rest"] == []
    closing = _abc('"C"c2e2|"G7"d2B2|"C"c2z2|"C"gefg|"F"f2a2|"C"g4')
    assert next((one.measure, one.name) for one in cadences(closing)) == (2, "perfect authentic")


def test_harmonic_rhythm_counts_changes_of_chord():
    # One chord, then two, then four (by construction).
    tune = "[C,4E4G4c4]|[F,2A2c2f2][G,2B2d2g2]|[C,EGc][F,Acf][G,Bdg][C,EGc]|[C,4E4G4c4]"
    found = harmonic_rhythm(_abc(tune))
    assert [one.changes for one in found] == [1, 2, 4, 0]
    assert found[1].durations == (Fraction(2), Fraction(2))
    assert sum(one.changes for one in found) == 7


PAIRS = [  # definitions in jazz harmony courses (common practice, no source)
    pytest.param('"Cmaj7"c4|"Dbmaj7"_d4', "half-step pair", (0, 1), id="one kind, roots a half step apart"),
    pytest.param('"Dm7"d4|"G7"g4|"Cmaj7"e4', "ii-V", (0, 1), id="ii V"),
    pytest.param('"Dm7"d4|"Db7"_d4|"Cmaj7"e4', "tritone substitute", (1, 2), id="bII7 for V7"),
    pytest.param('"C"c4|"D7"d4|"G7"g4|"C"c4', "secondary dominant", (1, 2), id="V7 of V"),
]


@pytest.mark.parametrize(("tune", "name", "measures"), PAIRS)
def test_pair_of_chords_is_found_where_it_is(tune, name, measures):
    found = [pair for pair in chord_pairs(harmony(_abc(tune))) if pair.name == name]
    assert [pair.measures for pair in found] == [measures]


@pytest.mark.parametrize("tune", ['"C"c4|"F"f4|"C"c4', '"Am"A4|"Dm"d4|"Am"A4'])
def test_plain_chords_have_no_such_pairs(tune):
    assert chord_pairs(harmony(_abc(tune))) == ()


def test_pedals_of_the_prelude_are_found():
    # Gotham's analysis in the When-in-Rome corpus; in the bundled file G in bars 24-30 and C in 31-34 (known_forms.tsv).
    score = load_score(CORPUS / "bach/bwv846.mxl")
    pedals = [pair for pair in chord_pairs(harmony(score)) if pair.name == "pedal point"]
    first, last = ([score.measures[measure].number for measure in pedal.measures] for pedal in (pedals[0], pedals[-1]))
    assert (first, last) == (["24", "29"], ["31", "34"])
    assert pedals[0].sentence.startswith("G stays in the bass")
