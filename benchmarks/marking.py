"""Marking 1,000 recorded submissions, per submission, against re-running the same lesson's notebook once for each.

Every submission is a record and a saved notebook that carries the same answers; items are drawn anew for each student.
The second row is a lesson of 60 answers, made up here, for the target.
"""

import json
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import cycle
from pathlib import Path

from benchmarks.comparison import Comparison, median_s
from musictheory_nb.classroom.assignment import Assignment
from musictheory_nb.classroom.demo_class import CLASS, answers_of, saved_notebook
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_folder import bundled_lessons
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, parse_lesson, read_lesson
from musictheory_nb.classroom.mark_class import MarkedStudent, mark_class
from musictheory_nb.classroom.rerun import Rerun, check_agreement, rerun_all
from musictheory_nb.classroom.roster import Student
from musictheory_nb.practice.answer_record import RecordHeader
from musictheory_nb.practice.record_file import record_name

SUBMISSIONS = 1000
RERUNS = 3
TARGET = "under 5 ms a submission of 60 answers"

_SIXTY = (
    'LESSON = "sixty"\nSTUDENT = ""\nSEED = 1\nDIGEST = ""',
    "import musictheory_nb as mt\nlesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)",
    'lesson.exercise("by-ear", "interval-by-ear", count=40)',
    'lesson.exercise("by-sight", "interval-by-ear", count=20, settings={"present": "notation", "inputs": ["buttons"]})',
    "lesson.hand_in()",
)


def _sixty() -> LessonNotebook:
    cells = [
        {
            "cell_type": "code",
            "id": f"cell-{number}",
            "metadata": {"tags": ["parameters"] if number == 0 else []},
            "source": source,
            "outputs": [],
            "execution_count": None,
        }
        for number, source in enumerate(_SIXTY)
    ]
    content = {"nbformat": 4, "nbformat_minor": 5, "metadata": {}, "cells": cells}
    return parse_lesson(json.dumps(content).encode("utf-8"), "sixty.ipynb")


def _hand_in(lesson: LessonNotebook, folder: Path, count: int) -> Assignment:
    """Leave `count` submissions, record and saved notebook, in `folder`."""
    students = tuple(Student(f"student-{number:04d}", f"Student {number}") for number in range(count))
    assignment = hand_out(lesson, students, folder).assignment
    strengths = cycle(CLASS)
    for copy in assignment.copies:
        who = replace(next(strengths), id=copy.student.id, share=1.0)
        answers = answers_of(who, lesson, copy)
        header = RecordHeader(lesson.plan.id, copy.student.id, copy.digest)
        home = folder / copy.student.id
        text = header.line() + "".join(answer.line() for answer in answers)
        (home / record_name(lesson.plan.id, copy.student.id)).write_text(text, encoding="utf-8")
        notebook = home / f"{lesson.plan.id}.ipynb"
        notebook.write_bytes(saved_notebook(notebook.read_bytes(), lesson, copy, answers))
    return assignment


def _measured(lesson: LessonNotebook, folder: Path) -> tuple[float, list[Rerun]]:
    """Return seconds a submission, and what a re-run of a few of them needs."""
    assignment = _hand_in(lesson, folder, SUBMISSIONS)
    marked: list[MarkedStudent] = []
    seconds = median_s(lambda: mark_class(lesson, assignment, folder), repeats=3) / SUBMISSIONS
    few = replace(assignment, copies=assignment.copies[:RERUNS])
    mark_class(lesson, few, folder, each=lambda one, copy: marked.append(one))
    reruns = [
        Rerun(lesson, copy, one.submission.answers, one.marked)
        for one, copy in zip(marked, few.copies, strict=True)
        if one.marked is not None
    ]
    return seconds, reruns


def run() -> Iterator[Comparison]:
    """Yield the comparisons."""
    lesson = read_lesson(bundled_lessons()[0])
    with tempfile.TemporaryDirectory() as name:
        ours, reruns = _measured(lesson, Path(name))
        times = []
        for rerun in reruns:
            start = time.perf_counter()
            check_agreement(rerun_all([rerun], at_once=1))
            times.append(time.perf_counter() - start)
    work = f"mark a submission of {lesson.plan.id} ({lesson.plan.count} answers), one of {SUBMISSIONS}"
    yield Comparison(work, ours, "re-running its notebook", sorted(times)[len(times) // 2])
    with tempfile.TemporaryDirectory() as name:
        ours, _ = _measured(_sixty(), Path(name))
    yield Comparison(f"mark a submission of 60 answers, one of {SUBMISSIONS}", ours, target=TARGET)


if __name__ == "__main__":
    for row in run():
        print(f"{row.name}: {1000 * row.ours_s:.2f} ms", end="")
        print(
            f", {row.ratio:.0f} times faster than {row.peer} ({row.peer_s:.2f} s)" if row.peer else f" ({row.target})"
        )
