"""Running the same task for many students: here, on all cores of this computer, or on a Dask cluster.

Results come in the order of the works, whatever the number of workers and however they finish. Works are taken as they are
needed, so that a class of any size needs no more memory than what is under way.
"""

import os
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import islice
from multiprocessing import get_context
from typing import Any, Final, TypeAlias, TypeVar

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import ClassroomError

W = TypeVar("W")
R = TypeVar("R")
#: Called with what all works share, and one work.
Task: TypeAlias = Callable[[bytes, W], R]

#: Works that go to a worker at once, and such chunks under way for each worker.
CHUNK: Final = 16
AHEAD: Final = 3
#: From so many works on, other processes are worth their start.
FEW: Final = 200
#: How often the workers of this computer are started again when one of them ended.
RESTARTS: Final = 3
#: Seconds to wait for a scheduler.
SCHEDULER_TIMEOUT_S: Final = 30


@dataclass(frozen=True, slots=True)
class Workers:
    """Who does the work.

    Parameters
    ----------
    count : int
        Processes on this computer; 0 takes one for each processor, and for a small class none beside this one.
    scheduler : str
        Address of a Dask scheduler, such as ``'tcp://10.0.0.5:8786'``; then `count` has no effect.
    chunk : int
        Works that go to a worker at once.
    few : int
        Fewer works than this are done here where `count` is 0: starting other processes would take longer.

    Raises
    ------
    ClassroomError
        A number that makes no sense.
    """

    count: int = 0
    scheduler: str = ""
    chunk: int = CHUNK
    few: int = FEW

    def __post_init__(self) -> None:
        if not 0 <= self.count <= 1024 or not 1 <= self.chunk <= 10_000:
            raise ClassroomError(f"workers {self.count}; allowed: 1 to 1024, or 0 for one a processor")

    def processes(self, works: int) -> int:
        """Return how many processes to start for so many works; 1 for none beside this one."""
        if self.count:
            return self.count
        return 1 if works < self.few else available_processors()


def available_processors() -> int:
    """Return how many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return os.cpu_count() or 1


def run_all(workers: Workers, task: Task[W, R], shared: bytes, works: Iterable[W], total: int) -> Iterator[R]:
    """Yield the result of the task for each work, in order.

    Parameters
    ----------
    workers : Workers
        Who does it.
    task : callable
        A function of a module, called with `shared` and one work; what goes in and comes out can be pickled.
    shared : bytes
        The same for all.
    works : iterable
        Taken as they are needed.
    total : int
        How many there are.

    Raises
    ------
    ClassroomError
        The scheduler cannot be reached, or workers end again and again; and whatever the task raises.
    """
    if workers.scheduler:
        yield from _on_cluster(workers, task, shared, works)
    elif (count := workers.processes(total)) > 1:
        yield from _on_cores(count, workers.chunk, task, shared, works)
    else:
        yield from (task(shared, work) for work in works)


def _chunks(works: Iterable[W], size: int) -> Iterator[list[W]]:
    rest = iter(works)
    while chunk := list(islice(rest, size)):
        yield chunk


def run_chunk(task: Task[W, R], shared: bytes, chunk: Sequence[W]) -> list[R]:
    """Return the results of a chunk."""
    return [task(shared, work) for work in chunk]


@contextmanager
def _safe_path() -> Iterator[None]:
    """Python processes started meanwhile look for no module in the current folder, which may be a student's."""
    before = os.environ.get("PYTHONSAFEPATH")
    os.environ["PYTHONSAFEPATH"] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ["PYTHONSAFEPATH"]
        else:
            os.environ["PYTHONSAFEPATH"] = before


def _on_cores(count: int, size: int, task: Task[W, R], shared: bytes, works: Iterable[W]) -> Iterator[R]:
    """On processes of this computer; when one of them ends, what was under way is done again by new ones."""
    chunks = _chunks(works, size)
    waiting: deque[list[W]] = deque()
    with _safe_path():
        for left in range(RESTARTS, -1, -1):
            pool = ProcessPoolExecutor(count, mp_context=get_context("spawn"))
            running: deque[tuple[list[W], Any]] = deque()
            try:
                while True:
                    while len(running) < AHEAD * count:
                        chunk = waiting.popleft() if waiting else next(chunks, None)
                        if chunk is None:
                            break
                        running.append((chunk, None))
                        running[-1] = (chunk, pool.submit(run_chunk, task, shared, chunk))
                    if not running:
                        return
                    results = running[0][1].result()
                    running.popleft()
                    yield from results
            except BrokenProcessPool:
                if not left:
                    raise ClassroomError("processes that mark end again and again; is there memory left?") from None
                waiting.extendleft(chunk for chunk, _ in reversed(running))
            finally:
                pool.shutdown(wait=True, cancel_futures=True)


def _same(shared: bytes) -> bytes:
    return shared


def _on_cluster(workers: Workers, task: Task[W, R], shared: bytes, works: Iterable[W]) -> Iterator[R]:
    """On a Dask cluster: the scheduler gives what a lost worker had under way to another one."""
    try:
        from distributed import Client
        from distributed.scheduler import KilledWorker
    except ImportError:
        raise ClassroomError(
            "a scheduler needs Dask, which is not installed; run: python -m pip install 'musictheory-nb[dask]'"
        ) from None
    try:
        client = Client(workers.scheduler, timeout=SCHEDULER_TIMEOUT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        words = plain_line(str(error), 200)
        raise ClassroomError(f"scheduler {workers.scheduler!r} cannot be reached: {words}") from None
    try:
        known = client.submit(_same, shared, pure=False)  # a task, not data: it is done again where it was lost
        running: deque[Any] = deque()
        chunks = _chunks(works, workers.chunk)
        while True:
            ahead = AHEAD * max(1, sum(client.nthreads().values()))
            for chunk in islice(chunks, max(0, ahead - len(running))):
                running.append(client.submit(run_chunk, task, known, chunk, pure=False, retries=RESTARTS))
            if not running:
                return
            yield from running.popleft().result()
    except KilledWorker as error:
        raise ClassroomError(f"workers end again and again: {plain_line(str(error), 200)}") from None
    finally:
        client.close()
