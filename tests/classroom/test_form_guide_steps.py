"""Steps made from analysis: forms of known_forms.tsv, pedal points of pedal_points.tsv (tests/published/)."""

import pytest

from musictheory_nb.classroom.form_guide_steps import form_guide_steps
from musictheory_nb.classroom.frozen_excerpt import freeze
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.score.load import load_score


@pytest.fixture(scope="module")
def corpus_piece():
    from music21 import corpus

    return lambda name: load_score(corpus.getWork(name))


def check_each_step_can_be_answered(piece, steps):
    made = Exercise(
        "guide", "form-guide", {"excerpt": "piece", "steps": steps}, count=len(steps), lesson="demo",
        excerpts={"piece": freeze(piece)},
    )  # fmt: skip
    for at in range(len(steps)):
        item = made.item(1, at)
        answer = {}
        for step in item.response.steps:
            ((name, right),) = item.solution[step.id].items()
            single = name in ("number", "choice") and not getattr(step.inputs[0], "many", False)
            answer[step.id] = {name: right[0] if single else right}
        assert made.mark(item, answer).score == 1.0, (steps[at], answer)


def test_strains_of_a_rag(corpus_piece):
    """known_forms.tsv: A 1-16 (17), B 18-33 (34), A' 35-50, C 51-66 (67), D 68-83 (84)."""
    piece = corpus_piece("joplin/maple_leaf_rag.mxl")
    steps = form_guide_steps(piece)
    assert steps[0]["answer"] == [["1", "A"], ["18", "B"], ["35", "A′"], ["51", "C"], ["68", "D"]]
    assert steps[1] == {"ask": "returns", "measures": ["1", "17"], "answer": [["35", "50"]]}
    assert not any(step["ask"] == "orchestration" for step in steps)
    check_each_step_can_be_answered(piece, steps)


def test_pedal_points_of_a_prelude(corpus_piece):
    """pedal_points.tsv: G in measures 24 to 30 and C in 31 to 34 of the bundled edition."""
    piece = corpus_piece("bach/bwv846.mxl")
    steps = form_guide_steps(piece)
    held = [step["answer"] for step in steps if step["ask"] == "pedal point"]
    assert held == [[["24", "30"], "G", "bass"], [["31", "34"], "C", "bass"]]
    check_each_step_can_be_answered(piece, steps)


def test_a_minuet_with_trio(corpus_piece):
    """known_forms.tsv: Menuet 1-14, 15-36 with the return at 25, Trio 37-46, 47-62."""
    piece = corpus_piece("mozart/k156/movement3.mxl")
    steps = form_guide_steps(piece)
    assert [row[0] for row in steps[0]["answer"]] == ["1", "15", "25", "37", "47"]
    assert {"ask": "returns", "measures": ["1", "14"], "answer": [["25", "36"]]} in steps
    assert any(step["ask"] == "trading" for step in steps)
    check_each_step_can_be_answered(piece, steps)
