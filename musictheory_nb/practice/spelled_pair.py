"""Two notes that make a named interval, spelled as in a key, placed in a register."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: Keys from which notes are drawn, as sharps (flats below 0) in the signature: none has a white key named by a sharp.
SIGNATURES: Final = range(-5, 6)
#: Places of degrees 1 to 7 on the line of fifths, counted from the tonic of a major key.
_MAJOR: Final = (0, 2, 4, -1, 1, 3, 5)
#: Places of degrees 1 to 7 of the harmonic minor scale, counted from its tonic.
_HARMONIC_MINOR: Final = (0, 2, -3, -1, 1, -4, 5)
#: White keys that are called by another name only where a key needs it.
_RARE: Final = frozenset({"E#", "B#", "Cb", "Fb"})


@dataclass(frozen=True, slots=True)
class SpelledPair:
    """The lower and the upper note of an interval.

    Parameters
    ----------
    low, high : str
        Pitches, such as ``'B3'`` and ``'F4'``.
    low_midi, high_midi : int
        MIDI numbers.
    scale : str
        Where both notes are found, such as ``'C major'`` or ``'A harmonic minor'``; empty where there is no such scale.
    low_degree, high_degree : int
        Their degrees in that scale, from 1; 0 without one.
    """

    low: str
    high: str
    low_midi: int
    high_midi: int
    scale: str = ""
    low_degree: int = 0
    high_degree: int = 0


def _is_plain(name: PitchName) -> bool:
    return abs(name.alter) <= 1 and name.name not in _RARE


def _scales(places: tuple[int, ...], tonic_shift: int, called: str) -> list[tuple[str, list[PitchName]]]:
    found = []
    for signature in SIGNATURES:
        tonic = signature + tonic_shift
        names = [PitchName.from_fifths(tonic + place) for place in places]
        found.append((f"{names[0].display} {called}", names))
    return found


@lru_cache(maxsize=256)
def named_pairs(interval: str) -> tuple[tuple[PitchName, PitchName, str, int, int], ...]:
    """Return the pairs of names that make `interval`: lower, upper, scale and their degrees in it.

    Pairs of a major key come first in rank; where no major key has the interval, those of harmonic minor; where none
    has it either, any two names with at most one accidental each, and then with two.

    Examples
    --------
    >>> [(low.name, high.name, scale) for low, high, scale, *_ in named_pairs("d5")][5]
    ('B', 'F', 'C major')
    >>> named_pairs("d7")[4][2], named_pairs("A1")[0][2]
    ('D harmonic minor', '')
    """
    by = Interval(interval)
    for scales in (_scales(_MAJOR, 0, "major"), _scales(_HARMONIC_MINOR, 3, "harmonic minor")):
        found = []
        for scale, names in scales:
            for at, low in enumerate(names, start=1):
                try:
                    high = low.up(by)
                except PitchError:
                    continue
                if high in names and _is_plain(low) and _is_plain(high):
                    found.append((low, high, scale, at, names.index(high) + 1))
        if found:
            return tuple(found)
    for most in (1, 2):
        loose = []
        for low in (PitchName.of(step, alter) for step in "CDEFGAB" for alter in (-1, 0, 1)):
            try:
                high = low.up(by)
            except PitchError:
                continue
            if _is_plain(low) and abs(high.alter) <= most and (most > 1 or _is_plain(high)):
                loose.append((low, high, "", 0, 0))
        if loose:
            return tuple(loose)
    return ()


@lru_cache(maxsize=1024)
def pairs_in_register(interval: str, lowest_midi: int, highest_midi: int) -> tuple[SpelledPair, ...]:
    """Return every placing of `named_pairs` whose notes lie from `lowest_midi` to `highest_midi`, both included.

    Examples
    --------
    >>> [pair.low + " " + pair.high for pair in pairs_in_register("d5", 59, 66) if pair.scale == "C major"]
    ['B3 F4']
    """
    by = Interval(interval)
    found = []
    for low_name, _, scale, low_degree, high_degree in named_pairs(interval):
        for octave in range(lowest_midi // 12 - 2, highest_midi // 12 + 1):
            low = Pitch.of(low_name.step, low_name.alter, octave)
            high = low.up(by)
            if lowest_midi <= low.chromatic and high.chromatic <= highest_midi:
                found.append(SpelledPair(low.name, high.name, low.midi, high.midi, scale, low_degree, high_degree))
    return tuple(found)
