"""Inputs of every kind: what is taken, what is refused, and how an answer is said in words.

Note values, tuplets and pitch names are facts of the trade (common practice, no source); MIDI 60 is C4 (MIDI 1.0).
"""

import math
from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from musictheory_nb.errors import AnswerError, ExerciseError
from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.metre_beat import beat_quarters, measure_quarters
from musictheory_nb.practice.plain_data import canonical_json
from musictheory_nb.practice.response import (
    ChoiceInput,
    FingerboardInput,
    Input,
    KeysInput,
    MeasuresInput,
    NumberInput,
    Option,
    Response,
    RhythmInput,
    RolesInput,
    SectionsInput,
    StaffInput,
    Step,
    SungInput,
    SymbolInput,
    TextInput,
)
from musictheory_nb.practice.symbol_reading import SYMBOL_KINDS
from musictheory_nb.practice.written_duration import duration_words, read_quarters, written_value

ROLES = (Option("chord", "chord tone"), Option("passing", "passing tone"))
BASS = FingerboardInput(("E1", "A1", "D2", "G2"), count=2)
WALTZ = StaffInput(clef="bass", fifths=2, metre="3/4", measures=2)

#: Input, a value as it comes, the value as it is taken, and the words.
TAKEN = [
    (
        WALTZ,
        [[["F#2"], "3/2", False], [["C𝄪3"], "1/2", False], [[], "2/2", False], [["D3"], "3", False]],
        [[["F#2"], "3/2", False], [["C##3"], "1/2", False], [[], "1", False], [["D3"], "3", False]],
        "F♯2 dotted quarter, C𝄪3 eighth, rest quarter, D3 dotted half",
    ),
    (
        WALTZ,
        [[["D3"], "3", True], [["D3"], "1/3", False], [["E3"], "2/3", False]],
        [[["D3"], "3", True], [["D3"], "1/3", False], [["E3"], "2/3", False]],
        "D3 dotted half (tied), D3 eighth triplet, E3 quarter triplet",
    ),
    (
        StaffInput(chords=True, pitches_only=True),
        [[["E4", "C4", "G4"], "1", False]],
        [[["C4", "E4", "G4"], "1", False]],
        "C4 with E4 with G4",
    ),
    (
        RhythmInput("6/8", 1, 60),
        [-40, 0, 1500],
        [-40, 0, 1500],
        "three taps, at the beats 0.96, 1.00, 2.50 from the first",
    ),
    (BASS, [[0, 0], [3, 12]], [[0, 0], [3, 12]], "E1 (string 4, open), G3 (string 1, fret 12)"),
    (SymbolInput("chord"), " Bb7#9 ", "Bb7#9", "B♭7♯9 (B flat dominant seventh with sharp ninth)"),
    (SymbolInput("chord", names="german"), "H7", "H7", "H7 (H dominant seventh)"),
    (SymbolInput("numeral", "C major"), "V65/V", "V65/V", "V65/V (dominant seventh, first inversion, in C major)"),
    (SymbolInput("chords"), "Dm7 G7/B", "Dm7 G7/B", "Dm7 G7/B (D minor seventh; G dominant seventh over B)"),
    (
        SymbolInput("numerals", "C major"),
        "ii7 V65",
        "ii7 V65",
        "ii7 V65 (minor seventh, root position, in C major; dominant seventh, first inversion, in C major)",
    ),
    (SymbolInput("figures", "G major"), "6 5", "6 5", "6 5 (above the bass: a third, a fifth and a sixth)"),
    (SymbolInput("scale"), "Db dorian", "Db dorian", "D♭ Dorian (D flat Dorian)"),
    (SymbolInput("scale", names="german"), "Es Dorian", "Es Dorian", "Es Dorian"),
    (SymbolInput("pitches"), "C Eb, G", "C Eb, G", "C E♭ G (C, E flat, G)"),
    (SymbolInput("interval"), "diminished fifth", "diminished fifth", "d5 (diminished fifth)"),
    (RolesInput(("C5", "B4"), ROLES), ["chord", "passing"], ["chord", "passing"], "C5: chord tone, B4: passing tone"),
    (MeasuresInput(("0", "1", "2", "3")), [[1, 2]], [[1, 2]], "measures 1 to 2"),
    (MeasuresInput(("1", "2", "3"), 0), [[2, 2], [0, 1]], [[0, 1], [2, 2]], "measures 1 to 2, measure 3"),
    (NumberInput(-3, 12, "semitones"), 6, 6, "6 semitones"),
    (TextInput(), " A pedal.\r\nOn D. ", "A pedal.\nOn D.", "A pedal.\nOn D."),
    (SungInput(2), [60, 63.7512], [60.0, 63.75], "C4, E4 (25 cents low)"),
]


