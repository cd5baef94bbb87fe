"""Strains as players count them, from strains as they are told most briefly (`players_strains`).

Conventions of tunes with repeats and a da capo (common practice, no source):

- a phrase that only ever comes before another one, the two of them played twice, is one strain with it (A A B A B A is
  A A and a second strain B A, repeated);
- a last strain, played twice, that begins with all the music before it is a da capo: A and B, A and B again;
- in a da capo repeats are left out: where one strain is played twice at first and once later, another one that is
  played twice both times is one strain of two like phrases.
"""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.score.measure_likeness import Matrix
from musictheory_nb.score.strain_search import Strain

#: From this likeness on, two bars are the same at a da capo; it begins with so many bars at least.
_SAME: Final = 0.9
_LEAST: Final = 4


def players_strains(strains: Sequence[Strain], likeness: Matrix) -> tuple[Strain, ...]:
    """Return the strains regrouped by the conventions above, in the same bars.

    Examples
    --------
    >>> strains = [Strain(0, 8, 0), Strain(8, 16, 0), Strain(16, 24, 2), Strain(24, 32, 0), Strain(32, 40, 2), Strain(40, 48, 0)]
    >>> import numpy as np
    >>> [(strain.start, strain.end, strain.like) for strain in players_strains(strains, np.eye(48, dtype=np.float32))]
    [(0, 8, 0), (8, 16, 0), (16, 32, 2), (32, 48, 2)]
    """
    return tuple(_doubled(_da_capo(_pairs(list(strains)), likeness)))


def _grouped(strains: Sequence[Strain], groups: Sequence[tuple[int, int]]) -> list[Strain]:
    """Return one strain for each group of strains, from the first up to, and without, the second."""
    names: dict[tuple[int, ...], int] = {}
    found = []
    for at, (first, after) in enumerate(groups):
        like = names.setdefault(tuple(strain.like for strain in strains[first:after]), at)
        found.append(Strain(strains[first].start, strains[after - 1].end, like))
    return found


def _pairs(strains: list[Strain]) -> list[Strain]:
    """Join a phrase and the one that always follows it, where both are played twice in a row."""
    like = [strain.like for strain in strains]
    groups: list[tuple[int, int]] = []
    at = 0
    joined = -1
    while at < len(strains):
        pair = like[at : at + 2]
        always = len(pair) == 2 and all(like[place + 1 : place + 2] == pair[1:] for place in _places(like, pair[0]))
        if like[at] == joined or (always and pair[0] != pair[1] and like[at + 2 : at + 4] == pair):
            groups.append((at, at + 2))
            joined = like[at]
            at += 2
        else:
            groups.append((at, at + 1))
            at += 1
    return _grouped(strains, groups)


def _places(like: Sequence[int], name: int) -> list[int]:
    return [at for at, other in enumerate(like) if other == name]


def _da_capo(strains: list[Strain], likeness: Matrix) -> list[Strain]:
    """Part a last strain, played twice, at the end of the music before it with which it begins."""
    at = len(strains) - 2
    if at < 1 or strains[at].like != at or strains[at + 1].like != at:
        return strains
    begin, end = strains[at].start, strains[at].end
    for number in range(at):
        start = strains[number].start
        size = begin - start
        if not _LEAST <= size < end - begin - 1:
            continue
        if all(likeness[start + step, begin + step] >= _SAME for step in range(size)):
            again = strains[at + 1]
            return [
                *strains[:number],
                Strain(start, begin, number),
                Strain(begin, begin + size, number),
                Strain(begin + size, end, number + 2),
                Strain(again.start, again.start + size, number),
                Strain(again.start + size, again.end, number + 2),
            ]
    return strains


def _doubled(strains: list[Strain]) -> list[Strain]:
    """Join two like phrases that are played twice in a da capo too, where another strain leaves its repeat out."""
    like = [strain.like for strain in strains]
    runs: list[tuple[int, int]] = []
    for at, name in enumerate(like):
        if runs and like[runs[-1][0]] == name:
            runs[-1] = (runs[-1][0], at + 1)
        else:
            runs.append((at, at + 1))
    sizes: dict[int, list[int]] = {}
    for first, after in runs:
        sizes.setdefault(like[first], []).append(after - first)
    if not any(times[0] == 2 and 1 in times[1:] for times in sizes.values()):
        return strains
    phrases = {name for name, times in sizes.items() if len(times) > 1 and set(times) == {2}}
    groups = []
    for first, after in runs:
        groups += [(first, after)] if like[first] in phrases else [(at, at + 1) for at in range(first, after)]
    return _grouped(strains, groups)
