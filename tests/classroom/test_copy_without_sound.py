"""The steps of ``docs/without-sound.md``: a printed copy for some, the lesson for all, one folder, one marking run."""

import subprocess
import sys
from pathlib import Path

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.record_file import RecordFile

ROOT = Path(__file__).parents[2]
LESSON = ROOT / "lessons" / "02_hear_the_tritone.ipynb"


def run(*arguments: object) -> str:
    command = [sys.executable, "-m", "musictheory_nb", *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_some_get_the_printed_copy_and_all_are_marked_together(tmp_path):
    home, lesson = tmp_path / "term1", read_lesson(LESSON)
    roster = "student,name,present\nada-quill,Ada Quill,\ncy-lark,Cy Lark,notation\n"
    (tmp_path / "class.csv").write_text(roster, encoding="utf-8")
    assert "2 copies written" in run("handout", LESSON, "--roster", tmp_path / "class.csv", "--to", home)
    assignment, _ = find_assignment("hear-the-tritone", home)
    plans = {copy.student.id: assignment.versions()[copy.digest].plan for copy in assignment.copies}
    assert plans["ada-quill"] == lesson.plan
    # the same number of questions for the same points; no question of the printed one sounds
    silent = plans["cy-lark"]
    assert [(one.id, one.count, one.points) for one in silent.exercises] == [
        (one.id, one.count, one.points) for one in lesson.plan.exercises
    ]
    for exercise in silent.exercises:
        for index in range(exercise.count):
            assert {request.kind for request in exercise.item(7, index).shown("asked")} == {"notation"}
    copies = {id: (home / id / "hear-the-tritone.ipynb").read_text(encoding="utf-8") for id in ("ada-quill", "cy-lark")}
    assert copies["cy-lark"].count("'notation'") > copies["ada-quill"].count("'notation'")
    # ... also when the next hand-out does not say it again
    (tmp_path / "short.csv").write_text("student,name\nada-quill,Ada Quill\ncy-lark,Cy Lark\n", encoding="utf-8")
    again = run("handout", LESSON, "--roster", tmp_path / "short.csv", "--to", home, "--as", "hear-again")
    assert "2 copies written" in again
    assert "'notation'" in (home / "cy-lark" / "hear-again.ipynb").read_text(encoding="utf-8")
    marked = run("mark", LESSON, home, "--to", tmp_path / "marks")
    assert "Ada Quill" in marked
    assert "Cy Lark" in marked
    assert "changed since" not in marked


def test_a_granted_twin_is_in_the_copy_and_told_with_the_marks(tmp_path):
    home = tmp_path / "term1"
    roster = "student,name,twin\nada-quill,Ada Quill,\ncy-lark,Cy Lark,hearing\n"
    (tmp_path / "class.csv").write_text(roster, encoding="utf-8")
    run("handout", LESSON, "--roster", tmp_path / "class.csv", "--to", home)
    assignment, _ = find_assignment("hear-the-tritone", home)
    for copy in assignment.copies:
        exercises = assignment.versions()[copy.digest].plan.exercises
        assert {one.twin for one in exercises} == {"hearing" if copy.student.id == "cy-lark" else "offered"}
        first = next(one for one in exercises if one.item(copy.seed, 0).twin)
        item = first.item(copy.seed, 0)
        (step,) = item.solution
        answer = {step: {"choice": item.solution[step]["choice"][0]}}
        line = AnswerLine("a" * 32, first.id, first.version, 0, answer, 1, "2026-03-02T17:04:05Z", twin="hearing")
        RecordFile(home / copy.student.id, RecordHeader("hear-the-tritone", copy.student.id)).append(line)
    run("mark", LESSON, home, "--to", tmp_path / "marks")
    page = (tmp_path / "marks" / "report.html").read_text(encoding="utf-8")
    for said in ("(granted)", "(not granted beforehand)"):
        assert page.count(f"{first.id} item 1: notation in place of the sound {said}") == 1


def test_the_other_lessons_show_what_they_sound_or_have_a_twin_that_does():
    for path in sorted(LESSON.parent.glob("*.ipynb")):
        for exercise in read_lesson(path).plan.exercises:
            for index in range(exercise.count):
                item = exercise.item(7, index)
                kinds = {request.kind for request in (*item.shown("asked"), *item.twin)}
                assert kinds != {"sound"}, (path.name, exercise.id)
