"""Extended chords, added sixths and suspended fourths from notes alone, and music that has none.

Voicings are written from the chords' spelling (`chord_symbols.tsv` gives their degrees): third and seventh with ninth,
thirteenth or fifth above the root in the bass, as pianists play them (common practice, no source).
"""

import pytest
from music21 import corpus

from musictheory_nb.score.extended_chord import EXTENDED_TYPES
from musictheory_nb.score.implied_harmony import implied_harmony
from musictheory_nb.score.load import load_score
from musictheory_nb.theory.chord import Chord


def chords(*voices, key="C"):
    lines = "".join(f"V:{number}\n{voice}|]\n" for number, voice in enumerate(voices, 1))
    score = load_score(f"X:1\nM:4/4\nL:1/4\nK:{key}\n{lines}".encode(), cache=False)
    spans = implied_harmony(score)
    assert all(span.numeral is not None for span in spans)
    return [span.chord.symbol for span in spans]


@pytest.mark.parametrize(
    ("voicings", "bass", "expected"),
    [
        pytest.param("[FAce]4|[FABe]4|[EGBd]4|[EGBd]4", "D,4|G,4|C,4|C,4", ["Dm9", "G13", "Cmaj9"], id="ii V I"),
        pytest.param(
            "[FAce]4|[F=B_e_a]4|[_EG=Bd]4", "D,4|G,4|C,4", ["Dm9", "G7(b9,b13)", "Cm(maj9)"], id="altered dominant"
        ),
        pytest.param("[FAcd]4|[FABd]4|[EAd]4", "G,,4|G,,4|C,4", ["G9sus4", "G9", "C6/9"], id="fourth goes to third"),
        pytest.param("[FABd]4|[F_ABd]4|[EGBd]4", "G,,4|G,,4|C,4", ["G9", "G7b9", "Cmaj9"], id="ninth falls"),
        pytest.param("[Gcfa]4|[FABe]4|[EGBd]4", "D,4|G,4|C,4", ["Dm11", "G13", "Cmaj9"], id="eleventh"),
        pytest.param("[^FBce]4|[FABe]4|[EGA]4", "D,4|G,4|C,4", ["D13", "G13", "C6"], id="dominant of the dominant"),
    ],
)  # fmt: skip
def test_voicings_over_their_roots(voicings, bass, expected):
    assert chords(voicings, bass) == expected


def test_struck_off_the_beat_over_a_walking_bass():
    comping, walk = "z[FAce]2z|z[FABe]2z|z[EGBd]2z|[EGBd]2z2", "D,F,A,_A,|G,D,G,B,|C,E,G,A,|C,2z2"
    assert chords(comping, walk) == ["Dm9", "G13", "Cmaj9"]


def test_a_melody_above_changes_no_chord():
    melody = "d e f a|g f e B|e4|e4"
    assert chords(melody, "[FAce]4|[FABe]4|[EGBd]4|[EGBd]4", "D,4|G,4|C,4|C,4") == ["Dm9", "G13", "Cmaj9"]


def test_a_piece_may_close_with_an_added_sixth():
    assert chords("[FAc]4|[FGB]4|[EGA]4", "F,4|G,4|C,4")[-1] == "C6"


def test_a_fourth_from_nowhere_that_stays_is_no_suspension():
    assert chords("[EGe]4|[Gcd]4|[GBd]4|[EGc]4".replace("Gcd", "Gdg c".replace(" ", "")), "C,4|G,4|G,4|C,4")[-1] == "C"
    assert chords("[Gcd]4|[GBd]4|[EGc]4", "G,4|G,4|C4") == ["Gsus4", "G", "C"]


def test_a_prepared_fourth_is_a_suspension():
    """C is held over from the chord before and falls to B, in the usual half bar."""
    assert chords("c4-|c2B2|c4", "A4|G4|G4", "F4|d4|e4", "F,4|G,4|C,4") == ["F", "G", "C"]


@pytest.mark.parametrize(
    "name",
    ["bach/bwv269", "mozart/k458/movement1.mxl", "joplin/maple_leaf_rag.mxl", "corelli/opus3no1/1grave.xml", "bach/bwv846.mxl"],
)  # fmt: skip
def test_music_of_triads_and_sevenths_has_none(name):
    """Published analyses of such music know inversions and suspensions, not C6 and Gsus4 (common practice, no source)."""
    spans = implied_harmony(load_score(corpus.getWork(name)))
    degrees = {degree for span in spans for degree in span.chord.degrees}
    assert degrees.isdisjoint({"9", "b9", "#9", "11", "#11", "13", "b13", "4", "2", "6"})


def test_every_type_can_be_written_and_holds_what_it_says():
    """The suffix of each row read as a chord symbol has the row's semitones; the fifth may be left out (handbooks)."""
    for row in EXTENDED_TYPES:
        tones = Chord("C" + row.suffix).pitch_classes
        assert row.needed <= tones
        assert row.allowed <= tones | {7}
