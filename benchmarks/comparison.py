"""One comparison: our time and a peer's on the same work in the same run."""

import statistics
import time
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Comparison:
    """A measured claim.

    Parameters
    ----------
    name : str
        The work.
    ours_s : float
        Our median time in seconds.
    peer : str
        What it is measured against; empty where there is nothing to measure against.
    peer_s : float
        The peer's median time in seconds.
    target : str
        What we mean to reach, in words.
    """

    name: str
    ours_s: float
    peer: str = ""
    peer_s: float = 0.0
    target: str = ""

    @property
    def ratio(self) -> float:
        """How many times faster than the peer."""
        return self.peer_s / self.ours_s if self.ours_s and self.peer_s else 0.0


def median_s(work: Callable[[], object], repeats: int = 7) -> float:
    """Return the median time of `work` in seconds over `repeats` runs."""
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)
