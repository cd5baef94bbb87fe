"""Spelling what was found by pitch class: keys and roots with the names that the notes of a passage have."""

from collections.abc import Iterable

import numpy as np
import numpy.typing as npt

from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.key_mode import KEY_MODES
from musictheory_nb.theory.pitch_name import PitchName

#: Place on the line of fifths of the letters C to B.
_STEP_FIFTHS = np.array([0, 2, 4, -1, 1, 3, 5], dtype=np.int64)
#: Middle of a major scale's notes on the line of fifths, above its tonic.
_MIDDLE = 2


def note_fifths(notes: NoteTable) -> npt.NDArray[np.int64]:
    """Return the place of each sounding pitch on the line of fifths: C = 0, G = 1, Bb = -2."""
    return _STEP_FIFTHS[notes.column("sounding_step")] + 7 * notes.column("sounding_alter")


def spelled_key(tonic: int, mode: str, fifths: npt.NDArray[np.int64]) -> Key:
    """Return the key on a pitch class, spelled as the notes are.

    Parameters
    ----------
    tonic : int
        Pitch class of the tonic, C = 0.
    mode : str
        A name of `key_mode.KEY_MODES`.
    fifths : array
        Places of the passage's notes on the line of fifths.

    Examples
    --------
    >>> flats, sharps = np.array([-6, -5, -4, -1, -2]), np.array([6, 7, 8, 11, 10])
    >>> spelled_key(6, "major", flats), spelled_key(6, "major", sharps), spelled_key(9, "minor", np.array([0, 4, 1]))
    (Key('Gb major'), Key('F# major'), Key('A minor'))
    """
    signature = float(fifths.mean()) - _MIDDLE if len(fifths) else 0.0
    shift = KEY_MODES[mode].signature_shift
    places = [place for place in range(-13, 18) if (7 * place) % 12 == tonic % 12]
    best = min(places, key=lambda place: (abs(place + shift - signature), abs(place + shift)))
    return Key.of(PitchName.from_fifths(best), mode)


def spelled_name(pitch_class: int, fifths: Iterable[int], key: Key) -> PitchName:
    """Return the name of a pitch class: as the notes have it most often, else as it is usual in the key.

    Examples
    --------
    >>> spelled_name(1, [7, 0, 1], Key("D minor")), spelled_name(10, [], Key("D minor"))
    (PitchName('C#'), PitchName('Bb'))
    """
    own = [place for place in fifths if (7 * place) % 12 == pitch_class]
    if own:
        return PitchName.from_fifths(max(sorted(set(own)), key=own.count))
    centre = key.fifths + _MIDDLE + (1 if key.is_minor else 0)
    place = min((p for p in range(-13, 18) if (7 * p) % 12 == pitch_class), key=lambda p: abs(p - centre))
    return PitchName.from_fifths(place)
