"""Written chords bar by bar, and whether two runs of bars have the same changes (`BarChords`).

Conventions: a bar is cut into eight parts, each with the root of its chord symbol and whether its third is minor; what is
added above counts for nothing, so that Cm6 and Cm7 agree. Changes that go round every few bars tell no section from
another one and are the same as none.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.errors import TheoryError
from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord

#: From this share of the time on, two runs of bars have the same changes.
SAME_CHANGES: Final = 0.75
#: So many chords at least make changes; a run that agrees so far with itself some bars later goes round.
_CHORDS: Final = 3
_ROUND: Final = 0.8
_PARTS: Final = 8


@dataclass(frozen=True, eq=False)
class BarChords:
    """The written chords of bars.

    Parameters
    ----------
    numbers : array of int16, bars by `_PARTS`
        The root's pitch class, 12 more with a minor third; -1 where no chord is written.
    symbols : tuple of str
        The symbols of each bar, such as ``'Dm7 G7'``; one that lasts from the bar before is said again.
    """

    numbers: npt.NDArray[np.int16]
    symbols: tuple[str, ...]

    def agreement(self, one: int, other: int, size: int) -> float:
        """Return the share of the time, from 0 to 1, in which `size` bars from `one` and from `other` on agree."""
        first, second = self.numbers[one : one + size], self.numbers[other : other + size]
        return float(((first == second) & (first >= 0)).mean()) if first.size else 0.0

    def has_changes(self, start: int, size: int) -> bool:
        """Whether a run of bars has changes of its own: three chords at least, that do not go round."""
        run = self.numbers[start : start + size]
        if len(set(run[run >= 0].tolist())) < _CHORDS:
            return False
        turns = range(1, size // 2 + 1)
        return all(self.agreement(start, start + turn, size - turn) < _ROUND for turn in turns)

    def same_changes(self, one: int, other: int, size: int) -> bool:
        """Whether `size` bars from `one` and from `other` on have the same changes."""
        return self.has_changes(one, size) and self.agreement(one, other, size) >= SAME_CHANGES


def bar_chords(played: Score, units: Sequence[BarUnit]) -> BarChords:
    r"""Return the written chords of the bars `units` of a score as it is played.

    Examples
    --------
    >>> from musictheory_nb.score.bar_unit import bar_units
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b'X:1\nM:2/4\nL:1/4\nK:C\n"Dm7"CE|"G7"GE|c2|"Dm"CE|"G"GE|"C"c2|\n', cache=False)
    >>> chords = bar_chords(tune, bar_units(tune.measures))
    >>> chords.agreement(0, 3, 3), chords.symbols[:3]
    (0.6666666666666666, ('Dm7', 'G7', 'G7'))
    """
    marks = sorted(played.chord_symbols, key=lambda mark: (mark.start, mark.part))
    starts: list[Fraction] = []
    numbers: list[int] = []
    texts: list[str] = []
    for mark in marks:
        if not starts or starts[-1] != mark.start:
            starts.append(mark.start)
            numbers.append(_number(mark.text))
            texts.append(mark.text)
    table = np.full((len(units), _PARTS), -1, dtype=np.int16)
    symbols: list[str] = []
    at = -1
    for bar, unit in enumerate(units):
        told: list[str] = []
        for part in range(_PARTS):
            place = unit.start + unit.length * part / _PARTS
            while at + 1 < len(starts) and starts[at + 1] <= place:
                at += 1
                if starts[at] >= unit.start and numbers[at] >= 0:
                    told.append(texts[at])
            if at >= 0:
                table[bar, part] = numbers[at]
        symbols.append(" ".join(told) or (texts[at] if at >= 0 and numbers[at] >= 0 else "N.C."))
    return BarChords(table, tuple(symbols))


def _number(symbol: str) -> int:
    try:
        chord = Chord(symbol)
    except TheoryError:
        return -1
    if chord.root is None:
        return -1
    return chord.root.pitch_class + 12 * ("b3" in chord.degrees)
