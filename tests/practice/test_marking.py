"""Marks of a lesson are worked out from the recorded answers alone."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.embedded_record import marks_data
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import mark_lesson

SEED = 11
PLAN = LessonPlan(
    "demo",
    "Demo",
    (
        Exercise("seen", "interval-by-ear", {"present": "notation"}, count=4, points=8, lesson="demo"),
        Exercise("heard", "interval-by-ear", {"partial": False}, count=2, points=3, lesson="demo"),
    ),
)


def choice(exercise, index, seed=SEED, *, right=True):
    item = PLAN.exercise(exercise).item(seed, index)
    names = next(names for names in item.key["choices"] if item.key["interval"] in names)
    values = [option.value for option in item.response.steps[0].inputs[0].options]
    right_size = abs(item.key["midi"][0] - item.key["midi"][1])
    wrong = "P8" if right_size not in (11, 12) else "m2"
    assert {names[0], wrong} <= set(values)
    return {"interval": {"choice": names[0] if right else wrong}}


def line(number, exercise, index, answer, **changes):
    fields = {"id": f"{number:032x}", "exercise": exercise, "version": 1, "index": index, "answer": answer, "attempt": 1,
              "time": f"2026-03-02T17:{number // 60:02d}:{number % 60:02d}Z"}  # fmt: skip
    return AnswerLine(**(fields | changes))


def all_right():
    return [
        line(10 * place + index, exercise.id, index, choice(exercise.id, index))
        for place, exercise in enumerate(PLAN.exercises)
        for index in range(exercise.count)
    ]


def test_all_right_earns_all_points():
    marked = mark_lesson(PLAN, SEED, all_right())
    assert (marked.points, marked.answered, marked.notes) == (11, 6, ())
    assert [one.score for one in marked.exercises] == [1.0, 1.0]


def test_no_answers_earn_nothing_and_say_so():
    marked = mark_lesson(PLAN, SEED, [])
    assert (marked.points, marked.answered) == (0, 0)
    assert {item.mark.why for one in marked.exercises for item in one.items} == {"Not answered yet."}


def test_points_follow_from_the_mean_of_the_items():
    """By hand: a mean of (3 + a near miss)/4 of 8 points; one of two at 3 points is 1.5."""
    lines = [line(index, "seen", index, choice("seen", index, right=index != 2)) for index in range(4)]
    lines += [line(10 + index, "heard", index, choice("heard", index, right=index == 0)) for index in range(2)]
    marked = mark_lesson(PLAN, SEED, lines)
    wrong = marked.exercises[0].items[2].mark.score  # a near miss may earn part
    assert wrong < 1
    assert [one.points for one in marked.exercises] == [pytest.approx((3 + wrong) / 4 * 8), 1.5]
    assert marked.exercises[0].items[2].confusion is not None
    assert marked.exercises[0].items[1].confusion is None


@given(st.permutations(range(8)))
def test_the_earliest_answer_counts_in_whatever_order_they_come(order):
    wrong = [line(5 + index, "seen", index, choice("seen", index, right=False)) for index in range(4)]
    right = [line(50 + index, "seen", index, choice("seen", index)) for index in range(4)]
    lines = [*wrong, *right]
    marked = mark_lesson(PLAN, SEED, [lines[place] for place in order])
    assert [item.line for item in marked.exercises[0].items] == wrong
    assert marked.notes == ("4 later answers to items already answered; the first of each counts",)


def test_answers_to_nothing_here_are_left_out_and_named():
    strange = [
        line(1, "elsewhere", 0, choice("seen", 0)),
        line(2, "seen", 4, choice("seen", 0)),
        line(3, "seen", 0, choice("seen", 0), version=2),
        line(4, "seen", 1, {"interval": {"choice": "M99"}}),
        line(5, "seen", 2, {"other": {"choice": "m2"}}),
    ]
    marked = mark_lesson(PLAN, SEED, strange)
    assert (marked.points, marked.answered, len(marked.notes), len(marked.unread)) == (0, 0, 3, 2)
    assert "no such item here" in marked.notes[0]
    assert marked.unread[0].startswith("seen item 2: answer to 'interval': 'M99'")


def test_an_answer_that_cannot_be_read_does_not_stand_in_the_way_of_a_later_one():
    lines = [line(1, "seen", 0, {"interval": {"choice": 3}}), line(2, "seen", 0, choice("seen", 0))]
    marked = mark_lesson(PLAN, SEED, lines)
    assert marked.exercises[0].items[0].mark.score == 1.0
    assert (len(marked.notes), marked.unread) == (1, ())


def test_answers_made_for_another_seed_are_marked_against_this_ones_items():
    other = [line(index, "seen", index, choice("seen", index, seed=99)) for index in range(4)]
    keys = [PLAN.exercise("seen").item(SEED, index).key["interval"] for index in range(4)]
    theirs = [PLAN.exercise("seen").item(99, index).key["interval"] for index in range(4)]
    marked = mark_lesson(PLAN, SEED, other)
    assert [item.mark.score == 1.0 for item in marked.exercises[0].items] == [
        a == b for a, b in zip(keys, theirs, strict=True)
    ]


def test_times_heard_attempts_seeds_and_settings_in_a_line_change_no_mark():
    lines = [
        line(at, one.exercise, one.index, one.answer, attempt=9, heard=9, ms=1, seed=5, settings={"partial": True})
        for at, one in enumerate(all_right())
    ]
    assert mark_lesson(PLAN, SEED, lines).points == 11


def test_marks_for_the_notebook_are_scores_by_item_with_nothing_where_not_answered():
    marked = mark_lesson(PLAN, SEED, all_right()[:3])
    assert marks_data(marked) == {"seen": [1.0, 1.0, 1.0, None], "heard": [None, None]}
