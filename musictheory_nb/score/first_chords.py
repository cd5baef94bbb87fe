"""The chords that the notes of a score imply before any key is known (`first_chords`): where key and harmony begin."""

from functools import lru_cache
from typing import NamedTuple

from musictheory_nb.score.harmony_cell import HarmonyCells, harmony_cells
from musictheory_nb.score.harmony_segment import Segment, segment_chords
from musictheory_nb.score.key_path import Stretch, stretches_of
from musictheory_nb.score.score import Score


class FirstChords(NamedTuple):
    """Cells of a score, the chords in them, and these chords as stretches on the way through the keys."""

    cells: HarmonyCells
    segments: tuple[Segment, ...]
    stretches: tuple[Stretch, ...]


@lru_cache(maxsize=1)
def first_chords(score: Score) -> FirstChords:
    r"""Return the chords of a score from its notes alone; those of the last score are kept, as its key asks first.

    Raises
    ------
    ScoreError
        The score has no pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> found = first_chords(load_score(b"X:1\nM:4/4\nL:1/4\nK:C\n[CEG]2[B,DG]2|[CEG]4|]\n", cache=False))
    >>> [(stretch.chord, stretch.beats) for stretch in found.stretches]
    [(0, 2.0), (7, 2.0), (0, 4.0)]
    """
    cells = harmony_cells(score)
    segments = segment_chords(cells)
    return FirstChords(cells, segments, stretches_of(cells, segments))
