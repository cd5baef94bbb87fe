"""Agreement of two divisions into sections, against the reference library `mir_eval` (module ``segment``)."""

import math

import mir_eval
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from musictheory_nb.practice.segment_agreement import boundary_agreement, label_agreement, matched_boundaries

LABELS = st.sampled_from(["A", "B", "C", "D", "a", "A′", "B2", "trio", "Ä", "ä"])


@st.composite
def divisions(draw, measures):
    inner = draw(st.lists(st.integers(1, measures - 1), unique=True, max_size=measures - 1)) if measures > 1 else []
    return [(start, draw(LABELS)) for start in [0, *sorted(inner)]]


@st.composite
def pairs(draw):
    measures = draw(st.integers(1, 40))
    return draw(divisions(measures)), draw(divisions(measures)), measures


def intervals(division, measures):
    """The division as mir_eval takes it: a measure lasts one second."""
    starts = [start for start, _ in division]
    return np.array(list(zip(starts, [*starts[1:], measures], strict=True)), dtype=float)


@pytest.mark.filterwarnings("ignore:.*intervals are empty")
@settings(max_examples=600)
@given(pairs(), st.integers(0, 5))
def test_boundaries_agree_with_mir_eval_detection(pair, window):
    left, right, measures = pair
    ours = boundary_agreement([s for s, _ in left[1:]], [s for s, _ in right[1:]], window)
    theirs = mir_eval.segment.detection(intervals(left, measures), intervals(right, measures), window=window, trim=True)
    assert (ours.precision, ours.recall, ours.f) == pytest.approx(theirs, abs=1e-12)


@pytest.mark.filterwarnings("ignore:invalid value", "ignore:divide by zero")
@settings(max_examples=600)
@given(pairs())
def test_labels_agree_with_mir_eval_pairwise(pair):
    left, right, measures = pair
    ours = label_agreement(left, right, measures)
    theirs = mir_eval.segment.pairwise(
        intervals(left, measures), [label for _, label in left],
        intervals(right, measures), [label for _, label in right],
        frame_size=1.0,
    )  # fmt: skip
    for mine, other in zip((ours.precision, ours.recall), theirs[:2], strict=True):
        if math.isnan(other):  # no two measures share a label: mir_eval divides 0 by 0
            assert mine in (0.0, 1.0)
        else:
            assert mine == pytest.approx(other, abs=1e-12)
    if not math.isnan(theirs[2]):
        assert ours.f == pytest.approx(theirs[2], abs=1e-12)


@settings(max_examples=300)
@given(pairs(), st.integers(0, 5))
def test_matching_is_a_largest_one_within_the_window_and_uses_nothing_twice(pair, window):
    left, right = ([start for start, _ in division[1:]] for division in pair[:2])
    found = matched_boundaries(left, right, window)
    assert len(found) == len(mir_eval.util.match_events(np.array(left), np.array(right), window))
    assert all(abs(one - other) <= window and one in left and other in right for one, other in found)
    assert len({one for one, _ in found}) == len({other for _, other in found}) == len(found)


@given(st.lists(st.integers(1, 60), unique=True, min_size=1), st.integers(0, 4))
def test_an_exact_hit_is_never_given_away_for_a_near_one(starts, window):
    assert matched_boundaries(starts, starts, window) == tuple((start, start) for start in sorted(starts))


def test_worked_example_of_both_measures():
    """Source: tests/published/standards.md, section 11 (measured with mir_eval 0.8.2), in tenths of a second."""
    reference, answer = [0, 100, 200, 300, 400], [0, 103, 220, 400]
    near, wide = (boundary_agreement(reference, answer, window) for window in (5, 30))
    assert (near.precision, near.recall, near.f) == pytest.approx((0.75, 0.6, 0.667), abs=5e-4)
    assert (wide.precision, wide.recall, wide.f) == pytest.approx((1.0, 0.8, 0.889), abs=5e-4)
    labels = label_agreement(
        list(zip(reference[:-1], "AABA", strict=True)), list(zip(answer[:-1], "AAB", strict=True)), 400
    )
    assert (labels.precision, labels.recall, labels.f) == pytest.approx((0.701, 0.566, 0.627), abs=5e-4)


@pytest.mark.parametrize(
    ("left", "right", "measures", "expected"),
    [
        pytest.param([(0, "A"), (1, "B")], [(0, "X"), (1, "Y")], 2, (1.0, 1.0), id="each measure its own label, both"),
        pytest.param([(0, "A"), (1, "B")], [(0, "X")], 2, (0.0, 0.0), id="only the answer joins measures"),
        pytest.param([(0, "A")], [(0, "X"), (1, "Y")], 2, (0.0, 0.0), id="only the reference joins measures"),
    ],
)
def test_a_share_of_nothing_is_decided_where_mir_eval_says_nan(left, right, measures, expected):
    """Our decision, not an outside value: mir_eval returns NaN for these."""
    ours = label_agreement(left, right, measures)
    assert (ours.precision, ours.recall) == expected


@given(pairs())
def test_renaming_the_letters_changes_nothing(pair):
    left, right, measures = pair
    names = {label.lower(): f"z{place}" for place, label in enumerate(dict.fromkeys(x.lower() for _, x in right))}
    renamed = [(start, names[label.lower()]) for start, label in right]
    assert label_agreement(left, renamed, measures) == label_agreement(left, right, measures)
