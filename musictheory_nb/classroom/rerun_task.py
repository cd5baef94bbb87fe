"""Re-runs of the teacher's notebook for all who answered, some at a time: here, or on a Dask cluster."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import islice

from musictheory_nb.classroom.marking_task import MarkingWork, Terms, marked_in_full, opened_terms
from musictheory_nb.classroom.rerun import Rerun, RerunResult, rerun_all, rerun_here
from musictheory_nb.classroom.worker_pool import Workers, available_processors, run_all


def rerun_of(terms: Terms, work: MarkingWork) -> Rerun | None:
    """Return what is to be run for a student; None where nothing is answered or could be marked."""
    one = marked_in_full(terms, work)
    if one.marked is None or not one.marked.answered:
        return None
    return Rerun(terms.notebooks[work.copy.digest], work.copy, one.counted, one.marked)


def rerun_task(data: bytes, work: MarkingWork) -> RerunResult | None:
    """Return the outcome for one student; see `mark_task`."""
    rerun = rerun_of(opened_terms(data), work)
    return None if rerun is None else rerun_here(rerun)


def rerun_class(
    data: bytes,
    works: Mapping[str, MarkingWork],
    workers: Workers,
    each: Callable[[str], None] = lambda student: None,
) -> tuple[RerunResult, ...]:
    """Run the teacher's notebook again for each student with answers, and compare its marks with those worked out.

    Parameters
    ----------
    data, works
        As `MarkedAssignment` holds them.
    workers : Workers
        Who does it; on this computer, as many kernels at a time.
    each : callable
        Is called with the id of each student who is done.
    """
    found: list[RerunResult] = []
    if workers.scheduler:
        results = run_all(replace(workers, chunk=1), rerun_task, data, works.values(), len(works))
        for id, result in zip(works, results, strict=True):
            found += [] if result is None else [result]
            each(id)
        return tuple(found)
    at_once = workers.count or available_processors()
    terms, rest = opened_terms(data), iter(works.values())
    while batch := list(islice(rest, 4 * at_once)):
        reruns = [rerun for work in batch if (rerun := rerun_of(terms, work)) is not None]
        done = {rerun.copy.student.id for rerun in reruns}
        found += rerun_all(reruns, at_once=at_once, each=lambda result: each(result.student))
        for work in batch:
            if work.copy.student.id not in done:
                each(work.copy.student.id)
    return tuple(found)
