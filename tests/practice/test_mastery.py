"""Knowledge tracing against the hidden Markov model that it is, summed over all hidden histories one by one.

The model is that of Corbett and Anderson (1995): two hidden states, no forgetting, an answer from the state before learning.
"""

from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.practice.mastery import MASTERED, Tracing

PROBABILITY = st.floats(0.01, 0.45)


def by_enumeration(model, answers):
    """P(learned after the answers): every history of learned or not, weighed by how likely it is with those answers."""
    total = learned = 0.0
    for states in product((False, True), repeat=len(answers) + 1):
        weight = model.known if states[0] else 1 - model.known
        for at, right in enumerate(answers):
            correct = 1 - model.slip if states[at] else model.guess
            weight *= correct if right else 1 - correct
            if states[at]:
                weight *= 1.0 if states[at + 1] else 0.0
            else:
                weight *= model.learns if states[at + 1] else 1 - model.learns
        total += weight
        learned += weight if states[-1] else 0.0
    return learned / total


@given(PROBABILITY, PROBABILITY, PROBABILITY, PROBABILITY, st.lists(st.booleans(), max_size=7))
def test_it_is_the_filtered_hidden_markov_model(known, learns, slip, guess, answers):
    model = Tracing(known, learns, slip, guess)
    assert model.after_all(answers) == pytest.approx(by_enumeration(model, answers), abs=1e-9)


def test_a_worked_step():
    """By Bayes' rule with round numbers: 0.5 * 0.9 / (0.5 * 0.9 + 0.5 * 0.3) = 0.75, and a fifth of the rest is learned."""
    model = Tracing(known=0.5, learns=0.2, slip=0.1, guess=0.3)
    assert model.after_all([True]) == pytest.approx(0.8)
    # 0.5 * 0.1 / (0.5 * 0.1 + 0.5 * 0.7) = 0.125
    assert model.after_all([False]) == pytest.approx(0.125 + 0.875 * 0.2)


@given(st.lists(st.booleans(), max_size=30), st.lists(st.booleans(), max_size=3))
def test_right_answers_raise_it_and_wrong_ones_lower_it(before, more):
    model = Tracing(learns=0.0)
    known = model.after_all(before)
    assert 0 <= known <= 1
    assert model.after(known, right=False) <= known <= model.after(known, right=True) + 1e-12


def test_a_few_right_answers_in_a_row_are_mastery_and_guessing_is_not():
    assert Tracing(guess=0.1).after_all([True] * 3) >= MASTERED
    assert Tracing(guess=0.5).after_all([True, False] * 10) < MASTERED


@pytest.mark.parametrize(
    "wrong", [{"known": 1.2}, {"learns": -0.1}, {"slip": 0.5, "guess": 0.5}, {"guess": float("nan")}]
)
def test_what_is_no_model_is_refused(wrong):
    with pytest.raises(ValueError, match=r"probability|together"):
        Tracing(**wrong)
