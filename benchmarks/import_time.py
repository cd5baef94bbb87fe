"""Time to import the package, against ``import music21``: each in a new interpreter, less that interpreter's own start."""

import subprocess
import sys

from benchmarks.comparison import Comparison, median_s


def _start(code: str) -> None:
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True)


def run() -> list[Comparison]:
    """Measure."""
    bare = median_s(lambda: _start("pass"), 15)
    ours = median_s(lambda: _start("import musictheory_nb"), 15) - bare
    theory = median_s(lambda: _start("import musictheory_nb as mt; mt.Chord, mt.Scale, mt.Key"), 15) - bare
    peer = median_s(lambda: _start("import music21"), 7) - bare
    return [
        Comparison("import musictheory_nb", max(ours, 1e-4), "import music21", peer, "under 50 ms"),
        Comparison("import it and use Chord, Scale and Key", theory, "import music21", peer),
    ]
