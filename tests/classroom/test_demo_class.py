"""The invented class: twelve students of different strength, whose hand-ins show what a real class's do."""

import csv
import re
import subprocess
import sys
from statistics import fmean

import pytest

from musictheory_nb.classroom.demo_class import CLASS, HABITS, STRAY_MODULE
from musictheory_nb.classroom.invented_answer import right_answer, wrong_answer
from musictheory_nb.classroom.lesson_folder import bundled_lessons
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.practice.draw import Draw


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """What the command leaves, run as a user would, without a screen."""
    place = tmp_path_factory.mktemp("demo") / "new"
    done = subprocess.run(
        [sys.executable, "-P", "-m", "musictheory_nb", "demo", "--to", str(place)],
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=300,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return place


@pytest.fixture(scope="module")
def rows(folder):
    with (folder / "marks.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def rows_of(rows, student):
    return [row for row in rows if row["student"] == student]


def test_twelve_students_and_every_bundled_lesson(rows):
    assert len(CLASS) == 12
    lessons = {read_lesson(path).plan.id for path in bundled_lessons()}
    assert {(row["lesson"], row["student"]) for row in rows} == {(id, one.id) for id in lessons for one in CLASS}


def test_stronger_students_have_better_marks(rows):
    """Common sense, no source: the stronger half of those who finish beats the weaker half on average."""
    finished = sorted((one for one in CLASS if one.share == 1.0 and one.habit == "both"), key=lambda one: -one.strength)
    half = len(finished) // 2
    means = [
        fmean(float(row["percent"]) for one in part for row in rows_of(rows, one.id))
        for part in (finished[:half], finished[-half:])
    ]
    assert means[0] > means[1] + 10


def test_each_habit_leaves_its_line_and_no_other(rows):
    by_habit = {one.habit: one for one in CLASS}
    assert set(by_habit) == set(HABITS)
    assert all(int(row["answered"]) == int(row["asked"]) for row in rows_of(rows, by_habit["notebook"].id))
    assert all("the last line is incomplete" in row["problems"] for row in rows_of(rows, by_habit["torn"].id))
    for row in rows_of(rows, by_habit["meddler"].id):
        assert "music21.py lies beside the notebook" in row["problems"]
        assert "says its seed is 1" in row["problems"]
        assert int(row["answered"]) == int(row["asked"])
    assert all(row["answered"] == "0" for row in rows_of(rows, by_habit["nothing"].id))
    honest = {one.id for one in CLASS if one.habit in ("both", "notebook", "nothing")}
    assert not [row for row in rows if row["student"] in honest and row["problems"]]


def test_only_the_record_or_only_the_notebook_is_there_as_the_habit_says(folder):
    for one in CLASS:
        home = folder / "class" / one.id
        assert bool(list(home.glob("*.answers.jsonl"))) == (one.habit not in ("notebook", "nothing"))
        assert bool(list(home.glob("*.ipynb"))) == (one.habit != "nothing")
    assert (folder / "class" / "chidi-vanterpool" / "music21.py").read_text(encoding="utf-8") == STRAY_MODULE


def test_report_names_every_student_and_lesson(folder):
    text = (folder / "report.html").read_text(encoding="utf-8")
    for name in (*(one.name for one in CLASS), *(read_lesson(path).plan.title for path in bundled_lessons())):
        assert name in text
    # how the marks are spread, and the scores by exercise
    assert len(re.findall("<img ", text)) == 2 * len(bundled_lessons())


def test_it_is_the_same_every_time_and_overwrites_nothing(folder, tmp_path):
    again = tmp_path / "again"
    command = [sys.executable, "-P", "-m", "musictheory_nb", "demo", "--to", str(again)]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    for name in ("marks.csv", "report.html"):
        assert (again / name).read_bytes() == (folder / name).read_bytes()
    refused = subprocess.run(command, capture_output=True, encoding="utf-8", check=False)
    assert refused.returncode == 1
    assert "is not empty; name a new folder" in refused.stderr


@pytest.mark.parametrize("path", bundled_lessons(), ids=lambda path: path.stem)
def test_right_and_wrong_answers_are_right_and_wrong_in_every_lesson(path):
    for exercise in read_lesson(path).plan.exercises:
        for index in range(exercise.count):
            item = exercise.item(11, index)
            right = right_answer(exercise, item)
            wrong = wrong_answer(exercise, item, right, Draw("demo", exercise.id, 1, 11, index))
            mark = exercise.mark(item, right)
            assert mark.score == 1.0 or mark.awaits_teacher
            assert exercise.mark(item, wrong).score < 1.0
