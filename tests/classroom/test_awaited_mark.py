"""Answers that a teacher has still to mark: they count neither for nor against, and a rubric mark takes their place.

Expected figures are worked out by hand beside each check.
"""

from types import SimpleNamespace

import pytest
from page_reading import Page

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks, exercise_marks
from musictheory_nb.classroom.marking_policy import parse_policy
from musictheory_nb.classroom.policy_marks import final_marks
from musictheory_nb.classroom.report import report_html
from musictheory_nb.classroom.report_items import lesson_statistics, needs_help
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.rubric_marking import rubric_marks_of
from musictheory_nb.classroom.student_page import student_page_html
from musictheory_nb.classroom.student_report import practise_next, student_report
from musictheory_nb.classroom.teacher_remark import RubricMark, RubricRow, with_rubric_marks
from musictheory_nb.errors import ClassFileError, ReportError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import mark_lesson

ADA = Student("ada-quill", "Ada Quill")
ESSAY = {"questions": ["Why?", "Where?"], "rubric": [["argument", 3], ["terms", 1]]}
PLAN = LessonPlan(
    "demo",
    "Demo",
    (
        Exercise("essay", "free-response", ESSAY, count=2, points=6, lesson="demo"),
        Exercise("ear", "interval-by-ear", {}, count=1, points=2, lesson="demo"),
    ),
)


def line(number, exercise, index, answer):
    return AnswerLine(f"{number:032x}", exercise, 1, index, answer, 1, f"2026-03-02T10:00:0{number}.000Z", 1, 5000)


@pytest.fixture
def marked():
    """One of two essays is written, and the interval is right."""
    item = PLAN.exercises[1].item(7, 0)
    (step,) = item.response.steps
    name, (right, *_) = next(iter(item.solution[step.id].items()))
    answer = {step.id: {name: right}}
    assert PLAN.exercises[1].mark(item, answer).score == 1.0
    return mark_lesson(PLAN, 7, [line(1, "essay", 0, {"answer": {"text": "It waits."}}), line(2, "ear", 0, answer)])


@pytest.fixture
def ada(marked):
    return StudentMarks(ADA, tuple(exercise_marks(one)[0] for one in marked.exercises))


def lesson_of(ada):
    return ClassMarks("demo", "Demo", "sha256:" + "0" * 64, (("essay", "Free response"), ("ear", "Interval")), (ada,))


def test_meanwhile_it_counts_neither_for_nor_against(ada):
    assert ada.awaiting == 1
    assert (ada.points, ada.points_possible) == (2.0, 8.0)
    assert ada.points_marked == 5.0  # 2, and the half of 6 that has no answer
    assert ada.score == 2 / 5
    assert ada.exercise("essay").score == 0.0  # the item without an answer


def test_the_rubric_mark_takes_its_place(ada):
    whole = with_rubric_marks(ada, [RubricMark("essay", 0, (RubricRow("argument", 3, 3), RubricRow("terms", 0, 1)))])
    assert whole.awaiting == 0
    assert whole.points == 2 + 6 * (3 / 4) / 2
    assert whole.score == (2 + 2.25) / 8


def test_the_policy_leaves_it_out_until_then(ada):
    (mark,) = final_marks(parse_policy(b"[rounding]\nto = 1\n"), lesson_of(ada))
    assert mark.percent == 40.0
    assert "1 answer awaits its mark and is left out until then" in mark.words
    weighted = parse_policy(b"[weights]\nessay = 2\near = 1\n[rounding]\nto = 1\n")
    (mark,) = final_marks(weighted, lesson_of(ada))
    assert mark.percent == 50.0  # half of the essay's weight 2 is without an answer, the ear's 1 is reached
    dropped = parse_policy(b"[dropped.lowest]\nessay = 1\n[rounding]\nto = 1\n")
    (mark,) = final_marks(dropped, lesson_of(ada))
    assert mark.percent == 40.0  # an exercise keeps one item


def test_reports_call_nothing_wrong(marked, ada):
    report = student_report(marked, ADA)
    text = " ".join(Page(student_page_html(report)).text)
    assert "… Question 1 of 2: awaits your teacher's mark" in text
    assert "not right" not in text
    assert practise_next(report)[-1].endswith("awaits your teacher's mark.")
    assert not any(advice.startswith("Everything was right") for advice in practise_next(report))
    shown = " ".join(Page(report_html([lesson_of(ada)])).text)
    assert "item 1 awaits your mark" in shown
    assert "nothing that can be named" not in shown
    assert needs_help(lesson_of(ada), 0.6) == []
    assert lesson_statistics(lesson_of(ada))[0] == (("ear", 1),)


def test_a_rubric_mark_is_shown_with_its_rows(marked):
    mark = RubricMark("essay", 0, (RubricRow("argument", 3, 3), RubricRow("terms", 1, 1)))
    report = student_report(marked, ADA, rubric_marks=(mark,))
    assert report.awaiting == 0
    assert "✓ Question 1 of 2: right" in " ".join(Page(student_page_html(report)).text)


def file_of(*rows):
    """A class file that holds these rows: exercise, item from 1, criterion, points."""
    names = ("exercise", "item", "criterion", "points")
    found = [
        dict(zip(names, row, strict=True)) | {"who": "teacher", "at": f"2026-03-0{n}"} for n, row in enumerate(rows, 1)
    ]
    return SimpleNamespace(rows=lambda table, **where: found)


def test_points_in_the_class_file_become_marks_when_every_criterion_has_some():
    assert rubric_marks_of(file_of(("essay", 1, "argument", 2.0)), "demo", "ada-quill", PLAN) == ()
    (mark,) = rubric_marks_of(
        file_of(("essay", 1, "argument", 2.0), ("essay", 1, "terms", 1.0), ("gone", 1, "", 9.0)),
        "demo",
        "ada-quill",
        PLAN,
    )
    assert (mark.exercise, mark.index, mark.score, mark.time) == ("essay", 0, 3 / 4, "2026-03-02")
    (whole,) = rubric_marks_of(file_of(("essay", 2, "", 1.0)), "demo", "ada-quill", PLAN)
    assert (whole.index, whole.score) == (1, 1 / 4)
    (other,) = rubric_marks_of(file_of(("ear", 1, "", 1.0)), "demo", "ada-quill", PLAN)
    assert other.score == 1 / 2  # of the two points that the exercise gives for its one item


@pytest.mark.parametrize(
    ("row", "error", "why"),
    [
        (("essay", 1, "style", 1.0), ClassFileError, "its rubric has 'argument', 'terms'"),
        (("ear", 1, "style", 1.0), ClassFileError, "none; write the points without one"),
        (("essay", 1, "", 5.0), ReportError, "allowed: 0 to 4.0"),
    ],
)
def test_points_that_no_rubric_gives_are_refused(row, error, why):
    with pytest.raises(error, match=why):
        rubric_marks_of(file_of(row), "demo", "ada-quill", PLAN)
