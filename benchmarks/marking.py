"""Marking 10,000 submissions of 60 answers, items drawn anew for each student, against re-running their notebooks.

Every submission is a record and a saved notebook that carries the same answers. The re-run is that of the same lesson with
the same answers, for a few of the students, in the same run; both on one core. The first row is processor time, which says the same
on a machine that is busy with other things; the second is time by the clock, of both.
"""

import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from benchmarks.comparison import Comparison, seconds
from benchmarks.large_class import large_class, sixty
from musictheory_nb.classroom.mark_class import MarkedStudent, mark_class
from musictheory_nb.classroom.rerun import Rerun, check_agreement, rerun_all

SUBMISSIONS = 10_000
RERUNS = 5
TARGET, TIMES = "under 5 ms", "500 times faster"


def run() -> Iterator[Comparison]:
    """Yield the comparison."""
    lesson = sixty()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        assignment = large_class(lesson, folder, SUBMISSIONS)
        before = time.process_time()
        ours = seconds(lambda: mark_class(lesson, assignment, folder)) / SUBMISSIONS
        processor = (time.process_time() - before) / SUBMISSIONS
        marked: list[MarkedStudent] = []
        few = replace(assignment, copies=assignment.copies[:RERUNS])
        mark_class(lesson, few, folder, each=lambda one, copy: marked.append(one))
        times = []
        for one, copy in zip(marked, few.copies, strict=True):
            assert one.marked is not None
            assert one.marked.answered == lesson.plan.count
            again = Rerun(lesson, copy, one.submission.answers, one.marked)
            start = time.perf_counter()
            check_agreement(rerun_all([again], at_once=1))
            times.append(time.perf_counter() - start)
    work = f"mark a submission of 60 answers, one of {SUBMISSIONS:,}"
    yield Comparison(f"{work}: processor", processor, target=TARGET)
    yield Comparison(work, ours, "re-running its notebook", sorted(times)[len(times) // 2], TIMES)
