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


def seconds(work: Callable[[], object]) -> float:
    """Return the time of one run of `work` in seconds."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def in_turn(
    name: str,
    ours: Callable[[], object],
    theirs: Callable[[], object],
    count: int,
    *,
    passes: int,
    target: str,
    peer: str = "music21",
) -> dict[str, object]:
    """Time both in turn, pass by pass, and return one row.

    Times are medians for one of the `count` things that a run does, in seconds; the ratio is the median of the passes'
    ratios. A run of each before the first pass is not counted.
    """
    ours(), theirs()
    times = [(seconds(ours) / count, seconds(theirs) / count) for _ in range(passes)]
    return {
        "name": name,
        "ours_s": statistics.median(ours_s for ours_s, _ in times),
        "peer": peer,
        "peer_s": statistics.median(peer_s for _, peer_s in times),
        "ratio": statistics.median(peer_s / ours_s for ours_s, peer_s in times),
        "target": target,
    }
