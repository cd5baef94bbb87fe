"""Marking a class once more after one student has changed one answer, against marking all of it."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.comparison import Comparison, seconds
from benchmarks.large_class import answers, change, large_class, sixty
from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.marking_run import MarkedAssignment, MarkingOrder, mark_assignment
from musictheory_nb.classroom.worker_pool import Workers

SUBMISSIONS = 1_000


def run() -> Iterator[Comparison]:
    """Yield the comparison."""
    lesson = sixty()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        large_class(lesson, folder, SUBMISSIONS)
        assignment, path = find_assignment(lesson.plan.id, folder)
        order = MarkingOrder(lesson, assignment, path, folder, workers=Workers(1))
        done: list[MarkedAssignment] = []
        whole = seconds(lambda: done.append(mark_assignment(order)))
        copy = assignment.copies[SUBMISSIONS // 2]
        change(folder / copy.student.id, lesson, copy, answers(lesson, copy)[:-1])
        again = seconds(lambda: done.append(mark_assignment(order)))
        assert [(one.marked, one.kept) for one in done] == [(SUBMISSIONS, 0), (1, SUBMISSIONS - 1)]
    yield Comparison(f"mark {SUBMISSIONS:,} submissions again after one change", again, "marking all", whole)
