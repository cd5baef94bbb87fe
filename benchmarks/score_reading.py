"""Reading scores: first and second read of the same file, and music21's own reading of it.

1. Second read from the cache against the first one without it, in the same process, in a fresh cache folder. Target: at
   least 20 times faster.
2. The same with every note made as an object, which otherwise waits until somebody asks for it. No target.
3. First read against `music21.converter.parseFile` with its own cache off. No target; music21 builds much more.

Each file is read once before anything is timed, so that imports do not count. Medians of elapsed time.
"""

import os
import tempfile
import warnings
from pathlib import Path

from benchmarks.comparison import Comparison, median_s

PIECES = (
    "bach/bwv269.mxl",
    "leadSheet/fosterBrownHair.mxl",
    "joplin/maple_leaf_rag.mxl",
    "haydn/opus74no1/movement1.mxl",
    "beethoven/opus18no1/movement3.krn",
    "ryansMammoth/GoldenTressesHornpipe.abc",
)


def run() -> list[Comparison]:
    """Measure the three comparisons on each piece."""
    from music21 import converter, corpus

    from musictheory_nb.score.load import load_score
    from musictheory_nb.score.score_cache import VARIABLE

    def read(path: Path, cache: bool, notes: bool = False) -> int:
        piece = load_score(path, cache=cache)
        return len(piece.notes[:]) if notes else len(piece.notes)

    def with_music21(path: Path) -> object:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            return converter.parseFile(path, forceSource=True)

    rows = []
    before = os.environ.get(VARIABLE)
    with tempfile.TemporaryDirectory() as folder:
        os.environ[VARIABLE] = folder
        try:
            for name in PIECES:
                path = Path(corpus.getWork(name))
                read(path, cache=True)
                first = median_s(lambda path=path: read(path, cache=False))  # type: ignore[misc]
                second = median_s(lambda path=path: read(path, cache=True), repeats=21)  # type: ignore[misc]
                peer = median_s(lambda path=path: with_music21(path), repeats=3)  # type: ignore[misc]
                first_all = median_s(lambda path=path: read(path, False, notes=True))  # type: ignore[misc]
                second_all = median_s(lambda path=path: read(path, True, notes=True), repeats=21)  # type: ignore[misc]
                target = "at least 20 times faster"
                rows.append(Comparison(f"second read of {name}", second, "first read", first, target))
                rows.append(Comparison(f"second read with notes of {name}", second_all, "first read", first_all))
                rows.append(Comparison(f"first read of {name}", first, "music21's reading", peer))
        finally:
            if before is None:
                del os.environ[VARIABLE]
            else:
                os.environ[VARIABLE] = before
    return rows


if __name__ == "__main__":
    for row in run():
        print(f"{row.name:56} {1000 * row.ours_s:9.3f} ms  {row.ratio:8.1f} times faster than {row.peer} {row.target}")
