"""The key of a piece (`find_key`): by published profiles, and by profiles and cadences together.

A profile method correlates how long each pitch class sounds with the profile of each key (Krumhansl's and Schmuckler's
procedure). Profiles tell poorly between keys that share notes; how the piece ends, begins and cadences tells better,
so that the method of choice joins both profiles with that evidence. Church modes come into question where they are
asked for.
"""

from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Final

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.chord_candidate import chord_tables
from musictheory_nb.score.first_chords import first_chords
from musictheory_nb.score.harmony_cell import HarmonyCells, harmony_cells
from musictheory_nb.score.key_name import note_fifths, spelled_key
from musictheory_nb.score.key_path import Stretch, cadence_key
from musictheory_nb.score.key_profile import PROFILES, profile_correlations
from musictheory_nb.score.score import Score
from musictheory_nb.theory.key import Key

#: The methods by name.
METHODS: Final = MappingProxyType(
    {
        "profiles and cadences": "the mean of all profile methods, and cadences, first chord and last chord (default)",
        **PROFILES,
    }
)
#: Which keys come into question.
MODES: Final = MappingProxyType(
    {
        "major and minor": "the 24 major and minor keys (default)",
        "church": "those, and Dorian, Phrygian, Lydian, Mixolydian and Aeolian keys",
    }
)
#: So many cadences more are reckoned with, so that a single one does not decide.
_FEW: Final = 2.0
#: Correlation at which notes tell nothing of a key, and at which they fit it well.
_FITS: Final = (0.45, 0.8)
#: What the seventh degree adds to minor where it is raised, and to Aeolian, Dorian and Phrygian where it is not.
_SEVENTH: Final = 0.08
#: What evidence adds to a correlation: last bass on the tonic, last chord the tonic's, first bass, all cadences.
_LAST_BASS, _LAST_CHORD, _FIRST_BASS, _CADENCES = 0.12, 0.06, 0.05, 0.25
#: Minor without its leading tone, or with a raised sixth, is minor too; a church mode must fit that much better.
_NATURAL_MINORS: Final = ("aeolian", "dorian")
_MODE_COST: Final = 0.04
_SEVENTH_LOW: Final = ("aeolian", "dorian", "phrygian")


@dataclass(frozen=True, slots=True)
class KeyCandidate:
    """One key that comes into question.

    Attributes
    ----------
    key : Key
        The key, spelled as the notes are.
    score : float
        Higher is better; for the profile methods Pearson's correlation, from -1 to 1.
    reason : str
        One sentence: what speaks for it.
    """

    key: Key
    score: float
    reason: str


@dataclass(frozen=True, slots=True)
class KeyFinding:
    """The key of a piece.

    Attributes
    ----------
    key : Key
        The best candidate's.
    method : str
        One of `METHODS`.
    confidence : float
        From 0 to 1: how far the best candidate is above the second, against a clear case; no more than how well the
        notes fit it at all, and less where no cadence and no last chord speaks for it, so that music in no key is not
        said to be in one.
    candidates : tuple of KeyCandidate
        All keys that come into question, the best first.
    fit : float
        From 0 to 1: how well the notes fit the best candidate, whatever others there are.
    """

    key: Key
    method: str
    confidence: float
    candidates: tuple[KeyCandidate, ...]
    fit: float = 1.0

    @property
    def reason(self) -> str:
        """One sentence: what speaks for the key."""
        return self.candidates[0].reason


def find_key(score: Score, method: str = "profiles and cadences", modes: str = "major and minor") -> KeyFinding:
    r"""Find the key of a piece.

    Parameters
    ----------
    score : Score
        The piece, as written.
    method : {'profiles and cadences', 'Krumhansl-Kessler', 'Temperley-Kostka-Payne'}
        `METHODS` says what each does.
    modes : {'major and minor', 'church'}
        `MODES` says which keys come into question.

    Raises
    ------
    ScoreError
        There is no such method or choice of modes, or no key can be told from the notes.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> tune = load_score(b"X:1\nM:4/4\nL:1/4\nK:G\nGABc|dBGB|cABF|G4|]\n", cache=False)
    >>> find_key(tune).key, find_key(tune, "Krumhansl-Kessler").key
    (Key('G major'), Key('G major'))
    >>> find_key(tune, "guess")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: method 'guess'; allowed: 'profiles and cadences', 'Krumhansl-Kessler', ...
    """
    if method not in METHODS:
        raise ScoreError(f"method {method!r}; allowed: {', '.join(map(repr, METHODS))}")
    if modes not in MODES:
        raise ScoreError(f"modes {modes!r}; allowed: {', '.join(map(repr, MODES))}")
    if method in PROFILES:
        return key_of_cells(harmony_cells(score), method, modes)
    first = first_chords(score)
    return key_of_cells(first.cells, method, modes, first.stretches)


