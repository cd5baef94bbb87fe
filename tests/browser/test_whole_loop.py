"""Each lesson as assigned to a student: heard, answered, interrupted, reopened, finished, handed in and marked.

What the answers deserve follows from the items of the manifest's seed: a right answer deserves a full mark (by
definition), a wrong one what its family's printed table gives.
"""

import csv
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from notebook_page import PANEL, WAIT_MS
from playwright.sync_api import expect
from student_hands import Answer, Student

from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.roster import Student as Pupil
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.response import (
    ChoiceInput,
    Input,
    MeasuresInput,
    NumberInput,
    RhythmInput,
    RolesInput,
    SectionsInput,
    StaffInput,
    Step,
    SungInput,
    SymbolInput,
    TextInput,
)

LESSONS = sorted((Path(__file__).parents[2] / "lessons").glob("*.ipynb"))
#: Lessons that are worked through in the short run; together they have every way of answering that lessons use most.
SHORT = ("02_hear_the_tritone", "08_draw_modes_from_minor", "15_map_the_form_of_a_rag")
NOTEBOOK = f"{PANEL} .jp-Notebook"
PUPIL = Pupil("ines-orta", "Inés Orta")


def test_there_are_lessons():
    assert set(SHORT) <= {path.stem for path in LESSONS}


def is_scalar(entry: Input) -> bool:
    """Whether an answer is one value, of which the solution lists all that are right."""
    return isinstance(entry, SymbolInput | NumberInput | TextInput) or (
        isinstance(entry, ChoiceInput) and not entry.many
    )


def right_answer(item: Item, turn: int = 0) -> Answer:
    """What the item shows as right, in each step in one of its ways: the first, and with `turn` those that follow."""
    answer = {}
    for step in item.response.steps:
        shown = item.solution.get(step.id, {})
        ways = [entry for entry in step.inputs if entry.id in shown and not isinstance(entry, RhythmInput | SungInput)]
        entry = ways[turn % len(ways)] if ways else step.inputs[0]
        value = shown.get(entry.id, ["The bass leads down to the dominant."])  # a free response has no right answer
        answer[step.id] = {entry.id: value[0] if is_scalar(entry) else value}
    return answer


def other_value(item: Item, step: Step, entry: Input, right: object) -> object:
    """A value that is not right, as near to a right one as the input allows."""
    if isinstance(entry, ChoiceInput):
        value = next(option.value for option in entry.options if option.value not in item.solution[step.id]["choice"])
        return [value] if entry.many else value
    if isinstance(entry, NumberInput):
        return right - 1 if right > entry.low else right + 1
    if isinstance(entry, SymbolInput):
        others = {"chord": ("Gsus4", "Edim7"), "pitches": ("F Gb", "B# Cb"), "interval": ("A8", "d8")}
        others |= {"numeral": ("I", "V7"), "figures": ("6/4", "4/2"), "scale": ("F# Locrian", "G Locrian")}
        return next(text for text in others[entry.reads] if text not in item.solution[step.id][entry.id])
    if isinstance(entry, StaffInput):
        ((first, *more), *rest) = right
        letter = "CDEFGAB"[("CDEFGAB".index(first[0][0]) + 3) % 7]
        return [[[letter + first[0][-1]], *more], *rest]
    if isinstance(entry, RolesInput):
        return [next(role.value for role in entry.roles if role.value != right[0]), *right[1:]]
    if isinstance(entry, MeasuresInput):
        last = len(entry.measures) - 1
        return [[0, 0] if right[0] != [0, 0] else [last, last], *right[1:]]
    return right[:-1] if isinstance(entry, SectionsInput) else right


def wrong_answer(item: Item) -> Answer:
    """Right in all steps but the first."""
    answer = dict(right_answer(item))
    step = item.response.steps[0]
    ((name, value),) = answer[step.id].items()
    entry = next(each for each in step.inputs if each.id == name)
    answer[step.id] = {name: other_value(item, step, entry, value)}
    return answer


def marks(lesson: Path, folder: Path, to: Path) -> dict[str, str]:
    """Run the grader's command and return the student's row of marks.csv."""
    command = [sys.executable, "-m", "musictheory_nb", "mark", str(lesson), str(folder), "--to", str(to)]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    with (to / "marks.csv").open(encoding="utf-8-sig", newline="") as file:
        (row,) = list(csv.DictReader(file))
    return row


