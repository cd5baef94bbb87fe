"""North-American and British words (common practice, no source), and note values."""

from fractions import Fraction

import pytest

from musictheory_nb.errors import TheoryError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.terms import TERMS, check_vocabulary, duration_name, other_interval_names, reworded, term

# Names of note values on either side of the Atlantic, as the opening pages of theory primers give them.
NOTE_VALUES = [
    (Fraction(8), "double whole note", "breve"),
    (Fraction(4), "whole note", "semibreve"),
    (Fraction(2), "half note", "minim"),
    (Fraction(1), "quarter note", "crotchet"),
    (Fraction(1, 2), "eighth note", "quaver"),
    (Fraction(1, 4), "sixteenth note", "semiquaver"),
    (Fraction(1, 8), "thirty-second note", "demisemiquaver"),
    (Fraction(1, 16), "sixty-fourth note", "hemidemisemiquaver"),
]


@pytest.mark.parametrize(("quarters", "american", "british"), NOTE_VALUES)
def test_note_value_in_both_vocabularies(quarters, american, british):
    assert duration_name(quarters) == american
    assert duration_name(quarters, "british") == british
    assert duration_name(quarters * Fraction(3, 2)) == f"dotted {american}"
    assert duration_name(quarters * Fraction(7, 4), "british") == f"double-dotted {british}"
    assert term(american, "british") == british
    assert term(british) == american


# Three in the time of two, five in the time of four (common practice, no source).
@pytest.mark.parametrize(
    ("quarters", "name"),
    [
        (Fraction(1, 3), "triplet eighth note"), (Fraction(2, 3), "triplet quarter note"), (Fraction(1, 6), "triplet sixteenth note"),
        (Fraction(1, 5), "quintuplet sixteenth note"), (Fraction(4, 3), "triplet half note"), (Fraction(1, 7), "septuplet sixteenth note"),
        (Fraction(2, 5), "quintuplet eighth note"), (3, "dotted half note"), (Fraction(15, 8), "triple-dotted quarter note"),
    ],
)  # fmt: skip
def test_dotted_and_tuplet_values(quarters, name):
    assert duration_name(quarters) == name


@pytest.mark.parametrize("quarters", [Fraction(5, 2), Fraction(5), Fraction(1, 11), Fraction(9, 8), 32])
def test_length_of_no_single_note_is_refused(quarters):
    with pytest.raises(TheoryError, match="written with a tie"):
        duration_name(quarters)


@pytest.mark.parametrize("quarters", [0, -1, 1.5, "1", None, True])
def test_what_is_no_length_is_refused(quarters):
    with pytest.raises(TheoryError, match="positive whole number or Fraction"):
        duration_name(quarters)


@pytest.mark.parametrize(
    ("american", "british"),
    [
        ("Measure 3", "Bar 3"), ("measures 3-5", "bars 3-5"), ("a half step", "a semitone"), ("two whole steps", "two tones"),
        ("the leading tone", "the leading note"), ("thirty-second notes", "demisemiquavers"), ("a sixteenth rest", "a semiquaver rest"),
        ("Half steps", "Semitones"), ("an eighth-note pulse", "a quaver pulse"), ("chromatic half step", "chromatic semitone"),
        ("pickup measure", "upbeat bar"), ("five staves", "five staves"), ("one staff", "one stave"), ("measured", "measured"),
        ("perfect authentic cadence", "perfect cadence"), ("a triad", "a triad"), ("whole-tone scale", "whole-tone scale"),
    ],
)  # fmt: skip
def test_sentence_in_british_words(american, british):
    assert reworded(american, "british") == british
    assert reworded(american) == american


def test_plural_follows_the_count():
    assert [term("measure", "british", n) for n in (0, 1, 2)] == ["bars", "bar", "bars"]
    assert term("stave", count=2) == "staves"


def test_every_word_is_read_in_both_vocabularies():
    for american, british in TERMS:
        assert term(american) == american
        assert term(american, "british") == british
        assert term(british, "british") == british


def test_names_of_an_interval_in_one_vocabulary():
    assert "half step" in other_interval_names(Interval("m2"))
    assert "semitone" not in other_interval_names(Interval("m2"))
    assert "semitone" in other_interval_names(Interval("A1"), "british")
    assert "tone" in other_interval_names(Interval("M2"), "british")
    assert "tritone" in other_interval_names(Interval("A4"))
    assert "tritone" in other_interval_names(Interval("A4"), "british")


def test_unknown_words_are_refused():
    for call in (
        lambda: check_vocabulary("welsh"),
        lambda: term("measure", "welsh"),
        lambda: reworded("measure", "welsh"),
        lambda: duration_name(1, "welsh"),
        lambda: other_interval_names(Interval("m2"), "welsh"),
    ):
        with pytest.raises(TheoryError, match="words 'welsh': must be one of 'american', 'british'"):
            call()
    with pytest.raises(TheoryError, match="word 'bleat'"):
        term("bleat")
