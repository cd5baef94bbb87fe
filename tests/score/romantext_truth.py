"""The measures of agreement that the benchmark reports, for the tests of this room (no package here: pytest adds no path)."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from benchmarks import score_harmony

__all__ = ["score_harmony"]
