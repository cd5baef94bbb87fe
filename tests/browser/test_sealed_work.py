"""Sealed lessons in JupyterLab: heard, answered and handed in as others are, and no answer anywhere in the student's copy.

A right answer deserves the full mark, by definition.
"""

import json
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from notebook_page import PANEL, WAIT_MS
from playwright.sync_api import expect
from student_hands import Student

from musictheory_nb.classroom.handout import Terms, hand_out
from musictheory_nb.classroom.invented_answer import right_answer
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.classroom.roster import Student as Pupil
from musictheory_nb.practice.embedded_record import MARKS_MIME

LESSONS = Path(__file__).parents[2] / "lessons"
PUPIL = Pupil("ines-orta", "Inés Orta")
#: The one is of short sounds and notation; in the other the student chooses measures to hear.
NAMES = ("hear_the_tritone", pytest.param("map_the_form_of_a_rag", marks=pytest.mark.full))


@pytest.mark.parametrize("name", NAMES)
def test_a_sealed_lesson_is_worked_through_and_tells_nothing(name, new_page, lab):
    (path,) = LESSONS.glob(f"*_{name}.ipynb")
    lesson = read_lesson(path)
    home = lab.folder / f"sealed-{name}"
    assignment = hand_out(lesson, (PUPIL,), home, terms=Terms(sealed=True)).assignment
    (copy,) = assignment.copies
    page = new_page().open(f"{home.name}/{PUPIL.id}/{lesson.plan.id}.ipynb")
    page.run_all()
    heard = False
    explained = []
    deserved = 0.0
    for place, exercise in enumerate(lesson.plan.exercises):
        student = Student(page, place)
        if not heard and any(one.kind == "sound" for one in exercise.item(copy.seed, 0).shown("asked")):
            assert page.page.evaluate("() => heard.starts") == 0  # nothing sounds before a click
            student.listen()
            page.page.wait_for_function("() => heard.peak() > 0.005")
            heard = True
        for index in range(min(2, exercise.count)):
            item = exercise.item(copy.seed, index)
            student.answer(item, right_answer(exercise, item), by_keyboard=index == 1)
            assert "Recorded." in student.verdict
            assert "Right" not in student.verdict
            explained += item.explain.splitlines()
            deserved += exercise.points / exercise.count
            if index + 1 < min(2, exercise.count):
                student.go_on(by_keyboard=False)
    assert heard
    answered = sum(min(2, one.count) for one in lesson.plan.exercises)
    expect(page.page.locator(f"{PANEL} .jp-Notebook")).to_contain_text(
        f"{answered} of {lesson.plan.count} answers are in this notebook", timeout=WAIT_MS
    )
    found = Axe().run(
        page.page,
        context={"include": [[".mtnb-exercise"]]},
        options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}},
    )
    assert found.response["passes"], "axe looked at nothing"
    assert [one["nodes"][0]["html"][:160] for one in found.response["violations"]] == []
    page.save()
    page.page.wait_for_function("() => !window.jupyterapp.shell.currentWidget.context.model.dirty")
    assert page.console == []
    # what the kernel holds, what the page shows and what is on the disk: no explanation, no seed, no mark
    seen = page.page.content()
    for path in (home / PUPIL.id).iterdir():
        if path.is_file():
            seen += path.read_text(encoding="utf-8")
    assert str(copy.seed) not in seen
    assert MARKS_MIME not in seen
    assert not [line for line in explained if line in seen]
    assert page.python("lesson.seed") == copy.ticket
    assert page.python("[str(view.item.key) + view.item.explain for view in lesson._views.values()]") == [
        "{}" for _ in lesson.plan.exercises
    ]
    lab.end_sessions()  # the kernel dies; the lesson is opened once more
    page = new_page().open(f"{home.name}/{PUPIL.id}/{lesson.plan.id}.ipynb")
    page.run_all()
    for place, exercise in enumerate(lesson.plan.exercises):
        assert f"{min(2, exercise.count)} of {exercise.count} answered" in Student(page, place).progress
    (marks,) = mark_class(lesson, assignment, home).students
    assert marks.points == pytest.approx(deserved)
    assert marks.problems == ()
    assert json.loads((home / PUPIL.id / f"{lesson.plan.id}.sealed.json").read_bytes())["student"] == PUPIL.id
