"""The order in which sections are played, where a piece states it: ``A.B.(AB)3`` (`letters_in_order`, `sections_played`).

Conventions: in ABC 2.1 (section 3.1.9, ``P:`` in the header) dots and spaces only part, and a number says how often
what stands before it is played. Each section is played with its own repeats; where it comes so often in a row as its own
repeats and endings say, both mean the same and it is played once. Humdrum's expansion lists (``*>[A,A,B]``) and MEI's
``expansion`` name every single time, so repeat signs do not count. What stands before the first section is played first.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.played_order import MAX_PLAYED, play_order

#: Most sections that an order may name once it is written out, and the largest number in it.
_MOST_SECTIONS: Final = 1_000
_MOST_TIMES: Final = 100


def letters_in_order(text: str) -> str:
    """Return the letters of the sections one after the other.

    Raises
    ------
    ScoreError
        The order is written in another way, or is too long.

    Examples
    --------
    >>> letters_in_order("A.B.(AB)3"), letters_in_order("((AB)2C)2")
    ('ABABABAB', 'ABABCABABC')
    >>> letters_in_order("A(B")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: order of parts 'A(B': write it as 'ABA' or 'A.B.(AB)3'
    """
    wrong = ScoreError(f"order of parts {text[:60]!r}: write it as 'ABA' or 'A.B.(AB)3'")
    levels = [""]  # what is written out on each level of brackets
    last = ""  # what a number repeats
    for token in re.findall(r"[A-Za-z]|\d+|\S", text):
        if token.isalpha():
            last = token
            levels[-1] += token
        elif token == "(":
            levels.append("")
            last = ""
        elif token == ")" and len(levels) > 1:
            last = levels.pop()
            levels[-1] += last
        elif token.isdecimal() and last and len(token) <= 3 and 1 <= int(token) <= _MOST_TIMES:
            levels[-1] += last * (int(token) - 1)
            last = ""
        elif token != ".":
            raise wrong
        if sum(map(len, levels)) > _MOST_SECTIONS:
            raise wrong
    if len(levels) > 1 or not levels[0]:
        raise wrong
    return levels[0]


def spans_of(names: Sequence[str], starts: Mapping[str, int], count: int) -> list[tuple[int, int]]:
    """Return first and last measure of sections by name, each of which goes on to where the next one starts.

    Raises
    ------
    ScoreError
        One of them has no start.

    Examples
    --------
    >>> spans_of("ABA", {"A": 1, "B": 4}, 6)
    [(0, 0), (1, 3), (4, 5), (1, 3)]
    """
    edges = sorted({*starts.values(), count})
    before = [(0, edges[0] - 1)] if edges[0] > 0 else []
    try:
        return before + [(starts[name], edges[edges.index(starts[name]) + 1] - 1) for name in names]
    except (KeyError, IndexError):
        raise ScoreError(f"order of sections {', '.join(names[:10])}: not all of them are marked") from None


def sections_played(measures: Sequence[Measure], sections: Sequence[tuple[int, int, bool]]) -> tuple[int, ...]:
    """Return the indices of the measures as they are played.

    Parameters
    ----------
    measures : sequence of Measure
        As written.
    sections : sequence of (int, int, bool)
        First and last measure, and whether the repeats in them are taken.

    Raises
    ------
    ScoreError
        More than `MAX_PLAYED` measures.
    """
    order: list[int] = []
    for (first, last, repeats), run in groupby(sections):
        count = len(list(run))
        if not repeats:
            order += [*range(first, last + 1)] * count
            continue
        inside = [replace(measure, index=at) for at, measure in enumerate(measures[first : last + 1])]
        once = play_order(inside)
        times = 1 if once.count(0) == count else count
        if len(order) + times * len(once) > MAX_PLAYED:
            raise ScoreError(f"this score is longer than {MAX_PLAYED} measures when its repeats are played")
        order += [first + at for at in once] * times
    return tuple(order)
