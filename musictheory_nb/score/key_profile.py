"""Published key profiles: how strongly each pitch class belongs to a key.

A profile lists twelve weights by semitones above the tonic. The profiles of the church modes are ours, no published
ones: those of major or minor with the weights of a degree and its altered form exchanged (Dorian: 6 and b6).
"""

import csv
from functools import lru_cache
from importlib.resources import files
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt

from musictheory_nb.errors import ScoreError

Weights = npt.NDArray[np.float64]

#: The profiles, with where they are from; the values are in ``key_profile.tsv``.
PROFILES: Final = MappingProxyType(
    {
        "Krumhansl-Kessler": "Krumhansl and Kessler 1982, listeners' ratings of fit; values as in music21 10.5",
        "Temperley-Kostka-Payne": "Temperley 2007, counts in the Kostka-Payne workbook; values as in music21 10.5",
    }
)
#: Church modes: the mode whose profile is taken, and pairs of degrees (in semitones) whose weights are exchanged.
_EXCHANGED: Final = MappingProxyType(
    {
        "dorian": ("minor", ((8, 9), (10, 11))),
        "phrygian": ("minor", ((1, 2), (10, 11))),
        "lydian": ("major", ((5, 6),)),
        "mixolydian": ("major", ((10, 11),)),
        "aeolian": ("minor", ((10, 11),)),
    }
)
#: The modes for which there are profiles.
PROFILE_MODES: Final = ("major", "minor", *_EXCHANGED)


def key_profile(name: str, mode: str) -> Weights:
    """Return the twelve weights of a profile, by semitones above the tonic.

    Parameters
    ----------
    name : {'Krumhansl-Kessler', 'Temperley-Kostka-Payne'}
        One of `PROFILES`.
    mode : str
        One of `PROFILE_MODES`.

    Raises
    ------
    ScoreError
        There is no such profile or mode.

    Examples
    --------
    >>> key_profile("Krumhansl-Kessler", "major")[:3].tolist()
    [6.35, 2.23, 3.48]
    >>> key_profile("Krumhansl", "major")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: key profile 'Krumhansl'; allowed: Krumhansl-Kessler, Temperley-Kostka-Payne
    """
    if name not in PROFILES:
        raise ScoreError(f"key profile {name!r}; allowed: {', '.join(PROFILES)}")
    if mode not in PROFILE_MODES:
        raise ScoreError(f"mode {mode!r} of a key profile; allowed: {', '.join(PROFILE_MODES)}")
    if mode not in _EXCHANGED:
        return _read()[name, mode].copy()
    parent, pairs = _EXCHANGED[mode]
    weights = _read()[name, parent].copy()
    for one, other in pairs:
        weights[[one, other]] = weights[[other, one]]
    return weights


@lru_cache(maxsize=1)
def _read() -> dict[tuple[str, str], Weights]:
    text = files(__package__).joinpath("key_profile.tsv").read_text(encoding="utf-8")
    rows = csv.DictReader((line for line in text.splitlines() if not line.startswith("#")), delimiter="\t")
    return {(row["profile"], row["mode"]): np.array([float(row[str(at)]) for at in range(12)]) for row in rows}


@lru_cache(maxsize=len(PROFILES))
def profile_matrix(name: str) -> tuple[tuple[tuple[int, str], ...], Weights]:
    """Return the keys (tonic's pitch class, mode) and, a row each, their profiles by pitch class from C.

    Raises
    ------
    ScoreError
        There is no such profile.
    """
    keys = tuple((tonic, mode) for mode in PROFILE_MODES for tonic in range(12))
    return keys, np.array([np.roll(key_profile(name, mode), tonic) for tonic, mode in keys])


def profile_correlations(amounts: Weights, name: str) -> dict[tuple[int, str], float]:
    """Return Pearson's correlation of amounts by pitch class (from C) with the profile of each key, from -1 to 1.

    Raises
    ------
    ScoreError
        There is no such profile, or all amounts are alike.

    Examples
    --------
    >>> scale = np.array([2, 0, 1, 0, 2, 1, 0, 2, 0, 1, 0, 1.0])
    >>> found = profile_correlations(scale, "Temperley-Kostka-Payne")
    >>> max(found, key=found.get)
    (0, 'major')
    >>> profile_correlations(np.ones(12), "Krumhansl-Kessler")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: all twelve pitch classes sound alike: no key can be told from them
    """
    keys, matrix = profile_matrix(name)
    spread = amounts - amounts.mean()
    if not np.abs(spread).max() > 1e-12:
        raise ScoreError("all twelve pitch classes sound alike: no key can be told from them")
    centred = matrix - matrix.mean(axis=1, keepdims=True)
    values = centred @ spread / (np.linalg.norm(centred, axis=1) * np.linalg.norm(spread))
    return dict(zip(keys, values.tolist(), strict=True))
