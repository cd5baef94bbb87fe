"""Chords of one line: broken chords, the left hand of a published example, and walking basses written out chord by chord.

A line that breaks a chord is heard as that chord; what it leaves out is not there (harmony courses; bass methods: chord
tones in even beats, the root on the first; common practice, no source).
"""

import pytest

from musictheory_nb.score.implied_harmony import implied_harmony
from musictheory_nb.score.load import load_score


def chords(tune, key="C", metre="4/4", unit="1/8"):
    """The chords of a line, each with the number of its measure."""
    score = load_score(f"X:1\nM:{metre}\nL:{unit}\nK:{key}\n{tune}|]\n".encode(), cache=False)
    return [(score.measures[span.measure].number, span.chord.symbol) for span in implied_harmony(score)]


def numbered(*symbols):
    return [(str(bar), symbol) for bar, symbol in enumerate(symbols, 1)]


@pytest.mark.parametrize(
    ("tune", "key", "metre", "expected"),
    [
        pytest.param("CEGcGE|DFAdAF|B,DGBGD|C6", "C", "6/8", ("C", "Dm", "G/B", "C"), id="up and down in six eighths"),
        pytest.param("CEGceg|FAcfac|GBdgfd|cGEC3", "C", "6/8", ("C", "F", "G7", "C"), id="a seventh on the way down"),
        pytest.param("A,CEACE|DFAdFA|E^GBeBG|AECA,3", "Am", "6/8", ("Am", "Dm", "E", "Am"), id="in minor"),
        pytest.param("CEG EGE CEG|FAc AcA FAc|GBd BdB GFD|C9", "C", "9/8", ("C", "F", "G7/D", "C"), id="nine eighths"),
        pytest.param("GBd gdB|Ace aec|^FAd dAF|G6", "G", "6/8", ("G", "Am", "D", "G"), id="no seventh where none sounds"),
    ],
)  # fmt: skip
def test_broken_chords_in_compound_time(tune, key, metre, expected):
    found = chords(tune, key, metre)
    assert [(bar, symbol.split("/")[0]) for bar, symbol in found] == numbered(*(one.split("/")[0] for one in expected))


def test_left_hand_of_a_sonata():
    # Mozart, K. 545, bars 1 to 4, left hand alone: I, V43 I, IV64 I, V6 I (the analysis of every textbook; from memory).
    # The known difference: V43 without its leading tone, D G F G, is heard as ii.
    found = [(bar, symbol.split("/")[0]) for bar, symbol in chords("CGEG CGEG|DGFG CGEG|CAFA CGEG|B,GDG CGEG")]
    assert found[:1] + found[2:] == [("1", "C"), ("2", "C"), ("3", "F"), ("3", "C"), ("4", "G"), ("4", "C")]
    assert found[1] in (("2", "G7"), ("2", "Dm"))


def test_cello_prelude_over_its_pedal():
    # Bach, suite for cello in G, prelude, bars 1 to 4: I, IV64, vii° over the tonic (others say V7), I (textbooks; from memory).
    bars = ("G,,D,B,A,B,D,B,D,", "G,,E,CB,CE,CE,", "G,,^F,CB,C^F,C^F,")
    last = "G,,G,B,A,B,G,B,G,G,,G,B,A,B,G,B,^F,"
    found = chords("|".join(2 * bar for bar in bars) + "|" + last, "G", unit="1/16")
    assert [(bar, symbol.split("/")[0]) for bar, symbol in found] == numbered("G", "C", "F#dim", "G")


@pytest.mark.parametrize(
    ("tune", "key", "expected"),
    [
        pytest.param("D,F,A,C|G,B,DF|C,E,G,B,|C,4", "C", ("Dm7", "G7", "Cmaj7"), id="ii V I"),
        pytest.param(
            "D,F,A,C|G,B,DG,|C,E,G,B,|F,A,CE|B,,D,F,A,|E,^G,B,E|A,CEC|A,4", "C",
            ("Dm7", "G", "Cmaj7", "Fmaj7", "Bm7b5", "E", "Am"), id="round the circle of fifths",
        ),
        pytest.param("C,E,G,_B,|F,A,CA,|G,B,DF|C,4", "C", ("C7", "F", "G7", "C"), id="a dominant that is spelled out"),
    ],
)  # fmt: skip
def test_walking_bass_has_a_chord_a_bar(tune, key, expected):
    found = chords(tune, key, unit="1/4")
    assert found[: len(expected)] == numbered(*expected)
    assert len(found) <= len(expected) + 1
