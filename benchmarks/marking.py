"""Marking 10,000 submissions of 60 answers, items drawn anew for each student, against re-running their notebooks.

Every submission is a record and a saved notebook that carries the same answers. The re-run is that of the same lesson with
the same answers, for a few of the students, in the same run; both on one core. The first row is processor time, which says the same
on a machine that is busy with other things; the second is time by the clock, of both in turn.
"""

import statistics
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
#: Submissions that are marked beside each re-run.
PART = 400
TARGET, TIMES = "under 5 ms", "500 times faster"


def run() -> Iterator[Comparison | dict[str, object]]:
    """Yield the processor time of all, and the comparison by the clock, re-runs and parts of the class in turn."""
    lesson = sixty()
    work = f"mark a submission of 60 answers, one of {SUBMISSIONS:,}"
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        assignment = large_class(lesson, folder, SUBMISSIONS)
        marked: list[MarkedStudent] = []
        before = time.process_time()
        mark_class(
            lesson, assignment, folder, each=lambda one, copy: marked.append(one) if len(marked) < RERUNS else None
        )
        yield Comparison(f"{work}: processor", (time.process_time() - before) / SUBMISSIONS, target=TARGET)
        times = []
        for at, one in enumerate(marked):
            assert one.marked is not None
            assert one.marked.answered == lesson.plan.count
            again = Rerun(lesson, assignment.copies[at], one.submission.answers, one.marked)
            part = replace(assignment, copies=assignment.copies[at * PART : (at + 1) * PART])
            ours = seconds(lambda part=part: mark_class(lesson, part, folder)) / PART
            theirs = seconds(lambda again=again: check_agreement(rerun_all([again], at_once=1)))
            times.append((ours, theirs))
    yield {
        "name": work,
        "ours_s": statistics.median(ours for ours, _ in times),
        "peer": "re-running its notebook",
        "peer_s": statistics.median(theirs for _, theirs in times),
        "ratio": statistics.median(theirs / ours for ours, theirs in times),
        "target": TIMES,
    }
