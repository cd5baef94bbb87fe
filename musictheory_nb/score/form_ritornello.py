"""Sections that are a ritornello: the full ensemble's passage that comes back between passages of fewer (`ritornelli`).

Conventions (common practice): its music comes three times or more, in other keys or shortened too; all parts play in it,
and in each passage between two of its returns at least one part rests for most of the time.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np

from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.form_label import Span
from musictheory_nb.score.part_activity import part_activity
from musictheory_nb.score.score import Score

_LEAST_RETURNS: Final = 3
_LEAST_PARTS: Final = 2
#: Share of the bars in which a part plays where all do, and up to which it rests.
_ALL, _RESTS = 0.6, 0.5


def ritornelli(played: Score, units: Sequence[BarUnit], spans: Sequence[Span]) -> tuple[int, ...]:
    """Return the indices of the spans that are a ritornello; none where there is no such form."""
    if len(played.parts) < _LEAST_PARTS or len(spans) < 2 * _LEAST_RETURNS - 1:
        return ()
    plays = part_activity(played).plays
    shares = []
    for span in spans:
        bars = [units[at].bar for at in range(span.start, span.end)]
        shares.append(plays[:, bars].mean(axis=1))
    for letter in dict.fromkeys(span.letter for span in spans if span.letter):
        own = [at for at, span in enumerate(spans) if span.letter == letter]
        between = [range(one + 1, other) for one, other in pairwise(own) if other > one + 1]
        if len(between) < _LEAST_RETURNS - 1 or any(shares[at].min() < _ALL for at in own):
            continue
        means = [np.mean([shares[at] for at in run], axis=0) for run in between]
        if all(mean.min() <= _RESTS for mean in means):
            return tuple(own)
    return ()
