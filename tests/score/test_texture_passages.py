"""Solo, tutti, unison, trading, ostinato and density on short passages written for the purpose.

Definitions (common practice, no source): "Trading: an ensemble and a soloist, or two soloists, take turns for a fixed
number of bars, most often fours, twos or eights; the turns need not be equal"; unison is one line for all who play,
octaves included; an ostinato is a figure repeated while the rest changes, a ground bass one in the lowest part. The
passages are our own and follow the definitions bar by bar.
"""

from fractions import Fraction

import pytest

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.density import density
from musictheory_nb.score.load import load_score
from musictheory_nb.score.texture import find_texture

FOUR = ("C E G E", "D F A F", "E G B G", "c B A G")  # four bars of a line, in quarters
OTHER = ("c A F A", "B G E G", "A F D F", "G E C E")
REST = ("z4",)


def score_of(*voices, metre="4/4"):
    """A score whose voices are given as lists of bars."""
    text = "".join(
        f'V:{number} name="Voice {number}"\n{"|".join(bars)}|\n' for number, bars in enumerate(voices, start=1)
    )
    return load_score(f"X:1\nM:{metre}\nL:1/4\nK:C\n{text}".encode(), cache=False)


def kinds(score, *wanted):
    return [one for one in find_texture(score) if one.kind in wanted]


def octave_lower(bars):
    return tuple(" ".join(note + "," if note.isupper() else note.upper() for note in bar.split()) for bar in bars)


def test_trading_fours():
    score = score_of((FOUR + REST * 4) * 2, (REST * 4 + OTHER) * 2)
    (found,) = kinds(score, "trading", "call and response")
    assert found.kind == "trading"
    assert (found.first_measure, found.last_measure) == ("1", "16")
    assert found.turns == (((0,), 4), ((1,), 4), ((0,), 4), ((1,), 4))
    assert "4 bars each" in found.sentence


def test_silence_after_the_last_turn_is_no_part_of_it():
    """The vamp that follows is the accompanist's alone."""
    score = score_of((FOUR + REST * 4) * 2 + REST * 4, (REST * 4 + OTHER) * 2 + REST * 4, ("C, G, C, G,",) * 20)
    (found,) = kinds(score, "trading", "call and response")
    assert (found.first_measure, found.last_measure) == ("1", "16")
    assert [bars for _, bars in found.turns] == [4, 4, 4, 4]


def test_trading_against_an_ensemble_and_an_accompaniment():
    """Two parts answer one; a fourth one accompanies throughout and belongs to neither party."""
    steady = ("G, B, D B,", "A, C E C") * 8
    score = score_of(
        (FOUR + REST * 4) * 2,
        (REST * 4 + OTHER) * 2,
        (REST * 4 + octave_lower(OTHER)) * 2,
        steady,
    )
    (found,) = kinds(score, "trading")
    assert [parts for parts, _ in found.turns] == [(0,), (1, 2), (0,), (1, 2)]


def test_turns_need_not_be_equal():
    score = score_of(FOUR + REST * 2 + FOUR[:2] + REST, REST * 4 + OTHER[:2] + REST * 2 + OTHER[:1])
    (found,) = kinds(score, "trading")
    assert [bars for _, bars in found.turns] == [4, 2, 2, 1]
    assert "4, 2, 2, 1 bars" in found.sentence


def test_a_pickup_into_the_turn_does_not_blur_it():
    """Each party leads in with a quarter in the last bar of the turn before."""
    one = (*FOUR[:3], "c B A z", *REST * 3, "z3 C")
    two = (*REST * 3, "z3 G", *OTHER[:3], "G E C z")
    (found,) = kinds(score_of(one * 2, two * 2), "trading")
    assert [bars for _, bars in found.turns] == [4, 4, 4, 4]


def test_call_and_response_of_one_and_many():
    call, answer = ("C D E z", "z4"), ("z4", "c B A z")
    score = score_of(call * 4, answer * 4, octave_lower_rests(answer) * 4)
    (found,) = kinds(score, "call and response")
    assert len(found.turns) == 8


def octave_lower_rests(bars):
    return tuple(bar if bar == "z4" else "C B, A, z" for bar in bars)


