"""Chords named by what their dissonances resolve to, in passages written from the conventions in `chord_resolution`.

Harmony courses: a retardation rises to the root, a cadential six-four stands before its dominant, a chord is named where
its root sounds (common practice, no source).
"""

import pytest
from music21 import corpus

from musictheory_nb.score.implied_harmony import implied_harmony
from musictheory_nb.score.load import load_score


def chords(*voices, metre="4/4", key="C"):
    lines = "".join(f"V:{number}\n{voice}|]\n" for number, voice in enumerate(voices, 1))
    score = load_score(f"X:1\nM:{metre}\nL:1/4\nK:{key}\n{lines}".encode(), cache=False)
    return [(str(span.start), span.chord.symbol) for span in implied_harmony(score)]


def test_a_retardation_is_no_seventh():
    """The leading tone of G7 stays over the tonic and rises to it."""
    found = chords("B4|B2c2", "d4|c4", "[FG]4|[EG]4", "G,4|C,4")
    assert found == [("0", "G7"), ("4", "C")]


def test_a_major_seventh_that_stays_is_one():
    found = chords("B4|B4", "d4|c4", "[FG]4|[EG]4", "G,4|C,4")
    assert found == [("0", "G7"), ("4", "Cmaj7")]


def test_neighbour_notes_make_no_seventh():
    found = chords("c/B/c/d/ c/B/c|c4", "G4|G4", "E4|E4", "C,4|C,4")
    assert {chord for _, chord in found} == {"C"}


def test_the_last_chord_of_the_minuet_is_its_tonic():
    # K. 156, third movement: the minuet ends on G, with appoggiaturas above (reported in reading the analysis).
    score = load_score(corpus.getWork("mozart/k156/movement3.mxl"), cache=False)
    held = [span for span in implied_harmony(score) if span.start <= score.measures[score.measure_index(36)].start]
    assert held[-1].chord.symbol == "G"


@pytest.mark.parametrize(("key", "six", "fourth"), [("C", "e", "c"), ("Cm", "_e", "c")])
def test_cadential_six_four_whose_fourth_comes_late(key, six, fourth):
    """Over the dominant the sixth at once, the fourth after the note below it; then the dominant itself."""
    upper = f"{fourth}{fourth}{six}d|{fourth}4"
    score = load_score(
        f"X:1\nM:4/4\nL:1/4\nK:{key}\nV:1\n{upper}|]\nV:2\nG A G G|G4|]\nV:3\n{six.upper()}F =B/c/ =B|{six.upper()}4|]\n"
        "V:4\nC, F, G, G,|C,4|]\n".encode(),
        cache=False,
    )
    found = {str(span.start): span.numeral.figure for span in implied_harmony(score)}
    assert found["2"] == "Cad64"
    assert found["3"].startswith("V")


def test_a_root_that_enters_late_comes_after_the_triad_above_it():
    """D minor for half a beat, then B under it."""
    found = dict(chords("d d c2", "A A G2", "F F E2", "D/B,/ B, C2"))
    assert found["0"] == "Dm"
    assert found["1/2"] == "Bm7b5"


def test_the_ninth_of_a_dominant_falls_to_its_root():
    """A over B, D and F falls to G while they stay: G7 over B."""
    found = dict(chords("c A/G/ G2", "G F E2", "E D C2", "C, B,, C,2"))
    assert found["1"] == "G7/B"
