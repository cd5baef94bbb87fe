"""Several answers to one item: as many as the copy allows; what is right is told after the last, or after a right one."""

import json

import pytest

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_record import read_record
from musictheory_nb.widgets.lesson_session import open_lesson

RECORD = "demo.ines-orta.answers.jsonl"


def opened(folder, attempts):
    lesson = open_lesson("demo", student="ines-orta", seed=7, folder=folder, attempts=attempts)
    return lesson, lesson.exercise("hear", "interval-by-ear", count=2, settings={"inputs": ["buttons"]})


def answer(view, right):
    (box,) = view.step_boxes
    (value, *_) = view.item.solution[box.step.id]["choice"]
    options = [option.value for option in box.step.inputs[0].options]
    box.enter("choice", value if right else next(one for one in options if one != value))
    return view.check()


def told(view):
    return " ".join([view._feedback.headline, *view._feedback.lines])


def buttons(view):
    return [action["label"] for action in view._actions.actions if action["enabled"]]


def shown_as_right(view):
    return [widget.right for box in view.step_boxes for widget in box._widgets.values() if widget.right]


def test_a_second_answer_where_two_are_allowed(tmp_path):
    _, view = opened(tmp_path, 2)
    explanation = view.item.explain.splitlines()[0]
    assert answer(view, False).score < 1
    assert "You can answer once more." in told(view)
    assert explanation not in told(view)
    assert shown_as_right(view) == []
    assert "Answer again" in buttons(view)
    assert answer(view, True) is None  # not without asking for it
    view._act("again")
    assert "Check my answer" in buttons(view)
    assert answer(view, True).score == 1
    assert explanation in told(view)
    assert shown_as_right(view)
    assert "Answer again" not in buttons(view)
    lines = read_record((tmp_path / RECORD).read_bytes()).answers
    assert [(line.index, line.attempt) for line in lines] == [(0, 1), (0, 2)]


def test_after_the_last_answer_what_is_right_is_told(tmp_path):
    _, view = opened(tmp_path, 2)
    answer(view, False)
    view._act("again")
    answer(view, False)
    assert view.item.explain.splitlines()[0] in told(view)
    view._act("again")
    assert answer(view, True) is None
    assert len(read_record((tmp_path / RECORD).read_bytes()).answers) == 2


def test_a_right_answer_is_not_asked_for_again(tmp_path):
    _, view = opened(tmp_path, 5)
    answer(view, True)
    assert "Answer again" not in buttons(view)
    assert shown_as_right(view)


@pytest.mark.parametrize(("attempts", "again"), [(1, False), (3, True), (0, True)])
def test_a_lesson_that_is_opened_again_goes_on_where_it_was(tmp_path, attempts, again):
    _, view = opened(tmp_path, attempts)
    answer(view, False)
    lesson, view = opened(tmp_path, attempts)
    view.show(0)
    assert ("Answer again" in buttons(view)) == again
    assert bool(shown_as_right(view)) != again
    assert [line.attempt for line in lesson.answers] == [1]


def test_two_windows_share_the_attempts(tmp_path):
    (_, one), (_, two) = opened(tmp_path, 2), opened(tmp_path, 2)
    answer(one, False)
    answer(two, False)
    one._act("again")
    assert answer(one, True) is None
    assert "in another window" in told(one)
    assert [line.attempt for line in read_record((tmp_path / RECORD).read_bytes()).answers] == [1, 2]


@pytest.mark.parametrize("attempts", [-1, 1001, 1.5, True, "2"])
def test_attempts_that_cannot_be_are_refused(tmp_path, attempts):
    with pytest.raises(ExerciseError, match=r"attempts .*; allowed: 1 to 1000, or 0 for no limit"):
        open_lesson("demo", attempts=attempts)


def test_what_is_recorded_is_plain(tmp_path):
    lesson, view = opened(tmp_path, 2)
    answer(view, False)
    assert json.loads(lesson.answers[0].line())["attempt"] == 1
