"""The modes that a key may have, and the words by which they are read.

Key signatures are counted in fifths from C major: sharps are positive, flats negative (as in MusicXML).
"""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import KeyNameError


@dataclass(frozen=True, slots=True)
class KeyMode:
    """A mode of a key.

    Attributes
    ----------
    name : str
        Its usual name.
    signature_shift : int
        Fifths by which its signature differs from that of the major key on the same tonic.
    raised : tuple of int
        Degrees that its scale raises against the signature (harmonic minor: the seventh).
    is_minor : bool
        Whether its third is minor.
    """

    name: str
    signature_shift: int
    is_minor: bool
    raised: tuple[int, ...] = ()


#: Every mode by name. The melodic minor is in its ascending form.
KEY_MODES: Final = MappingProxyType(
    {
        mode.name: mode
        for mode in (
            KeyMode("major", 0, False),
            KeyMode("minor", -3, True),
            KeyMode("harmonic minor", -3, True, (7,)),
            KeyMode("melodic minor", -3, True, (6, 7)),
            KeyMode("ionian", 0, False),
            KeyMode("dorian", -2, True),
            KeyMode("phrygian", -4, True),
            KeyMode("lydian", 1, False),
            KeyMode("mixolydian", -1, False),
            KeyMode("aeolian", -3, True),
            KeyMode("locrian", -5, True),
        )
    }
)

#: Other words for the modes, in small letters without full stops.
MODE_WORDS: Final = MappingProxyType(
    {
        "maj": "major",
        "min": "minor",
        "mi": "minor",
        "ma": "major",
        "m": "minor",
        "natural minor": "minor",
        "dor": "dorian",
        "phryg": "phrygian",
        "phr": "phrygian",
        "lyd": "lydian",
        "mixo": "mixolydian",
        "mixolyd": "mixolydian",
        "mix": "mixolydian",
        "aeol": "aeolian",
        "eolian": "aeolian",
        "ion": "ionian",
        "loc": "locrian",
        "dur": "major",
        "moll": "minor",
        "ionisch": "ionian",
        "dorisch": "dorian",
        "phrygisch": "phrygian",
        "lydisch": "lydian",
        "mixolydisch": "mixolydian",
        "äolisch": "aeolian",
        "lokrisch": "locrian",
        "majeur": "major",
        "mineur": "minor",
        "maggiore": "major",
        "minore": "minor",
        "mayor": "major",
        "menor": "minor",
        "maior": "major",
    }
)


def read_mode(word: str) -> KeyMode:
    """Read the word for a mode.

    Raises
    ------
    KeyNameError
        No mode of a key is called so.

    Examples
    --------
    >>> read_mode("m").name, read_mode("Dorian").name, read_mode("M").name
    ('minor', 'dorian', 'major')
    >>> read_mode("blues")
    Traceback (most recent call last):
    musictheory_nb.errors.KeyNameError: mode 'blues': must be one of major, minor, harmonic minor, melodic minor, ionian, \
dorian, phrygian, lydian, mixolydian, aeolian, locrian
    """
    if not isinstance(word, str):
        raise KeyNameError(f"mode {word!r}: must be one of {', '.join(KEY_MODES)}")
    if word == "M":
        return KEY_MODES["major"]
    plain = " ".join(word.lower().replace(".", "").replace("-", " ").split())
    plain = plain.removesuffix(" mode").removesuffix(" key")
    mode = KEY_MODES.get(MODE_WORDS.get(plain, plain))
    if mode is None:
        raise KeyNameError(f"mode {word!r}: must be one of {', '.join(KEY_MODES)}")
    return mode