@pytest.mark.parametrize(("asked", "value", "taken", "words"), TAKEN)
def test_a_value_in_shape_is_taken_and_said(asked, value, taken, words):
    response = Response((Step("it", "It?", (asked,)),))
    answer = response.check({"it": {asked.id: value}})
    assert answer == {"it": {asked.id: taken}}
    assert response.check(answer) == answer
    assert canonical_json(answer)
    assert answer_words(response, answer) == words
    assert asked.how


#: Values of no shape that any input but a text takes.
DEEP: list = []
for _ in range(10_000):
    DEEP = [DEEP]
HOSTILE = [None, True, math.nan, math.inf, -math.inf, 10**5000, "", " ", "x" * 100_000, [], {}, [[]], [{}], [None], [True],
           [math.nan], [10**5000], DEEP, [DEEP], [["C4"]], {"a": DEEP}, "\ud800", ["\ud800"], [["\ud800", "1", False]],
           [0] * 100_000, b"x"]  # fmt: skip


@pytest.mark.parametrize("asked", list(dict.fromkeys(row[0] for row in TAKEN)), ids=lambda one: type(one).__name__)
@pytest.mark.parametrize("value", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_value_is_refused_shortly(asked, value):
    with pytest.raises(AnswerError, match="allowed: ") as refused:
        asked.check("it", value)
    assert len(str(refused.value)) < 500


REFUSED = [
    (WALTZ, [["C3", "1", False]], "a list of at most 1 pitch"),
    (WALTZ, [[["C3"], 1, False]], "quarters as text"),
    (WALTZ, [[["C3"], "0", False]], "quarters as text"),
    (WALTZ, [[["C3"], "1/0", False]], "quarters as text"),
    (WALTZ, [[["C3"], "-1", False]], "quarters as text"),
    (WALTZ, [[["C3"], "1/11", False]], "quarters as text"),
    (WALTZ, [[["C3"], "1/512", False]], "quarters as text"),
    (WALTZ, [[["C3"], "1", 0]], "true or false"),
    (WALTZ, [[["C3", "E3"], "1", False]], "at most 1 pitch"),
    (WALTZ, [[["C"], "1", False]], "an octave from 0 to 9"),
    (WALTZ, [[["Cbbb3"], "1", False]], "at most two"),
    (WALTZ, [[["C10"], "1", False]], "an octave from 0 to 9"),
    (WALTZ, [[["C3"], "4", False], [["C3"], "4", False]], "at most 6 quarters in all"),
    (WALTZ, [[["C3"], "1", True]], "a tie only"),
    (WALTZ, [[["C3"], "1", True], [["C#3"], "1", False]], "a tie only"),
    (WALTZ, [[[], "1", True], [[], "1", False]], "a tie only"),
    (StaffInput(pitches_only=True), [[["C4"], "1/2", False]], "'1' for every note"),
    (StaffInput(chords=True), [[["C4", "C4"], "1", False]], "each pitch of a chord once"),
    (StaffInput(lowest="C4", highest="C5"), [[["B3"], "1", False]], "pitches from C4 to C5"),
    (StaffInput(given=(((), "2", False),)), [[["C4"], "3", False]], "at most 4 quarters"),
    (RhythmInput(), [1.5], "whole milliseconds"),
    (RhythmInput(), [10, 10], "ascending"),
    (RhythmInput("4/4", 1, 60), [5001], "from -500 to 5000"),
    (BASS, [[0, 0]], "a list of 2 places"),
    (BASS, [[0, 0], [0, 13]], "fret 0 to 12"),
    (BASS, [[0, 0], [0, 1.0]], "fret 0 to 12"),
    (SymbolInput("chord"), "H7", "H is German for B"),
    (SymbolInput("interval"), "tritone", "'A4' or 'd5'"),
    (SymbolInput("numeral", "C major"), "Q", "a Roman numeral"),
    (SymbolInput("figures"), "six", "numbers from 2 to 13"),
    (SymbolInput("pitches"), "C J", "pitches, such as"),
    (SymbolInput("pitches"), "C " * 20, "1 to 16"),
    (RolesInput(("C5", "B4"), ROLES), ["chord", "other"], "one of chord, passing"),
    (MeasuresInput(("1", "2", "3"), 0), [[0, 1], [1, 2]], "do not overlap"),
    (MeasuresInput(("1", "2", "3"), 2), [[0, 1]], "a list of 2 spans"),
    (NumberInput(0, 3), 4, "from 0 to 3"),
    (NumberInput(0, 3), "2", "from 0 to 3"),
    (TextInput(most=3), "four", "1 to 3 characters"),
    (TextInput(), "a\x00b", "printed"),
    (SungInput(1, "C4", "C5"), [59.4], "C4 to C5"),
]


@pytest.mark.parametrize(("asked", "value", "allowed"), REFUSED)
def test_a_refusal_names_what_is_allowed(asked, value, allowed):
    with pytest.raises(AnswerError, match="answer to 'it'") as refused:
        asked.check("it", value)
    assert allowed in str(refused.value).split("allowed: ", 1)[1]


@pytest.mark.parametrize(
    ("make", "problem"),
    [
        (lambda: StaffInput("soprano"), "clef 'soprano'"),
        (lambda: StaffInput(fifths=8), "fifths 8"),
        (lambda: StaffInput(metre="waltz"), "metre 'waltz'"),
        (lambda: StaffInput(measures=0), "measures 0"),
        (lambda: StaffInput(lowest="low"), "limit 'low'"),
        (lambda: StaffInput(pickup="4"), "pickup '4'"),
        (lambda: StaffInput(given=((("H4",), "1", False),)), "given of the staff"),
        (lambda: RhythmInput(tempo=0), "tempo 0"),
        (lambda: FingerboardInput(()), "tuning"),
        (lambda: FingerboardInput(("E",)), "no octave"),
        (lambda: FingerboardInput(("E1",), labels="degrees"), "need a key"),
        (lambda: FingerboardInput(("E1",), given=((0, 99),)), "given"),
        (lambda: SymbolInput("mood"), "reads 'mood'"),
        (lambda: SymbolInput("numeral"), "read in a key"),
        (lambda: SymbolInput(names="dutch"), "names 'dutch'"),
        (lambda: RolesInput(("C4",), ROLES[:1]), "roles"),
        (lambda: MeasuresInput(()), "measures"),
        (lambda: NumberInput(3, 1), "numbers 3 to 1"),
        (lambda: TextInput(most=0), "most 0"),
        (lambda: SungInput(low="C5", high="C4"), "lower pitch first"),
    ],
)
def test_an_input_that_cannot_be_is_refused(make, problem):
    with pytest.raises(ExerciseError, match=problem):
        make()


JSON_VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["C4", "1", "1/2", "V7"]),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner, max_size=2),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None)
@given(JSON_VALUES)
def test_any_plain_value_is_taken_whole_or_refused(value):
    for asked in {type(row[0]): row[0] for row in TAKEN}.values():
        try:
            taken = asked.check("it", value)
        except AnswerError:
            continue
        assert asked.check("it", taken) == taken
        assert asked.words(taken)


