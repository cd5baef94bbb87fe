"""Reading scores: first and second read of the same file, music21's own reading of it, growth and memory.

1. Second read from the cache against the first one without it, in the same process, in a fresh cache folder. Target: at
   least 20 times faster. `PIECES` one by one; then the least and the median of `SAMPLE` pieces of each format bundled
   with music21, from the smallest to the largest.
2. The same with every note made as an object, which otherwise waits until somebody asks for it. No target.
3. First read against `music21.converter.parseFile` with its own cache off. No target; music21 builds much more.
4. A quartet movement laid end to end to 10 to 1,000 measures and written as MusicXML: how the time of a first read
   grows (target: no worse than n log n), and the most memory that it holds.

Each file is read once before anything is timed, so that imports do not count. Medians of elapsed time; for growth, of
processor time.
"""

import os
import tempfile
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from benchmarks.comparison import Comparison, median_s
from benchmarks.cost import peak_mb, power, power_of_n_log_n, processor_s
from benchmarks.long_score import long_score

PIECES = (
    "bach/bwv269.mxl",
    "leadSheet/fosterBrownHair.mxl",
    "joplin/maple_leaf_rag.mxl",
    "haydn/opus74no1/movement1.mxl",
    "beethoven/opus18no1/movement3.krn",
    "ryansMammoth/GoldenTressesHornpipe.abc",
)
SAMPLE = 20
SUFFIXES = (".mxl", ".xml", ".musicxml", ".krn", ".abc", ".mid")
LENGTHS = (10, 30, 100, 300, 1000)
LONG = "haydn/opus74no1/movement4.mxl"
TARGET = "at least 20 times faster"


def _read(source: Path | bytes, cache: bool = False, notes: bool = False) -> int:
    from musictheory_nb.score.load import load_score

    piece = load_score(source, cache=cache)
    return len(piece.notes[:]) if notes else len(piece.notes)


def _with_music21(path: Path) -> object:
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return converter.parseFile(path, forceSource=True)


@contextmanager
def _fresh_cache() -> Iterator[None]:
    from musictheory_nb.score.score_cache import VARIABLE

    before = os.environ.get(VARIABLE)
    with tempfile.TemporaryDirectory() as folder:
        os.environ[VARIABLE] = folder
        try:
            yield
        finally:
            if before is None:
                del os.environ[VARIABLE]
            else:
                os.environ[VARIABLE] = before


def _sampled() -> Iterator[Path]:
    """Pieces of each format, evenly spread over those that are bundled, sorted by size."""
    import music21

    bundled = Path(music21.__file__).parent / "corpus"
    for suffix in SUFFIXES:
        found = sorted(bundled.rglob(f"*{suffix}"), key=lambda path: (path.stat().st_size, path))
        places = {round(at * (len(found) - 1) / (SAMPLE - 1)) for at in range(SAMPLE)} if found else set()
        yield from (found[place] for place in sorted(places))


def _spread() -> list[Comparison]:
    """Compare first and second reads of pieces of all sizes; an ABC file of many tunes is no piece."""
    from musictheory_nb.errors import ScoreError

    found: list[tuple[float, float, float, Path]] = []
    for path in _sampled():
        try:
            _read(path, cache=True)
        except ScoreError:
            continue
        first = median_s(lambda path=path: _read(path), repeats=3)  # type: ignore[misc]
        second = median_s(lambda path=path: _read(path, cache=True), repeats=21)  # type: ignore[misc]
        found.append((first / second, first, second, path))
    found.sort()
    _, first, second, _ = found[len(found) // 2]
    rows = [Comparison(f"second read, median of {len(found)} pieces", second, "first read", first, TARGET)]
    for _, first, second, path in found[:3]:
        name = f"second read, least of them: {path.name}"
        rows.append(Comparison(name, second, "first read", first, f"{TARGET}; {path.stat().st_size} bytes"))
    return rows


def long_file(count: int) -> bytes:
    """A MusicXML file of so many measures."""
    from music21 import corpus

    from musictheory_nb.score.load import load_score
    from musictheory_nb.score.write_musicxml import write_musicxml

    return write_musicxml(long_score(load_score(corpus.getWork(LONG)), count))


def _growth() -> Iterator[dict[str, object]]:
    costs = {}
    for count in LENGTHS:
        data = long_file(count)
        costs[count] = processor_s(lambda data=data: _read(data))  # type: ignore[misc]
        row: dict[str, object] = {"name": f"first read of {count} measures of four parts", "ours_s": costs[count]}
        if count == LENGTHS[-1]:
            row["target"] = (
                f"grows with the power {power(costs):.2f} of the length; n log n would be {power_of_n_log_n(costs):.2f}"
            )
        yield row
    for count in LENGTHS[-2:]:
        held = peak_mb(long_file, _read, count)
        size = len(long_file(count)) / 1e6
        yield {
            "name": f"most memory held while reading {count} measures",
            "ours_mb": held,
            "target": f"{size:.1f} MB of MusicXML",
        }


def run() -> Iterator[Comparison | dict[str, object]]:
    """Measure the four comparisons."""
    from music21 import corpus

    with _fresh_cache():
        for name in PIECES:
            path = Path(corpus.getWork(name))
            _read(path, cache=True)
            first = median_s(lambda path=path: _read(path))  # type: ignore[misc]
            second = median_s(lambda path=path: _read(path, cache=True), repeats=21)  # type: ignore[misc]
            peer = median_s(lambda path=path: _with_music21(path), repeats=3)  # type: ignore[misc]
            first_all = median_s(lambda path=path: _read(path, notes=True))  # type: ignore[misc]
            second_all = median_s(lambda path=path: _read(path, True, notes=True), repeats=21)  # type: ignore[misc]
            yield Comparison(f"second read of {name}", second, "first read", first, TARGET)
            yield Comparison(f"second read with notes of {name}", second_all, "first read", first_all)
            yield Comparison(f"first read of {name}", first, "music21's reading", peer)
        yield from _spread()
        yield from _growth()