@pytest.mark.parametrize(
    ("one", "two"),
    [
        pytest.param(FOUR * 2, OTHER * 2, id="both play throughout"),
        pytest.param(FOUR + REST * 4, REST * 4 + OTHER, id="one hands over once"),
        pytest.param(FOUR * 2, REST * 8, id="one is silent"),
    ],
)
def test_what_is_no_trading(one, two):
    assert kinds(score_of(one, two), "trading", "call and response") == []


def test_unison_and_octaves():
    score = score_of(FOUR, FOUR, octave_lower(FOUR))
    (found,) = kinds(score, "unison", "octaves", "doubling")
    assert (found.kind, found.parts, found.first_measure, found.last_measure) == ("octaves", (0, 1, 2), "1", "4")
    (same,) = kinds(score_of(FOUR, FOUR), "unison", "octaves", "doubling")
    assert same.kind == "unison"


def test_two_of_three_double():
    score = score_of(FOUR, octave_lower(FOUR), ("G4", "A4", "G4", "E4"))
    (found,) = kinds(score, "unison", "octaves", "doubling")
    assert (found.kind, found.parts) == ("doubling", (0, 1))
    assert "1 octave above" in found.sentence


def test_parallel_thirds_are_no_doubling():
    third = ("E G B G", "F A c A", "G B d B", "e d c B")
    assert kinds(score_of(FOUR, third), "unison", "octaves", "doubling") == []


def test_same_classes_in_changing_octaves_are_no_doubling():
    leaps = ("C e G E", "D F a F", "E G B g", "c B a G")
    assert kinds(score_of(FOUR, leaps), "unison", "octaves", "doubling") == []


def test_solo_and_tutti():
    score = score_of(FOUR + FOUR, REST * 4 + OTHER)
    found = kinds(score, "solo", "tutti")
    assert [(one.kind, one.parts, one.first_measure, one.last_measure) for one in found] == [
        ("solo", (0,), "1", "4"),
        ("tutti", (0, 1), "5", "8"),
    ]


def test_a_lone_part_is_neither_solo_nor_tutti():
    assert find_texture(score_of(FOUR)) == ()


def test_ostinato_above_and_ground_bass_below():
    figure = ("C, G, E, G,", "D, A, F, A,")
    upper = (*FOUR, *OTHER)
    (ground,) = kinds(score_of(upper, figure * 4), "ostinato", "ground bass")
    assert (ground.kind, ground.period, ground.first_measure, ground.last_measure) == ("ground bass", 2, "1", "8")
    (above,) = kinds(score_of(("c e g e",) * 8, octave_lower(upper)), "ostinato", "ground bass")
    assert (above.kind, above.period, above.parts) == ("ostinato", 1, (0,))


@pytest.mark.parametrize(
    ("upper", "lower"),
    [
        pytest.param(FOUR[:2] * 4, ("C, G, E, G,", "D, A, F, A,") * 4, id="everything repeats, nothing changes"),
        pytest.param((*FOUR, *OTHER), ("C,4",) * 8, id="one note is no figure"),
        pytest.param((*FOUR, *OTHER), ("C, G, E, G,", "D, A, F, A,") * 2 + octave_lower(OTHER), id="only twice"),
    ],
)
def test_what_is_no_ostinato(upper, lower):
    assert kinds(score_of(upper, lower), "ostinato", "ground bass") == []


def test_density_and_register():
    score = score_of(("C E G c",) * 2 + ("c/d/e/f/ g/a/b/c'/",) * 2)
    low, high = density(score, [(0, 1), (2, 3)])
    assert (low.notes, low.notes_per_quarter, low.lowest, low.highest) == (8, Fraction(1), 60, 72)
    assert (high.notes, high.notes_per_quarter, high.lowest, high.highest) == (16, Fraction(2), 72, 84)


def test_density_counts_tied_notes_once_and_silence_as_nothing():
    score = score_of(("C4-", "C4"), REST * 2)
    first, second = density(score, [(0, 1)])
    assert (first.notes, second.notes, second.median) == (1, 0, None)


@pytest.mark.parametrize("bad", [(-1, 0), (1, 0), (0, 9)])
def test_range_outside_the_score_is_refused(bad):
    with pytest.raises(ScoreError, match=f"measures {bad[0]} to {bad[1]}"):
        density(score_of(FOUR), [bad])
