"""Cuts of notes at beats: examples of common practice (no source), and sums that hold for all."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.metric_cut import metric_pieces
from musictheory_nb.practice.rhythm_figure import METRES
from musictheory_nb.practice.written_duration import written_value

EIGHTHS = st.integers(1, 40).map(lambda n: Fraction(n, 2))


# written as players read it, common practice, no source
@pytest.mark.parametrize(
    ("onset", "quarters", "metre", "pieces"),
    [
        pytest.param("0", "3", "6/8", "3", id="a full measure of six eighths"),
        pytest.param("1/2", "1", "6/8", "1", id="eighth and quarter in a dotted beat"),
        pytest.param("1", "3/2", "6/8", "1/2 1", id="over the second beat of 6/8"),
        pytest.param("0", "5/2", "6/8", "3/2 1", id="five eighths"),
        pytest.param("0", "9/2", "9/8", "3 3/2", id="a full measure of nine eighths"),
        pytest.param("0", "3/2", "4/4", "3/2", id="dotted quarter on one"),
        pytest.param("1", "2", "4/4", "2", id="quarter, half, quarter"),
        pytest.param("1/2", "1", "4/4", "1", id="eighth, quarter, eighth"),
        pytest.param("3/2", "1", "4/4", "1/2 1/2", id="over the middle of the measure"),
        pytest.param("3/2", "1", "3/4", "1", id="no middle in 3/4"),
        pytest.param("3", "2", "4/4", "1 1", id="over the barline"),
        pytest.param("3/4", "1/2", "4/4", "1/4 1/4", id="sixteenths over a beat"),
    ],
)
def test_notes_are_cut_as_players_read_them(onset, quarters, metre, pieces):
    found = metric_pieces(Fraction(onset), Fraction(quarters), metre)
    assert found == tuple(map(Fraction, pieces.split()))


@given(st.integers(0, 30).map(lambda n: Fraction(n, 2)), EIGHTHS, st.sampled_from(METRES), st.booleans())
def test_pieces_are_single_values_within_measures_and_last_as_long_as_the_note(onset, quarters, metre, is_rest):
    pieces = metric_pieces(onset, quarters, metre, is_rest=is_rest)
    assert sum(pieces) == quarters
    at, full = onset, measure_quarters(metre)
    for piece in pieces:
        assert written_value(piece) is not None
        assert at % full + piece <= full
        at += piece


def test_a_rest_shows_every_beat():
    assert metric_pieces(Fraction(1), Fraction(2), "4/4", is_rest=True) == (1, 1)
    assert metric_pieces(Fraction(2), Fraction(2), "4/4", is_rest=True) == (2,)
    assert metric_pieces(Fraction(0), Fraction(2), "3/4", is_rest=True) == (1, 1)


def test_groups_of_an_odd_metre_are_seen():
    assert metric_pieces(Fraction(1), Fraction(2), "7/8", (2, 2, 3)) == (1, 1)
    assert metric_pieces(Fraction(0), Fraction(2), "7/8", (2, 2, 3)) == (2,)
    assert metric_pieces(Fraction(1), Fraction(3), "5/4", (3, 2)) == (2, 1)