def key_of_cells(cells: HarmonyCells, method: str, modes: str, stretches: tuple[Stretch, ...] = ()) -> KeyFinding:
    """Find the key from what sounds and, unless by a profile alone, from the chords in `stretches`.

    Raises
    ------
    ScoreError
        No key can be told from the notes.
    """
    amounts = cells.sounding.sum(axis=0)
    used = [method] if method in PROFILES else list(PROFILES)
    tables = [profile_correlations(amounts, name) for name in used]
    values = {key: sum(table[key] for table in tables) / len(tables) for key in tables[0]}
    if method not in PROFILES:
        for tonic in range(12) if modes == "major and minor" else ():
            natural = max(values[tonic, mode] for mode in _NATURAL_MINORS) - _MODE_COST
            values[tonic, "minor"] = max(values[tonic, "minor"], natural)
        values = {key: value - _MODE_COST * (key[1] not in ("major", "minor")) for key, value in values.items()}
    if modes == "major and minor":
        values = {key: value for key, value in values.items() if key[1] in ("major", "minor")}
    reasons = {key: [f"correlation {value:.2f} with its profile"] for key, value in values.items()}
    fits = {key: min(max((value - _FITS[0]) / (_FITS[1] - _FITS[0]), 0.0), 1.0) for key, value in values.items()}
    shown = set(values)
    if method not in PROFILES:
        shown = _add_evidence(cells, stretches, values, reasons)
    fifths = note_fifths(cells.notes)
    ranked = sorted(values, key=lambda key: (-values[key], key[1] not in ("major", "minor"), key))
    candidates = tuple(KeyCandidate(spelled_key(*key, fifths), values[key], "; ".join(reasons[key])) for key in ranked)
    margin = candidates[0].score - candidates[1].score
    fit = fits[ranked[0]] if ranked[0] in shown else fits[ranked[0]] ** 2
    return KeyFinding(candidates[0].key, method, min(fit, margin / 0.3), candidates, fits[ranked[0]])


def _add_evidence(
    cells: HarmonyCells,
    stretches: tuple[Stretch, ...],
    values: dict[tuple[int, str], float],
    reasons: dict[tuple[int, str], list[str]],
) -> set[tuple[int, str]]:
    """Add what chords and the bass say to the values; return the keys for which a cadence or the last chord speaks."""
    shown: set[tuple[int, str]] = set()
    tables = chord_tables()
    heard = np.nonzero(cells.bass.sum(axis=1) > 0)[0]
    first, last = int(cells.bass[heard[0]].argmax()), int(cells.bass[heard[-1]].argmax())
    cadences: dict[tuple[int, str], float] = {}
    for before, after in pairwise(stretches):
        if (number := cadence_key(before.chord, after.chord)) is not None:
            key = (number % 12, "minor" if number >= 12 else "major")
            cadences[key] = cadences.get(key, 0.0) + (3.0 if after.rests else 1.0)
    total = sum(cadences.values())
    end = stretches[-1].chord if stretches else -1
    amounts = cells.sounding.sum(axis=0)
    for key in values:
        tonic, mode = key
        low, raised = float(amounts[(tonic + 10) % 12]), float(amounts[(tonic + 11) % 12])
        if (tonic, "aeolian") in values and mode in ("minor", *_SEVENTH_LOW) and low + raised > 0:
            share = (raised - low) / (low + raised)
            values[key] += _SEVENTH * (share if mode == "minor" else -share)
            reasons[key].append(f"its seventh degree is {'raised' if share > 0 else 'not raised'}, more often than not")
        plain = (tonic, "major" if mode in ("major", "lydian", "mixolydian") else "minor")
        if tonic == last:
            values[key] += _LAST_BASS
            reasons[key].append("the last bass note is its tonic")
        if end >= 0 and tables.roots[end] == tonic and tables.types[end] == (0 if plain[1] == "major" else 1):
            values[key] += _LAST_CHORD
            reasons[key].append("the last chord is its tonic chord")
            shown.add(key)
        if tonic == first:
            values[key] += _FIRST_BASS
            reasons[key].append("the first bass note is its tonic")
        if plain in cadences:
            values[key] += _CADENCES * cadences[plain] / (total + _FEW)
            reasons[key].append(f"{cadences[plain] / total:.0%} of the motions from dominant to tonic are in it")
            shown.add(key)
    return shown
