"""A class of any size whose homework is done: a lesson of 60 answers, and a record and a saved notebook for each student."""

import json
from collections.abc import Sequence
from pathlib import Path

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, parse_lesson
from musictheory_nb.classroom.roster import Student
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.embedded_record import ANSWERS_MIME, embedded_answers
from musictheory_nb.practice.record_file import record_name

_CELLS = (
    'LESSON = "sixty"\nSTUDENT = ""\nSEED = 1\nDIGEST = ""',
    "import musictheory_nb as mt\nlesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)",
    'lesson.exercise("by-ear", "interval-by-ear", count=40)',
    'lesson.exercise("by-sight", "interval-by-ear", count=20, settings={"present": "notation", "inputs": ["buttons"]})',
    "lesson.hand_in()",
)
#: Every how-manieth answer is wrong.
WRONG_EVERY = 4


def sixty() -> LessonNotebook:
    """Return the lesson of 60 answers."""
    cells = [
        {
            "cell_type": "code",
            "id": f"cell-{number}",
            "metadata": {"tags": ["parameters"] if number == 0 else []},
            "source": source,
            "outputs": [],
            "execution_count": None,
        }
        for number, source in enumerate(_CELLS)
    ]
    content = {
        "nbformat": 4,
        "nbformat_minor": 5,
        "metadata": {"kernelspec": {"name": "python3", "display_name": "Python 3", "language": "python"}},
        "cells": cells,
    }
    return parse_lesson(json.dumps(content).encode("utf-8"), "sixty.ipynb")


def answers(lesson: LessonNotebook, copy: HandedOut) -> list[AnswerLine]:
    """Return an answer to each item, three of four right."""
    lines = []
    for exercise in lesson.plan.exercises:
        for index in range(exercise.count):
            item = exercise.item(copy.seed, index)
            (step,) = item.response.steps
            value = item.solution[step.id]["choice"][0]
            if index % WRONG_EVERY == 0:
                value = next(one.value for one in step.inputs[0].options if one.value != value)
            number = len(lines)
            lines.append(
                AnswerLine(
                    f"{copy.seed:016x}{number:016x}",
                    exercise.id,
                    exercise.version,
                    index,
                    {step.id: {"choice": value}},
                    1,
                    f"2026-03-02T16:{number:02d}:00.000Z",
                    1,
                    9000,
                )
            )
    return lines


def change(
    home: Path, lesson: LessonNotebook, copy: HandedOut, lines: Sequence[AnswerLine], saved: bool = True
) -> None:
    """Leave a student's record, and with `saved` the notebook that carries the same answers."""
    header = RecordHeader(lesson.plan.id, copy.student.id, copy.digest)
    text = header.line() + "".join(line.line() for line in lines)
    (home / record_name(lesson.plan.id, copy.student.id)).write_text(text, encoding="utf-8")
    if saved:
        notebook = home / f"{lesson.plan.id}.ipynb"
        content = json.loads(notebook.read_bytes())
        data = {"text/plain": "60 of 60 answers are in this notebook.", ANSWERS_MIME: embedded_answers(header, lines)}
        content["cells"][-1]["outputs"] = [{"output_type": "display_data", "data": data, "metadata": {}}]
        notebook.write_text(json.dumps(content, indent=1), encoding="utf-8")


def large_class(lesson: LessonNotebook, folder: Path, count: int, *, saved: bool = True) -> Assignment:
    """Hand the lesson out to `count` students and leave their homework in `folder`."""
    students = tuple(Student(f"student-{number:06d}", f"Student {number}") for number in range(count))
    assignment = hand_out(lesson, students, folder).assignment
    for copy in assignment.copies:
        change(folder / copy.student.id, lesson, copy, answers(lesson, copy), saved)
    return assignment
