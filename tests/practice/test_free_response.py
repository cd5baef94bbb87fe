"""Free response: the rubric stands beside the question, and no answer is told right or wrong before a teacher marks it."""

import pytest
from family_sample import frozen_excerpts

from musictheory_nb.errors import AnswerError, ExerciseError
from musictheory_nb.practice.exercise import Exercise

RUBRIC = [["argument", 4, "names measures"], ["terms", 1]]


def exercise(count=1, **settings):
    asked = {"questions": ["Why does it sound restless?"], "rubric": RUBRIC, **settings}
    return Exercise("essay", "free-response", asked, count=count, lesson="demo", excerpts=frozen_excerpts())


def test_question_and_rubric_are_read_before_the_answer():
    item = exercise().item(1, 0)
    assert item.prompt.splitlines() == [
        "Why does it sound restless?",
        "Your teacher marks it by this rubric, 5 points in all.",
        "Argument (4 points): names measures.",
        "Terms (1 point).",
    ]


def test_every_text_awaits_the_teacher():
    made = exercise()
    item = made.item(1, 0)
    mark = made.mark(item, {"answer": {"text": "It never rests on the tonic."}})
    assert mark.awaits_teacher
    assert mark.score == 0.0
    assert mark.why == "Your teacher will mark this by the rubric beside the question."
    british = exercise(words="british")
    assert british.mark(british.item(1, 0), {"answer": {"text": "So."}}).awaits_teacher


def test_a_good_answer_is_shown_afterwards_and_the_music_beforehand():
    made = exercise(questions=[["Describe it", "the bass holds D"]], excerpt="song", measures=["9", 12])
    item = made.item(1, 0)
    assert item.explain == "One good answer: the bass holds D."
    assert "bass" not in item.prompt
    assert [(one.kind, one.span) for one in item.media] == [("sound", (9, 12)), ("notation", (9, 12))]


def test_each_question_comes_once():
    made = exercise(4, questions=["One?", "Two?", "Three?", "Four?"])
    orders = {tuple(made.item(seed, at).key["question"] for at in range(4)) for seed in range(20)}
    assert all(sorted(order) == [0, 1, 2, 3] for order in orders)
    assert len(orders) > 5


def test_an_empty_or_too_long_text_is_no_answer():
    made = exercise(most=50)
    item = made.item(1, 0)
    for text in ("", "   ", "x" * 51):
        with pytest.raises(AnswerError, match="1 to 50 characters"):
            made.mark(item, {"answer": {"text": text}})


@pytest.mark.parametrize(
    ("chosen", "why"),
    [
        ({"rubric": []}, "rubric"),
        ({"rubric": [["argument", 0]]}, "rubric"),
        ({"rubric": [["argument", True]]}, "rubric"),
        ({"rubric": [["argument", 4], ["argument", 2]]}, "different rows"),
        ({"questions": []}, "questions"),
        ({"questions": [["Why?", "a", "b"]]}, "good answer"),
        ({"measures": ["1", "4"]}, "name the excerpt"),
        ({"excerpt": "song", "measures": ["4", "1"]}, "the first one first"),
        ({"excerpt": "song", "measures": ["4", "99"]}, "measure '99'"),
        ({"count": 2}, "count 2, and one question"),
    ],
)
def test_settings_that_make_no_exercise_are_refused_in_words(chosen, why):
    with pytest.raises(ExerciseError, match=why):
        exercise(**chosen).item(1, 0)
