"""The chords that notes may imply, as tables for the search: tones, what each costs, what its missing tones cost."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, NamedTuple

import numpy as np
import numpy.typing as npt

from musictheory_nb.theory.chord_degree import DEGREE_CLASS

Table = npt.NDArray[np.float64]


class ChordType(NamedTuple):
    """A type of chord: its degrees, what it costs to choose it, and what it costs where each degree does not sound."""

    degrees: tuple[str, ...]
    cost: float
    missing: tuple[float, ...]


#: Triads and sevenths. Costs are in beats of one sounding note: plainer chords are taken before rarer ones.
CHORD_TYPES: Final = (
    ChordType(("1", "3", "5"), -0.15, (1.84, 1.08, 0.39)),
    ChordType(("1", "b3", "5"), -0.04, (1.84, 1.08, 0.39)),
    ChordType(("1", "b3", "b5"), 0.33, (1.84, 1.55, 1.84)),
    ChordType(("1", "3", "#5"), 0.6, (2.31, 2.31, 2.31)),
    ChordType(("1", "3", "5", "b7"), 0.22, (1.38, 1.08, 0.39, 0.4)),
    ChordType(("1", "b3", "5", "b7"), 0.37, (1.84, 1.23, 0.61, 0.4)),
    ChordType(("1", "3", "5", "7"), 0.59, (2.16, 1.38, 0.76, 0.4)),
    ChordType(("1", "b3", "b5", "b7"), 0.22, (1.84, 1.55, 1.55, 0.4)),
    ChordType(("1", "b3", "b5", "bb7"), 0.46, (2.02, 2.02, 2.02, 0.4)),
)
#: How much a sounding chord tone speaks for the chord, by its place in the stack of thirds.
_REWARD: Final = (1.0, 1.12, 1.01, 0.73)
#: How much the bass speaks for the chord, by its place in the stack of thirds.
_BASS: Final = (0.55, 0.25, -0.33, -0.1)
_FOREIGN_BASS: Final = -0.3


@dataclass(frozen=True, eq=False)
class ChordTables:
    """Tables over chords (rows) and pitch classes from C (columns).

    Attributes
    ----------
    roots, types : array
        Pitch class of the root, and index into `CHORD_TYPES`, of each chord.
    reward, foreign, missing, bass : array, chords by 12
        What a beat of a sounding chord tone adds; 1 where a pitch class is foreign; what a tone that does not sound
        costs; what a beat of the bass adds.
    cost : array
        What it costs to choose the chord.
    """

    roots: npt.NDArray[np.int64]
    types: npt.NDArray[np.int64]
    reward: Table
    foreign: Table
    missing: Table
    bass: Table
    cost: Table


@lru_cache(maxsize=1)
def chord_tables() -> ChordTables:
    """Return the tables of all `CHORD_TYPES` on all twelve roots.

    Examples
    --------
    >>> tables = chord_tables()
    >>> len(tables.roots) == 12 * len(CHORD_TYPES), int(tables.foreign[0].sum())  # C major: 9 foreign pitch classes
    (True, 9)
    """
    count = 12 * len(CHORD_TYPES)
    reward, missing = np.zeros((count, 12)), np.zeros((count, 12))
    bass = np.full((count, 12), _FOREIGN_BASS)
    roots, types = np.zeros(count, dtype=np.int64), np.zeros(count, dtype=np.int64)
    cost = np.zeros(count)
    for kind, chord in enumerate(CHORD_TYPES):
        for root in range(12):
            at = 12 * kind + root
            roots[at], types[at], cost[at] = root, kind, chord.cost
            for place, degree in enumerate(chord.degrees):
                tone = (root + DEGREE_CLASS[degree]) % 12
                reward[at, tone] = _REWARD[place]
                missing[at, tone] = chord.missing[place]
                bass[at, tone] = _BASS[place]
    return ChordTables(roots, types, reward, (reward == 0).astype(np.float64), missing, bass, cost)
