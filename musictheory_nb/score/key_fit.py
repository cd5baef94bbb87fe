"""How well each chord fits each key, and how its notes do: the tables from which local keys are found.

A chord of the key fits best where it defines the key (tonic, dominant, leading-tone chord), chords of other keys fit
badly. The figures are of our own making, in the spirit of the functions that harmony courses teach (common practice).
"""

from functools import lru_cache
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.chord_candidate import CHORD_TYPES, chord_tables
from musictheory_nb.score.key_profile import key_profile

Table = npt.NDArray[np.float64]

#: Keys by number: 0-11 major on C, C sharp and so on, 12-23 minor.
KEY_COUNT: Final = 24
_SUFFIXES: Final = MappingProxyType({"": 0, "m": 1, "o": 2, "+": 3, "7": 4, "m7": 5, "maj7": 6, "h7": 7, "o7": 8})
_ELSEWHERE: Final = -0.45
#: Fit of chords by semitones above the tonic and suffix; anything else is `_ELSEWHERE`.
_MAJOR: Final = (
    "0:=1.0 0:maj7=.7 0:7=.2 5:=.7 5:maj7=.6 7:=.8 7:7=1.0 2:m=.6 2:m7=.7 9:m=.5 9:m7=.45 4:m=.3 4:m7=.25 11:o=.85 "
    "11:h7=.9 11:o7=.6 2:7=.25 2:=0 9:7=.15 9:=-.1 4:7=.15 4:=-.1 6:o=0 6:h7=.1 6:o7=.1 1:o=-.1 1:o7=0 8:o7=0 5:m=.05 "
    "2:h7=.05 2:o=0 10:=-.15 8:=-.1 3:=-.3 0:m=-.3"
)
_MINOR: Final = (
    "0:m=1.0 0:m7=.5 0:=.05 0:7=.2 5:m=.7 5:m7=.65 5:=.2 5:7=.1 7:=.8 7:7=1.0 7:m=.2 7:m7=.1 2:o=.65 2:h7=.8 8:=.55 8:maj7=.5 "
    "3:=.35 3:maj7=.3 3:+=.4 10:=.25 10:7=.15 11:o=.85 11:o7=1.0 11:h7=.2 2:m=0 2:m7=0 2:7=.1 2:=-.05 1:=.1 6:o7=.1 "
    "4:o7=0 9:o=.15 9:h7=.2 8:7=.05"
)


@lru_cache(maxsize=1)
def chord_fit() -> Table:
    """Return how well each chord of `chord_candidate.chord_tables` (columns) fits each key (rows).

    Examples
    --------
    >>> fit = chord_fit()
    >>> fit.shape == (24, 12 * len(CHORD_TYPES)), float(fit[0, 0])  # C major in C major
    (True, 1.0)
    """
    tables = chord_tables()
    found = np.full((KEY_COUNT, len(tables.roots)), _ELSEWHERE)
    for minor, text in enumerate((_MAJOR, _MINOR)):
        for entry in text.split():
            chord, value = entry.split("=")
            above, suffix = chord.split(":")
            kind = _SUFFIXES[suffix]
            for tonic in range(12):
                found[12 * minor + tonic, 12 * kind + (tonic + int(above)) % 12] = float(value)
    return found


@lru_cache(maxsize=1)
def note_fit() -> Table:
    """Return how well each pitch class from C (columns) fits each key (rows): a published profile about its mean."""
    rows = []
    for mode in ("major", "minor"):
        weights = key_profile("Temperley-Kostka-Payne", mode)
        rows += [np.roll(weights - weights.mean(), tonic) for tonic in range(12)]
    return np.array(rows)


@lru_cache(maxsize=1)
def key_distance() -> Table:
    """Return how far keys are from one another: steps between their signatures on the circle of fifths."""
    signature = np.array([(7 * (tonic + (3 if minor else 0))) % 12 for minor in (0, 1) for tonic in range(12)])
    apart = np.abs(signature[:, None] - signature[None, :]) % 12
    nearer: Table = np.minimum(apart, 12 - apart).astype(np.float64)
    return nearer


assert len(_SUFFIXES) == len(CHORD_TYPES)