def test_every_input_of_the_union_can_be_said_and_announced():
    made = [row[0] for row in TAKEN]
    made += [ChoiceInput(ROLES), KeysInput(48, 72), SectionsInput(("1", "2"))]
    assert {type(one) for one in made} == {*get_args(Input)}
    assert {one.reads for one in made if isinstance(one, SymbolInput)} == {*SYMBOL_KINDS}
    assert all(one.how and one.id for one in made)


@pytest.mark.parametrize(
    ("quarters", "name"),
    [
        ("4", "whole"), ("3", "dotted half"), ("7/2", "double-dotted half"), ("3/4", "dotted eighth"),
        ("1/8", "thirty-second"), ("2/3", "quarter triplet"), ("1/6", "sixteenth triplet"), ("1/5", "sixteenth quintuplet"),
        ("4/7", "quarter septuplet"), ("5/4", None),
    ],
)  # fmt: skip
def test_note_values_have_their_names(quarters, name):
    value = written_value(read_quarters(quarters))
    assert (value.words if value else None) == name


@given(st.builds(Fraction, st.integers(1, 200), st.sampled_from([1, 2, 3, 4, 5, 6, 7, 8, 12, 14, 16, 20, 24])))
def test_words_of_a_duration_add_up(quarters):
    names = {"double whole": 8, "whole": 4, "half": 2, "quarter": 1, "eighth": Fraction(1, 2), "sixteenth": Fraction(1, 4),
             "thirty-second": Fraction(1, 8), "sixty-fourth": Fraction(1, 16)}  # fmt: skip
    assume(read_quarters(str(quarters)) is not None)
    total = Fraction(0)
    for word in duration_words(quarters).split(" tied to "):
        times = Fraction(1)
        for tuplet, ratio in (
            ("triplet", Fraction(2, 3)),
            ("quintuplet", Fraction(4, 5)),
            ("septuplet", Fraction(4, 7)),
        ):
            if word.endswith(tuplet):
                word, times = word.removesuffix(f" {tuplet}"), ratio
        for dots, factor in (("double-dotted ", Fraction(7, 4)), ("dotted ", Fraction(3, 2))):
            if word.startswith(dots):
                word, times = word.removeprefix(dots), times * factor
        total += times * names[word]
    assert total == quarters


@pytest.mark.parametrize(
    ("metre", "measure", "beat"),
    [("4/4", 4, 1), ("6/8", 3, Fraction(3, 2)), ("9/8", Fraction(9, 2), Fraction(3, 2)), ("2/2", 4, 2), ("3/4", 3, 1),
     ("12/8", 6, Fraction(3, 2)), ("5/4", 5, 1)],
)  # fmt: skip
def test_beats_of_metres(metre, measure, beat):
    assert (measure_quarters(metre), beat_quarters(metre)) == (measure, beat)
