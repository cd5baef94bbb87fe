"""The keys along a piece as spans (`key_path`): where it modulates, and by which cadences each key is shown."""

from collections.abc import Sequence
from itertools import pairwise

from musictheory_nb.score.harmony_building import key_names, place_of
from musictheory_nb.score.harmony_segment import Segment
from musictheory_nb.score.harmony_span import KeySpan
from musictheory_nb.score.implied_harmony import implied_chords
from musictheory_nb.score.key_path import cadence_key
from musictheory_nb.score.score import Score

#: Margin (as scored by `key_path`) at which a key is twice as sure as not.
_SURE = 2.0


def key_path(score: Score) -> tuple[KeySpan, ...]:
    r"""Return the keys along a piece, from its first note to its last.

    Parameters
    ----------
    score : Score
        The piece, as written.

    Raises
    ------
    ScoreError
        It has no pitched notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> text = b"X:1\nM:4/4\nL:1/2\nK:C\n[CEG][FAc]|[GBdf][cegc']|[A^ceg][^FAd]|[D^FAc][GBd]|[A^cg][d^fa]|[A^cg]d|[d^fa]2|]\n"
    >>> [span.key.name for span in key_path(load_score(text, cache=False))]
    ['C major', 'D major']
    """
    found = implied_chords(score)
    names = key_names(found.cells, found.segments, found.keys)
    spans = []
    at = 0
    while at < len(names):
        after = at
        while after < len(names) and found.keys[after] == found.keys[at]:
            after += 1
        start = found.cells.quarters(found.cells.edges[found.segments[at].first])
        end = found.cells.quarters(found.cells.edges[found.segments[after - 1].last])
        measure, onset, beat = place_of(score, start)
        margins = [1 - 0.5 * 0.5 ** (max(margin, 0.0) / _SURE) for margin in found.margins[at:after]]
        spans.append(
            KeySpan(
                measure,
                int(found.cells.measure[found.segments[after - 1].last - 1]),
                onset,
                start,
                end - start,
                beat,
                names[at],
                sum(margins) / len(margins),
                _cadences(found.segments[at:after], found.keys[at]),
            )
        )
        at = after
    return tuple(spans)


def _cadences(segments: Sequence[Segment], key: int) -> int:
    return sum(cadence_key(one.chord, other.chord) == key for one, other in pairwise(segments))
