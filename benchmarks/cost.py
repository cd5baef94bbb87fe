"""What a piece of work costs: processor time, how it grows with the size of the work, and the most memory it holds."""

import math
import multiprocessing
import statistics
import time
import tracemalloc
from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from typing import Any


def processor_s(work: Callable[[], object], passes: int = 3) -> float:
    """Return the median processor time of `work` in seconds, all threads together, after one run that does not count.

    Processor time, so that a busy machine does not blur it.
    """
    work()
    times = []
    for _ in range(passes):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return statistics.median(times)


def power(costs: Mapping[int, float]) -> float:
    """Return the power of the size by which the cost grows: the slope of the line through the logarithms."""
    line = statistics.linear_regression([math.log(size) for size in costs], [math.log(cost) for cost in costs.values()])
    return line.slope


def power_of_n_log_n(sizes: Mapping[int, float]) -> float:
    """Return what `power` would be for these sizes if the cost were n log n."""
    return power({size: size * math.log(size) for size in sizes})


def peak_mb(prepare: Callable[..., Any], work: Callable[[Any], object], *arguments: Any) -> float:
    """Return the most memory that ``work(prepare(*arguments))`` holds beyond what was there before, in MB (10^6 bytes).

    In a process of its own, `work` once before it is measured, so that neither imports nor tables are counted; what
    Python and numpy set aside is counted. Both functions must be importable by name.
    """
    with ProcessPoolExecutor(1, mp_context=multiprocessing.get_context("spawn")) as pool:
        return pool.submit(_peak_mb, prepare, work, arguments).result()


def _peak_mb(prepare: Callable[..., Any], work: Callable[[Any], object], arguments: tuple[Any, ...]) -> float:
    work(prepare(*arguments))
    prepared = prepare(*arguments)
    tracemalloc.start()
    before = tracemalloc.get_traced_memory()[0]
    held = work(prepared)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    del held
    return (peak - before) / 1e6