@pytest.mark.parametrize(
    "path",
    [pytest.param(path, id=path.stem, marks=[] if path.stem in SHORT else pytest.mark.full) for path in LESSONS],
)
def test_lesson_from_hand_out_to_marks(path, new_page, lab, tmp_path):
    lesson = read_lesson(path)
    home = lab.folder / path.stem
    done = hand_out(lesson, (PUPIL,), home)
    (copy,) = done.assignment.copies
    name = f"{path.stem}/{PUPIL.id}/{lesson.plan.id}.ipynb"
    deserved: dict[str, float] = {exercise.id: 0.0 for exercise in lesson.plan.exercises}

    awaited: set[str] = set()

    def give(exercise: Exercise, student: Student, index: int, answer: Answer, by_keyboard: bool) -> None:
        item = exercise.item(copy.seed, index)
        student.answer(item, answer, by_keyboard)
        mark = exercise.mark(item, answer)
        score = mark.score
        if mark.awaits_teacher:
            awaited.add(exercise.id)
        assert (score == 1) == student.verdict.lstrip("✓◐✗ \n").startswith("Right"), student.verdict
        deserved[exercise.id] += score * exercise.points / exercise.count

    # -- the first sitting: by mouse, by keyboard with a wrong answer, and in another way
    page = new_page().open(name)
    page.run_all()
    assert page.page.evaluate("() => heard.starts") == 0  # nothing sounds before a click
    heard = False
    sounding = {
        exercise.id
        for exercise in lesson.plan.exercises
        if [request.kind for request in exercise.item(copy.seed, 0).shown("asked")][:1] == ["sound"]
    }
    for place, exercise in enumerate(lesson.plan.exercises):
        student = Student(page, place)
        assert f"0 of {exercise.count} answered" in student.progress
        if not heard and exercise.id in sounding:
            student.listen()
            page.page.wait_for_function("() => heard.peak() > 0.005")
            heard = True
        for index in range(min(3, exercise.count)):
            item = exercise.item(copy.seed, index)
            by_keyboard = index == 1 or place % 2 == 1
            answer = wrong_answer(item) if index == 1 else right_answer(item, turn=index)
            give(exercise, student, index, answer, by_keyboard)
            if index + 1 < exercise.count and index < 2:
                student.go_on(by_keyboard)
    assert heard == bool(sounding)
    answered = sum(min(3, exercise.count) for exercise in lesson.plan.exercises)
    expect(page.page.locator(NOTEBOOK)).to_contain_text(
        f"{answered} of {lesson.plan.count} answers are in this notebook", timeout=WAIT_MS
    )
    page.save()
    assert page.console == []
    lab.end_sessions()  # the kernel dies

    # -- the second sitting: everything is still there; the rest
    page = new_page().open(name)
    page.run_all()
    for place, exercise in enumerate(lesson.plan.exercises):
        student = Student(page, place)
        before = min(3, exercise.count)
        assert f"{before} of {exercise.count} answered" in student.progress
        if before == exercise.count:
            expect(student.exercise.locator(".mtnb-verdict-headline")).to_be_visible()
        for index in range(before, exercise.count):
            assert f"Question {index + 1} of {exercise.count}" in student.progress
            give(exercise, student, index, right_answer(exercise.item(copy.seed, index)), by_keyboard=False)
            if index + 1 < exercise.count:
                student.go_on(by_keyboard=False)
    count = lesson.plan.count
    expect(page.page.locator(NOTEBOOK)).to_contain_text(
        f"{count} of {count} answers are in this notebook", timeout=WAIT_MS
    )
    page.save()
    page.page.wait_for_function("() => !window.jupyterapp.shell.currentWidget.context.model.dirty")
    assert page.console == []

    # -- handed in as a folder: the marks that the answers deserve
    row = marks(path, home, tmp_path / "marks")
    for exercise in lesson.plan.exercises:
        if exercise.id in awaited:  # no mark before the teacher's
            continue
        assert float(row[exercise.id]) == pytest.approx(deserved[exercise.id], abs=0.006)
    assert row["problems"] == ""

    # -- handed in as the notebook alone: the same marks
    alone = tmp_path / "alone"
    (alone / PUPIL.id).mkdir(parents=True)
    shutil.copy(home / PUPIL.id / f"{lesson.plan.id}.ipynb", alone / PUPIL.id)
    shutil.copy(done.path, alone)
    assert not list(alone.rglob("*.jsonl"))
    again = marks(path, alone, tmp_path / "marks-alone")
    assert {id: again[id] for id in deserved} == {id: row[id] for id in deserved}
