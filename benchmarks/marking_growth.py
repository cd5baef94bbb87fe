"""Marking classes of growing size: time for each submission, and the most memory that the grader takes.

Each size is marked by a process of its own, with the class file. 100,000 submissions are marked too where the environment says
``MUSICTHEORY_NB_LARGE=1``: they take some gigabytes of disk.
"""

import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.comparison import Comparison
from benchmarks.large_class import large_class, sixty

SIZES = (1_000, 10_000)
LARGEST = 100_000
TARGET = "as long for each as of 1,000"
#: Marks what lies in a folder and prints seconds and the largest resident size in kilobytes.
_MARK = """
import resource, sys, time
from pathlib import Path
from benchmarks.large_class import sixty
from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
from musictheory_nb.classroom.worker_pool import Workers
folder = Path(sys.argv[1])
assignment, path = find_assignment("sixty", folder)
start = time.perf_counter()
done = mark_assignment(MarkingOrder(sixty(), assignment, path, folder, workers=Workers(1)))
seconds = time.perf_counter() - start
assert all(one.answered == 60 for one in done.marks.students)
print(seconds, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def run() -> Iterator[Comparison]:
    """Yield a row for each size."""
    first = 0.0
    sizes = (*SIZES, LARGEST) if os.environ.get("MUSICTHEORY_NB_LARGE") == "1" else SIZES
    for size in sizes:
        with tempfile.TemporaryDirectory() as name:
            large_class(sixty(), Path(name), size, saved=False)
            done = subprocess.run(
                [sys.executable, "-c", _MARK, name], capture_output=True, encoding="utf-8", check=True, cwd=Path.cwd()
            )
        seconds, kilobytes = map(float, done.stdout.split())
        work = f"mark one of {size:,} records, kept in a class file: {kilobytes / 1024:.0f} MB"
        first = first or seconds / size
        yield Comparison(work, seconds / size, "one of 1,000", first, TARGET)
