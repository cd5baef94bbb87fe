"""Analysis of scores: key, harmony, form, texture and every device, against music21's key, chords and numerals.

1. Each bundled quartet movement: ours is `Piece.key`, `.harmony`, `.form`, `.texture` and `.devices`; music21's route is
   `analyze('key')`, `chordify` and `romanNumeralFromChord` for each chord, on the same file in the same run. Time per
   measure. Target: at least 5 times faster while doing more.
2. A quartet movement laid end to end to 10, 30, 100, 300 and 1,000 measures: by which power of the length the cost of
   each step grows. Target: no worse than n log n. Self-similarity is counted apart: under 1 s at 1,000 measures.
3. The most memory that the analysis holds beyond the score, in a process of its own.

Reading is left out on both sides: ours has the file in its note table, music21 in its stream. Times are of the
processor, all threads together; music21's once, ours twice before and twice after it (the median), after a run that
does not count. A processor that others use too makes both slower, but not evenly: measure on an idle machine.

``python -m benchmarks.score_analysis NAME`` measures only movements with NAME in their path.
"""

import statistics
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from benchmarks.cost import peak_mb, power, power_of_n_log_n, processor_s
from benchmarks.long_score import long_score

#: Folders and files of the corpus that hold string quartets, movement by movement.
QUARTETS = (
    "beethoven/opus18no1/*.mxl",
    "beethoven/opus18no3.mxl",
    "beethoven/opus18no4.mxl",
    "beethoven/opus18no5.mxl",
    "beethoven/opus59no1/*.mxl",
    "beethoven/opus59no2/*.mxl",
    "beethoven/opus59no3/*.mxl",
    "beethoven/opus74.mxl",
    "beethoven/opus132.mxl",
    "beethoven/opus133.mxl",
    "haydn/opus1no1/*.mxl",
    "haydn/opus74no1/*.mxl",
    "mozart/k80/*.mxl",
    "mozart/k155/*.mxl",
    "mozart/k156/*.mxl",
    "mozart/k458/*.mxl",
    "schumann_robert/opus41no1/*.mxl",
)
LENGTHS = (10, 30, 100, 300, 1000)
LONG = "haydn/opus74no1/movement4.mxl"
STEPS = ("key", "harmony", "form", "texture", "devices")
TARGET = "at least 5 times faster"


def movements(wanted: str = "") -> list[Path]:
    """The bundled quartet movements."""
    import music21

    corpus = Path(music21.__file__).parent / "corpus"
    found = [path for pattern in QUARTETS for path in sorted(corpus.glob(pattern))]
    if not found:
        raise SystemExit("none of the quartets is bundled with this music21")
    return [path for path in found if wanted in path.as_posix()]


def _name(path: Path) -> str:
    return "/".join(path.parts[path.parts.index("corpus") + 1 :])


def analyse(score: Any) -> Any:
    """All that a piece tells of itself."""
    from musictheory_nb.score.piece import Piece

    piece = Piece.of(score)
    return [getattr(piece, step)() for step in STEPS]


def with_music21(stream: Any) -> int:
    """Key, chords and numerals by music21; how many numerals there are."""
    from music21 import roman

    key = stream.analyze("key")
    chords = stream.chordify().recurse().getElementsByClass("Chord")
    return len([roman.romanNumeralFromChord(chord, key) for chord in chords])


def _against_music21(wanted: str) -> Iterator[dict[str, object]]:
    from music21 import converter

    from musictheory_nb.score.load import load_score

    found: list[tuple[float, float, float]] = []
    for path in movements(wanted):
        score = load_score(path, cache=False)
        count = len(score.measures)
        analyse(score)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            stream = converter.parse(path, forceSource=True)
            own = [_processor_s(analyse, score) for _ in range(2)]
            peer = _processor_s(with_music21, stream) / count
            own += [_processor_s(analyse, score) for _ in range(2)]
        ours = statistics.median(own) / count
        found.append((peer / ours, ours, peer))
        yield _row(f"analysis of {_name(path)} ({count}), a measure", *found[-1])
    found.sort()
    fast = sum(ratio >= 5 for ratio, _, _ in found)
    yield _row(f"analysis, the least of {len(found)} movements", *found[0])
    yield _row(f"analysis, their median; {fast} are 5 times faster or more", *found[len(found) // 2])


def _processor_s(work: Callable[[Any], object], of: Any) -> float:
    start = time.process_time()
    work(of)
    return time.process_time() - start


def _row(name: str, ratio: float, ours: float, peer: float) -> dict[str, object]:
    return {"name": name, "ours_s": ours, "peer": "music21", "peer_s": peer, "ratio": ratio, "target": TARGET}


def _growth() -> Iterator[dict[str, object]]:
    from music21 import corpus

    from musictheory_nb.score.bar_unit import bar_units
    from musictheory_nb.score.load import load_score
    from musictheory_nb.score.measure_likeness import measure_likeness
    from musictheory_nb.score.piece import Piece

    movement = load_score(corpus.getWork(LONG), cache=False)
    costs: dict[str, dict[int, float]] = {step: {} for step in (*STEPS, "all")}
    for count in LENGTHS:
        score = long_score(movement, count)
        passes: dict[str, list[float]] = {step: [] for step in STEPS}
        for _ in range(3):
            piece = Piece.of(score)
            for step in STEPS:
                start = time.process_time()
                getattr(piece, step)()
                passes[step].append(time.process_time() - start)
        for step in STEPS:
            costs[step][count] = statistics.median(passes[step])
        costs["all"][count] = sum(costs[step][count] for step in STEPS)
        yield {"name": f"analysis of {count} measures of four parts", "ours_s": costs["all"][count]}
    limit = power_of_n_log_n(dict.fromkeys(LENGTHS, 0.0))
    for step, of_step in costs.items():
        what = f"{step}, what comes before it known" if step in STEPS[1:] else step
        yield {
            "name": f"1,000 measures: {what}",
            "ours_s": of_step[LENGTHS[-1]],
            "target": f"grows with the power {power(of_step):.2f} of the length; n log n would be {limit:.2f}",
        }
    units = bar_units(score.measures)
    likeness = processor_s(lambda: measure_likeness(score, units))
    yield {"name": "self-similarity of 1,000 measures, apart", "ours_s": likeness, "target": "under 1 s"}


def long_piece(count: int) -> Any:
    """A score of so many measures."""
    from music21 import corpus

    from musictheory_nb.score.load import load_score

    return long_score(load_score(corpus.getWork(LONG), cache=False), count)


def _memory() -> Iterator[dict[str, object]]:
    for count in LENGTHS[2:]:
        held = peak_mb(long_piece, analyse, count)
        yield {"name": f"most memory held by the analysis of {count} measures", "ours_mb": held}


def run(wanted: str = "") -> Iterator[dict[str, object]]:
    """Measure speed, growth and memory."""
    yield from _against_music21(wanted)
    yield from _growth()
    yield from _memory()


if __name__ == "__main__":
    for row in run(*sys.argv[1:2]):
        size = f"{row['ours_mb']:.1f} MB" if "ours_mb" in row else f"{1e3 * float(str(row['ours_s'])):.3f} ms"
        ratio = f"{float(str(row['ratio'])):.1f}" if "ratio" in row else ""
        print(f"{row['name']:64} {size:>12} {ratio:>7} {row.get('target', '')}", flush=True)
