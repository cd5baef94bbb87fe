"""Harmonic functions, and what one chord does towards the next, as harmony courses teach them (common practice, no source)."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import ChordError, RomanNumeralError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_relation import RELATIONS, chord_relations
from musictheory_nb.theory.harmonic_function import FUNCTION_ROWS, FUNCTIONS, function_name
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.roman_numeral import Roman

FUNCTION_OF = {
    "C major": {
        "tonic": "I I6 iii vi I7 vi7 i",
        "predominant": "ii ii6 ii65 IV IV7 N6 bII It6 Fr43 Ger65 iiø7 iv bVI ii° bVII7 #iv°7",
        "dominant": "V V7 V65 vii° viiø7 vii°7 V9 V7alt V7sus4 Cad64 bII7 subV7 V+",
        "secondary dominant": "V7/V vii°7/ii V/vi subV7/V Cad64/V",
        "secondary predominant": "ii7/V IV/IV Ger65/V",
        "other": "#ii°7 bIII°7 #V",
    },
    "A minor": {
        "tonic": "i i6 III VI I",
        "predominant": "ii° iiø65 iv iv6 IV N6 It6",
        "dominant": "V V7 vii°7 v VII Cad64",
        "secondary dominant": "V7/iv V7/III vii°7/V",
    },
}


@pytest.mark.parametrize(
    ("key", "function", "text"),
    [(k, function, t) for k, by in FUNCTION_OF.items() for function, texts in by.items() for t in texts.split()],
)
def test_taught_function(key, function, text):
    assert Roman(text, key).function == function


def test_function_table_is_whole_and_in_the_words_of_the_list():
    assert {row.function for row in FUNCTION_ROWS} == set(FUNCTIONS)
    assert all(row.reason and row.mode in ("", "major", "minor") for row in FUNCTION_ROWS)
    assert function_name(5, 0, ("1", "3", "5"), True) == "dominant"


@pytest.mark.parametrize(("first", "second", "key", "relation"), [
    ("G7", "C", "C major", "dominant"),
    ("G", "C/E", "C major", "dominant"),
    ("E7", "Am", "A minor", "dominant"),
    ("D7", "G", "C major", "secondary dominant"),
    ("D", "G", "C major", "secondary dominant"),
    ("A7", "Dm7", "C major", "secondary dominant"),
    ("C7", "F", "C major", "secondary dominant"),
    ("G7", "C", "A minor", "secondary dominant"),
    ("B7b9", "Em", "C major", "secondary dominant"),
    ("Db7", "C", "C major", "tritone substitute"),
    ("Ab7", "G7", "C major", "tritone substitute"),
    ("Eb7", "Dm7", "C major", "tritone substitute"),
    ("Db7#11", "Cmaj7", "C major", "tritone substitute"),
    ("Bdim", "C", "C major", "leading-tone chord"),
    ("G#dim7", "Am", "A minor", "leading-tone chord"),
    ("F#dim7", "G", "C major", "secondary leading-tone chord"),
    ("C#dim7", "Dm", "C major", "secondary leading-tone chord"),
    ("Bb7", "C", "C major", "backdoor dominant"),
    ("Dm7", "G7", "C major", "related ii"),
    ("Bm7b5", "E7", "A minor", "related ii"),
    ("Em7", "A7", "C major", "related ii"),
    ("Cdim7", "C", "C major", "common-tone diminished seventh"),
    ("F", "C", "C major", "subdominant"),
    ("Fm", "C", "C major", "subdominant"),
    ("Ger65", "V", "C major", "augmented sixth"),
    ("It6", "V", "D minor", "augmented sixth"),
])  # fmt: skip
def test_taught_relation(first, second, key, relation):
    assert relation in [found.name for found in chord_relations(first, second, key)]


@pytest.mark.parametrize(("first", "second"), [("C", "F"), ("Am", "Dm"), ("C", "Am"), ("Cmaj7", "F"), ("Em", "F")])
def test_chords_without_such_a_relation(first, second):
    assert chord_relations(first, second, "C major") == ()


@pytest.mark.parametrize(
    ("first", "second"), [("G7", "F#dim7"), ("C7", "Bdim"), ("D7", "G#dim"), ("G7", "C#dim7"), ("Bb7", "Cdim")]
)
def test_diminished_chord_is_no_goal(first, second):
    """A chord with a diminished fifth is no place to resolve to (common practice, no source)."""
    names = {relation.name for relation in chord_relations(first, second, "C major")}
    assert not names & {"dominant", "secondary dominant", "tritone substitute", "backdoor dominant", "augmented sixth"}


@given(
    tonic=st.sampled_from(["C", "D", "Eb", "G", "A", "Bb"]),
    pair=st.sampled_from(
        [("D7", "G"), ("Db7", "C"), ("F#dim7", "G"), ("Dm7", "G7"), ("Bb7", "C"), ("F", "C"), ("A7", "Dm")]
    ),
)
def test_relations_are_the_same_in_every_key(tonic, pair):
    up = "P1" if tonic == "C" else {"D": "M2", "Eb": "m3", "G": "P5", "A": "M6", "Bb": "m7"}[tonic]
    moved = [Chord(symbol).up(up) for symbol in pair]
    key = Key.of(tonic, "major")
    names = [relation.name for relation in chord_relations(*pair, "C major")]
    assert names
    assert set(names) <= set(RELATIONS)
    assert [relation.name for relation in chord_relations(*moved, key)] == names


def test_refusals():
    with pytest.raises(RomanNumeralError, match=r"chord 'N.C.'"):
        chord_relations("N.C.", "C", "C major")
    with pytest.raises(ChordError, match="chord 'Hx'"):
        chord_relations("C", "Hx", "C major")
