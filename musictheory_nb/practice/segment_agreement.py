"""How far two divisions of one piece into labelled sections agree: in their boundaries and in their labels.

Both measures are the standard ones for music segmentation, as `mir_eval.segment` computes them, with measures in the
place of seconds:

* `boundary_agreement` is `detection`: boundaries found within a window, each counted once.
* `label_agreement` is `pairwise` with frames of one measure: of all pairs of measures that one division gives the same
  label, how many does the other give the same label, too. Only agreement counts: AABA equals XXYX.

A division is a list of (index of the first measure, label), ascending from index 0; the last section ends with the
piece. Measures count alike, whatever their length: a pickup is one of them.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

Division: TypeAlias = Sequence[tuple[int, str]]


@dataclass(frozen=True, slots=True)
class Agreement:
    """Precision, recall and their F measure, each from 0 (none) to 1 (all).

    Parameters
    ----------
    precision : float
        Share of what the answer has that the reference has, too.
    recall : float
        Share of what the reference has that the answer has, too.
    """

    precision: float
    recall: float

    @property
    def f(self) -> float:
        """Harmonic mean of precision and recall; 0 when both are 0."""
        if self.precision == 0 and self.recall == 0:
            return 0.0
        return 2.0 * self.precision * self.recall / (self.precision + self.recall)


def matched_boundaries(
    reference: Iterable[int], answer: Iterable[int], window_measures: int
) -> tuple[tuple[int, int], ...]:
    """Return the largest number of pairs (reference, answer) at most `window_measures` apart, each used once.

    Of the sets of as many pairs, one with the least total distance is returned.

    Examples
    --------
    >>> matched_boundaries([8, 16, 17], [17, 25], 1)
    ((17, 17),)
    >>> matched_boundaries([8, 16, 17], [9, 17, 18], 1)
    ((8, 9), (16, 17), (17, 18))
    """
    left, right = sorted(set(reference)), sorted(set(answer))
    # best[j]: (pairs, -distance, chain of pairs) for the boundaries seen so far and the first j of the answer.
    empty: tuple[int, int, tuple[object, ...]] = (0, 0, ())
    best = [empty] * (len(right) + 1)
    for one in left:
        row = [empty]
        for place, other in enumerate(right):
            choice = max(best[place + 1], row[place], key=lambda each: each[:2])
            distance = abs(one - other)
            if distance <= window_measures:
                pairs, total, chain = best[place]
                if (pairs + 1, total - distance) > choice[:2]:
                    choice = (pairs + 1, total - distance, (chain, (one, other)))
            row.append(choice)
        best = row
    found: list[tuple[int, int]] = []
    chain = best[-1][2]
    while chain:
        chain, pair = chain  # type: ignore[assignment]
        found.append(pair)  # type: ignore[arg-type]
    return tuple(reversed(found))


def boundary_agreement(reference: Iterable[int], answer: Iterable[int], window_measures: int) -> Agreement:
    """Return how well the boundaries of `answer` hit those of `reference`.

    Parameters
    ----------
    reference, answer : iterable of int
        Measure indices at which a section begins. Index 0 and the end of the piece are given to everyone and must not
        be among them (`mir_eval.segment.detection` with ``trim=True``).
    window_measures : int
        How far apart two boundaries may lie and still count as one.

    Notes
    -----
    Without any boundary on one side, the agreement is 0, as in `mir_eval`.

    Examples
    --------
    >>> boundary_agreement([8, 16, 24], [8, 17], window_measures=1)
    Agreement(precision=1.0, recall=0.6666666666666666)
    """
    left, right = set(reference), set(answer)
    if not left or not right:
        return Agreement(0.0, 0.0)
    hits = len(matched_boundaries(left, right, window_measures))
    return Agreement(hits / len(right), hits / len(left))


def _pairs(counts: Iterable[int]) -> int:
    return sum(count * (count - 1) // 2 for count in counts)


def labels_by_measure(division: Division, measures: int) -> list[str]:
    """Return the label of each of `measures` measures, in lower case.

    Examples
    --------
    >>> labels_by_measure([(0, "A"), (2, "B")], 3)
    ['a', 'a', 'b']
    """
    labels: list[str] = []
    ends = [start for start, _ in division[1:]] + [measures]
    for (_, label), end in zip(division, ends, strict=True):
        labels += [label.lower()] * (end - len(labels))
    return labels


def label_agreement(reference: Division, answer: Division, measures: int) -> Agreement:
    """Return how well the labels of `answer` group the measures as those of `reference` do.

    Parameters
    ----------
    reference, answer : sequence of (int, str)
        Divisions of the same piece; capitals and small letters are the same.
    measures : int
        Number of measures of the piece.

    Notes
    -----
    Where no two measures share a label, a share of nothing is asked for, and `mir_eval` answers NaN. Here two
    divisions without such pairs agree fully, and one without them has a share of 0 against one with them.

    Examples
    --------
    >>> aaba = [(0, "A"), (8, "A"), (16, "B"), (24, "A")]
    >>> label_agreement(aaba, [(0, "X"), (16, "Y"), (24, "X")], 32).f
    1.0
    >>> round(label_agreement(aaba, [(0, "A"), (16, "B")], 32).f, 3)
    0.647
    """
    left, right = labels_by_measure(reference, measures), labels_by_measure(answer, measures)
    in_left, in_right = _pairs(Counter(left).values()), _pairs(Counter(right).values())
    if not in_left and not in_right:
        return Agreement(1.0, 1.0)
    in_both = _pairs(Counter(zip(left, right, strict=True)).values())
    return Agreement(in_both / in_right if in_right else 0.0, in_both / in_left if in_left else 0.0)
