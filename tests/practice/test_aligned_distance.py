"""Aligned distance: against rapidfuzz, against shortest paths of scipy, and against slips counted by hand."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rapidfuzz.distance import Levenshtein
from scipy.sparse import lil_matrix
from scipy.sparse.csgraph import dijkstra

from musictheory_nb.practice.aligned_distance import SlipCosts, align, line_notes


def line(text):
    """Notes as ``'C4:1 r:1/2'``."""
    parts = [part.split(":") for part in text.split()]
    return line_notes([("" if name == "r" else name, Fraction(length)) for name, length in parts])


PITCHES = st.lists(st.sampled_from("ABCDE"), max_size=12)
NOTES = st.lists(
    st.tuples(st.sampled_from("ABC"), st.sampled_from([Fraction(1, 2), Fraction(1), Fraction(3, 2)])), max_size=8
)


@given(PITCHES, PITCHES)
def test_of_notes_of_one_length_it_is_the_edit_distance_of_rapidfuzz(right, answer):
    one, other = (line_notes([(name, Fraction(1)) for name in names]) for names in (right, answer))
    assert align(one, other).cost == Levenshtein.distance("".join(right), "".join(answer))


@given(PITCHES, PITCHES, st.integers(1, 3), st.integers(1, 3), st.integers(1, 3))
def test_costs_of_each_kind_are_the_weights_of_rapidfuzz(right, answer, pitch, missed, extra):
    one, other = (line_notes([(name, Fraction(1)) for name in names]) for names in (right, answer))
    found = align(one, other, SlipCosts(pitch=pitch, missed=missed, extra=extra)).cost
    assert found == Levenshtein.distance("".join(right), "".join(answer), weights=(extra, missed, pitch))


def shortest_path(right, answer, pitch, length, missed, extra):
    """The distance as the shortest path through the grid of both lines, by the moves that the docstring names."""
    wide = len(answer) + 1
    grid = lil_matrix(((len(right) + 1) * wide,) * 2)
    tiny = 1e-9  # an edge of weight 0 would be no edge

    def edge(i, j, down, along, cost):
        if i + down <= len(right) and j + along <= len(answer):
            start, end = i * wide + j, (i + down) * wide + j + along
            grid[start, end] = min(cost + tiny, grid[start, end] or np.inf)

    for i in range(len(right) + 1):
        for j in range(wide):
            edge(i, j, 1, 0, missed)
            edge(i, j, 0, 1, extra)
            two, pair = right[i : i + 2], answer[j : j + 2]
            if two and pair:
                wrong = pitch * (two[0][0] != pair[0][0]) + length * (two[0][1] != pair[0][1])
                edge(i, j, 1, 1, wrong)
            if len(two) == 2 and pair and two[0][1] + two[1][1] == pair[0][1]:
                edge(i, j, 2, 1, missed + pitch * min(two[0][0] != pair[0][0], two[1][0] != pair[0][0]))
            if two and len(pair) == 2 and two[0][1] == pair[0][1] + pair[1][1]:
                edge(i, j, 1, 2, extra + pitch * min(two[0][0] != pair[0][0], two[0][0] != pair[1][0]))
            if len(two) == len(pair) == 2 and two[0][1] + two[1][1] == pair[0][1] + pair[1][1]:
                edge(i, j, 2, 2, length + pitch * sum(a[0] != b[0] for a, b in zip(two, pair, strict=True)))
    return dijkstra(grid.tocsr(), indices=0)[-1]


@given(NOTES, NOTES, st.sampled_from([1.0, 0.5, 2.0]), st.sampled_from([1.0, 0.5]))
def test_it_is_the_shortest_path_by_the_moves_that_are_documented(right, answer, pitch, length):
    expected = shortest_path(right, answer, pitch, length, 1.0, 1.0)
    found = align(line_notes(right), line_notes(answer), SlipCosts(pitch, length))
    assert found.cost == pytest.approx(expected, abs=1e-6)


@given(NOTES, NOTES)
def test_every_note_stands_in_the_alignment_once_and_in_order(right, answer):
    found = align(line_notes(right), line_notes(answer))
    assert [i for i, _ in found.pairs if i is not None] == list(range(len(right)))
    assert [j for _, j in found.pairs if j is not None] == list(range(len(answer)))
    assert sum(slip.cost for slip in found.slips) == pytest.approx(found.cost)
    assert (found.cost == 0) == (line_notes(right) == line_notes(answer))


@given(NOTES, NOTES)
def test_missed_and_extra_change_places_with_the_two_lines(right, answer):
    one, other = align(line_notes(right), line_notes(answer)), align(line_notes(answer), line_notes(right))
    assert one.cost == other.cost


ASKED = "C4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2"


@pytest.mark.parametrize(
    ("answer", "kinds"),
    [
        # one slip each, read off by hand against ASKED
        pytest.param("C4:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2", ["missed"], id="left out, the rest moves up"),
        pytest.param("C4:1 r:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2", ["pitch"], id="a rest for a note"),
        pytest.param("C4:2 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2", ["missed"], id="left out, the note before held"),
        pytest.param("C4:1 D4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2", ["extra"], id="once more"),
        pytest.param("C4:1 D4:1/2 C4:1/2 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2", ["extra"], id="a note put in"),
        pytest.param("C4:1 D4:1 E4:1/2 F#4:1/2 G4:1 A4:3/2 G4:1/2 C4:2", ["pitch"], id="a wrong pitch"),
        pytest.param("C4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:1 G4:1/2 C4:2", ["length"], id="too short, the rest moves up"),
        pytest.param("C4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:1 G4:1 C4:2", ["moved"], id="too short, the next made longer"),
        pytest.param("C4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:1 r:1", ["length"], id="the last note cut short"),
    ],
)  # fmt: skip
def test_one_slip_costs_one_slip(answer, kinds):
    found = align(line(ASKED), line(answer))
    assert [slip.kind for slip in found.slips] == kinds
    assert found.cost == len(kinds)
    assert found.score(8) == 1 - len(kinds) / 8


def test_slips_add_up_one_by_one():
    asked = line(ASKED)
    answers = [
        "C4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 C4:2",
        "C4:1 D4:1 E4:1/2 F4:1/2 G4:1 A4:3/2 G4:1/2 B3:2",
        "C4:1 D4:1 E4:1 G4:1 A4:3/2 G4:1/2 B3:2",
        "C4:1 D4:1 E4:1 G4:1 A4:1 G4:1 B3:2",
    ]
    costs = [align(asked, line(answer)).cost for answer in answers]
    assert [after - before for before, after in pairwise(costs)] == [1, 1, 1]


def test_nothing_answered_misses_all_and_scores_nothing():
    found = align(line(ASKED), ())
    assert found.cost == 8
    assert found.score(8) == 0
