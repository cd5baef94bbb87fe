"""Marking on a Dask cluster of two workers, against one: processes on this machine."""

import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.comparison import Comparison, seconds
from benchmarks.large_class import large_class, sixty
from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
from musictheory_nb.classroom.worker_pool import Workers

SUBMISSIONS = 2_000


def run() -> Iterator[Comparison]:
    """Yield the comparison."""
    from distributed import LocalCluster

    lesson = sixty()
    times = {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        large_class(lesson, folder, SUBMISSIONS, saved=False)
        assignment, path = find_assignment(lesson.plan.id, folder)
        for count in (1, 2):
            with LocalCluster(
                n_workers=count, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
            ) as cluster:
                workers = Workers(scheduler=cluster.scheduler_address)
                order = MarkingOrder(lesson, assignment, path, folder, workers=workers, everything=True)
                mark_assignment(order)  # the workers have loaded what they need
                times[count] = seconds(lambda order=order: mark_assignment(order))
    yield Comparison(
        f"mark {SUBMISSIONS:,} records on two Dask workers",
        times[2],
        "one worker",
        times[1],
        "near 2 on two free cores",
    )
