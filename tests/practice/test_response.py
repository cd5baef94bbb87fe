"""Answers: what is taken and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.response import (
    MAX_LABEL,
    ChoiceInput,
    KeysInput,
    Option,
    Response,
    SectionsInput,
    Step,
)

OPTIONS = (Option("m3", "minor third"), Option("M3", "major third"), Option("P4", "perfect fourth"))
ONE = Response((Step("size", "Which?", (ChoiceInput(OPTIONS), KeysInput(48, 72, 2))),))
MANY = Response((Step("fit", "Which fit?", (ChoiceInput(OPTIONS, many=True),)),))
FORM = Response((Step("form", "Where?", (SectionsInput(("0", "1", "2", "3")),)),))
BOTH = Response((*ONE.steps, *FORM.steps))


@pytest.mark.parametrize(
    ("response", "answer", "taken"),
    [
        (ONE, {"size": {"choice": "M3"}}, {"size": {"choice": "M3"}}),
        (ONE, {"size": {"keys": [72, 48]}}, {"size": {"keys": [72, 48]}}),
        (MANY, {"fit": {"choice": ["P4", "m3"]}}, {"fit": {"choice": ["m3", "P4"]}}),
        (FORM, {"form": {"sections": [[0, " A "], [3, "B′"]]}}, {"form": {"sections": [[0, "A"], [3, "B′"]]}}),
        (
            BOTH,
            {"form": {"sections": [[0, "A"]]}, "size": {"choice": "m3"}},
            {"size": {"choice": "m3"}, "form": {"sections": [[0, "A"]]}},
        ),
    ],
)
def test_an_answer_in_shape_is_taken(response, answer, taken):
    assert response.check(answer) == taken


@pytest.mark.parametrize("value", [None, 3, "", "M2", "m3 ", ["m3"], True, {}, math.nan])
def test_a_choice_that_is_not_offered_is_refused(value):
    with pytest.raises(AnswerError, match="answer to 'size'"):
        ONE.check({"size": {"choice": value}})


@pytest.mark.parametrize("value", [[], "m3", None, ["m3", "m3"], ["m3", "M2"], ["m3", 3], [["m3"]], {"m3": 1}, [None]])
def test_choices_that_are_not_offered_are_refused(value):
    with pytest.raises(AnswerError, match="answer to 'fit'"):
        MANY.check({"fit": {"choice": value}})


@pytest.mark.parametrize(
    "value", [None, [], [60], [60, 61, 62], [47, 60], [60, 73], [60.0, 61], [True, 60], ["60", 61], "ab", [60, 10**30]]
)
def test_keys_that_are_not_there_are_refused(value):
    with pytest.raises(AnswerError, match="answer to 'size'"):
        ONE.check({"size": {"keys": value}})


@pytest.mark.parametrize(
    "value",
    [
        None,
        [],
        {},
        [[1, "A"]],
        [[0, "A"], [0, "B"]],
        [[0, "A"], [2, "B"], [1, "C"]],
        [[0, "A"], [4, "B"]],
        [[0, "A"], [-1, "B"]],
        [[0, "A", "x"]],
        [[0]],
        [[0, ""]],
        [[0, "  "]],
        [[0, "A" * (MAX_LABEL + 1)]],
        [[0, "A\x00"]],
        [[0, "A\u202e"]],
        [[0, "\ud800"]],
        [[0, 1]],
        [[0.0, "A"]],
        [[False, "A"]],
        [[0, "A"]] * 5,
        ["0A"],
    ],
)
def test_sections_out_of_shape_are_refused(value):
    with pytest.raises(AnswerError, match="answer to 'form'"):
        FORM.check({"form": {"sections": value}})


@pytest.mark.parametrize(
    "answer",
    [
        None,
        [],
        "m3",
        {},
        {"size": "m3"},
        {"size": {}},
        {"size": {"choice": "m3", "keys": [60, 61]}},
        {"size": {"sections": [[0, "A"]]}},
        {"size": {"choice": "m3"}, "more": {"choice": "m3"}},
        {"Size": {"choice": "m3"}},
        {3: {"choice": "m3"}},
    ],
)
def test_an_answer_to_something_else_is_refused(answer):
    with pytest.raises(AnswerError, match="answer to"):
        ONE.check(answer)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5) | st.sampled_from(["m3", "choice"]),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(["size", "choice", "keys"]), inner),
    max_leaves=8,
)


@given(ANYTHING)
def test_whatever_comes_is_taken_or_refused_but_never_breaks(answer):
    for response in (ONE, MANY, FORM, BOTH):
        try:
            taken = response.check(answer)
        except AnswerError:
            continue
        assert response.check(taken) == taken


def test_what_is_refused_is_quoted_in_short():
    with pytest.raises(AnswerError) as caught:
        ONE.check({"size": {"choice": "x" * 10_000}})
    assert len(str(caught.value)) < 200
