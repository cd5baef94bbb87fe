"""Marking on a Dask cluster: the same marks whatever the number of workers, and when one is killed midway."""

import os
import signal
import threading
import time
from contextlib import contextmanager
from pathlib import Path

import pytest
from distributed import LocalCluster

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
from musictheory_nb.classroom.rerun_task import rerun_class
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.worker_pool import Workers, run_all
from musictheory_nb.errors import ClassroomError

pytestmark = [
    # what the scheduler says of workers that come and go, and of a port that is taken
    pytest.mark.filterwarnings("default::UserWarning"),
    pytest.mark.filterwarnings("default::ResourceWarning"),
    pytest.mark.filterwarnings("default::DeprecationWarning"),
    pytest.mark.filterwarnings("default::pytest.PytestUnraisableExceptionWarning"),
]


@contextmanager
def cluster(workers: int):
    """A cluster of processes on this machine, with no dashboard."""
    with LocalCluster(
        n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None, silence_logs=50
    ) as made:
        yield made


@pytest.fixture
def large(classroom, tmp_path):
    """A class of forty, of which every second one has answered: 0 to 4 of four items right."""
    students = [Student(f"student-{number:02d}", f"Student {number}") for number in range(40)]
    classroom.folder = tmp_path / "large"
    classroom.assignment = hand_out(classroom.lesson, students, classroom.folder).assignment
    for number, one in enumerate(students[::2]):
        classroom.record(one.id, classroom.lines(one.id, [at < number % 5 for at in range(4)]))
    return classroom


def mark(classroom, workers):
    assignment, path = find_assignment("read-intervals", classroom.folder)
    return mark_assignment(
        MarkingOrder(classroom.lesson, assignment, path, classroom.folder, workers=workers, everything=True)
    )


def check_right(done):
    """2 points for each right answer of four worth 8 points."""
    answered = [one for one in done.marks.students if one.answered]
    assert [one.points for one in answered] == [2 * (number % 5) for number in range(20)]


def kill_one(made: LocalCluster) -> int:
    """Kill a worker's process as a crash would, and return its id."""
    (first, *_) = made.workers.values()
    process = first.process.process.pid
    os.kill(process, signal.SIGKILL)
    return process


def slow_square(shared: bytes, number: int) -> int:
    """Leaves a trace each time that it is begun."""
    (Path(shared.decode()) / f"{number}-{time.monotonic_ns()}").touch()
    time.sleep(0.15)
    return number * number


@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGKILL")
def test_marks_are_the_same_on_a_cluster_and_a_lost_worker_costs_only_its_tasks(large, tmp_path):
    here = mark(large, Workers(1))
    check_right(here)
    with cluster(2) as made:
        address = made.scheduler_address
        there = mark(large, Workers(scheduler=address, chunk=3))
        assert (there.marks, there.prints, there.hints) == (here.marks, here.prints, here.hints)
        traces = tmp_path / "traces"
        traces.mkdir()
        killer = threading.Timer(1.0, kill_one, [made])
        killer.start()
        found = list(run_all(Workers(scheduler=address, chunk=1), slow_square, str(traces).encode(), range(30), 30))
        killer.join()
    assert found == [number * number for number in range(30)]  # arithmetic
    begun = [path.name.split("-")[0] for path in traces.iterdir()]
    assert set(begun) == {str(number) for number in range(30)}
    # what the lost worker had finished and was asked for, and the one it was in; never all of it again
    assert len(begun) - 30 <= 30 // 2


@pytest.mark.full
@pytest.mark.skipif(os.name == "nt", reason="Windows has no SIGKILL")
def test_marks_are_the_same_with_1_2_and_4_workers_and_one_killed_midway(large):
    here = mark(large, Workers(1))
    for count in (1, 2, 4):
        with cluster(count) as made:
            there = mark(large, Workers(scheduler=made.scheduler_address, chunk=2))
            assert (there.marks, there.prints) == (here.marks, here.prints)
            for delay in (0.0, 0.05, 0.2):
                killer = threading.Timer(delay, kill_one, [made])
                killer.start()
                again = mark(large, Workers(scheduler=made.scheduler_address, chunk=1))
                killer.join()
                assert (again.marks, again.prints) == (here.marks, here.prints)
                made.wait_for_workers(count, timeout=60) if hasattr(made, "wait_for_workers") else time.sleep(3)


@pytest.mark.full
def test_reruns_on_a_cluster_agree(classroom):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, False]))
    classroom.record("ben-otu", classroom.lines("ben-otu", [True, True]))
    with cluster(2) as made:
        workers = Workers(scheduler=made.scheduler_address)
        done = mark(classroom, workers)
        results = rerun_class(done.terms, done.works, workers)
    assert [(one.student, one.problems) for one in results] == [("ada-quill", ()), ("ben-otu", ())]


def test_a_scheduler_that_is_not_there_is_one_plain_error(classroom, monkeypatch):
    from musictheory_nb.classroom import worker_pool

    monkeypatch.setattr(worker_pool, "SCHEDULER_TIMEOUT_S", 1)
    with pytest.raises(ClassroomError, match=r"scheduler 'tcp://127\.0\.0\.1:9' cannot be reached"):
        mark(classroom, Workers(scheduler="tcp://127.0.0.1:9"))


def fails(shared: bytes, number: int) -> int:
    raise ClassroomError(f"not {number}")


@pytest.mark.full
def test_what_a_task_raises_comes_back_as_it_is():
    with cluster(1) as made, pytest.raises(ClassroomError, match="not 0"):
        list(run_all(Workers(scheduler=made.scheduler_address), fails, b"", range(2), 2))
