"""What a chord's place in a key, or the chord behind it, says about its scale.

The names of the places are those of the column ``context`` in ``chord_scale.tsv``.
"""

from collections.abc import Collection
from typing import Final

from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale

#: Scales of a minor key, in the order in which they are tried.
_MINOR_SCALES: Final = ("natural minor", "harmonic minor", "melodic minor")
#: Places of dominants in a major key, by semitones above the tonic. Source: common practice; V7 of ii takes b13.
_MAJOR_KEY_DOMINANTS: Final = {7: "V of major", 0: "V of major", 4: "V of minor", 11: "V of minor", 9: "V of ii"}
#: Places of dominants in a minor key; bVII7 and II7 have none of their own.
_MINOR_KEY_DOMINANTS: Final = {7: "V of minor", 0: "V of minor", 1: "sub V", 5: "sub V", 8: "sub V"}
#: Modes of a key in which the places above are meant; in the others the scale of the key decides.
_MAJOR_MODES: Final = ("major", "ionian")
_MINOR_MODES: Final = ("minor", "aeolian", "harmonic minor", "melodic minor")
_MINOR_SEVENTHS: Final = {2: "ii", 4: "iii", 9: "vi"}
_MAJOR_KEY_MAJORS: Final = {5: "IV", 1: "borrowed", 3: "borrowed", 8: "borrowed", 10: "borrowed"}
_DOWN_A_FIFTH, _DOWN_A_HALF_STEP, _DOWN_A_FOURTH, _UP_A_WHOLE_STEP = 7, 1, 5, 10


def is_dominant(degrees: Collection[str]) -> bool:
    """Whether a chord has major third and minor seventh, or a suspended fourth and minor seventh."""
    return "b7" in degrees and ("3" in degrees or ("4" in degrees and "b3" not in degrees))


def place_of(root: PitchName, degrees: Collection[str], key: Key | None, next_chord: Chord | None) -> str:
    """Place of a chord in its progression, or an empty text where nothing is known of it.

    The next chord decides before the key does.

    Examples
    --------
    >>> dominant = ("1", "3", "5", "b7")
    >>> place_of(PitchName("G"), dominant, None, Chord("Cm7")), place_of(PitchName("Db"), dominant, Key("C"), None)
    ('V of minor', 'sub V')
    >>> place_of(PitchName("G"), dominant, None, None)
    ''
    """
    if next_chord is not None and (place := _before(root, degrees, next_chord)):
        return place
    return _in_key(root, degrees, key) if key is not None else ""


def _before(root: PitchName, degrees: Collection[str], next_chord: Chord) -> str:
    """Place that the next chord gives."""
    if next_chord.root is None:
        return ""
    down = (root.pitch_class - next_chord.root.pitch_class) % 12
    to_minor = "b3" in next_chord.degrees
    if "3" in degrees and "b7" in degrees:
        if down == _DOWN_A_FIFTH:
            return "V of minor" if to_minor else "V of major"
        if down in (_DOWN_A_HALF_STEP, _DOWN_A_FOURTH) or (down == _UP_A_WHOLE_STEP and not to_minor):
            return "sub V"
    elif "b3" in degrees and "b7" in degrees and down == _DOWN_A_FIFTH and is_dominant(next_chord.degrees):
        return "ii"
    return ""


def _in_key(root: PitchName, degrees: Collection[str], key: Key) -> str:
    """Place that the key gives."""
    above = (root.pitch_class - key.tonic.pitch_class) % 12
    is_dominant_seventh = "3" in degrees and "b7" in degrees
    is_minor_seventh = "b3" in degrees and "b7" in degrees
    if key.mode in _MINOR_MODES:
        if is_dominant_seventh:
            return _MINOR_KEY_DOMINANTS.get(above, "")
        return "vi" if is_minor_seventh and above == 0 else ""
    if key.mode not in _MAJOR_MODES:
        return ""
    if is_dominant_seventh:
        return _MAJOR_KEY_DOMINANTS.get(above, "sub V")
    if is_minor_seventh:
        return _MINOR_SEVENTHS.get(above, "")
    return _MAJOR_KEY_MAJORS.get(above, "") if "3" in degrees else ""


def key_scales(key: Key) -> tuple[Scale, ...]:
    """Scales of a key: one, or in a minor key the natural, the harmonic and the melodic one.

    Examples
    --------
    >>> [scale.name for scale in key_scales(Key("A minor"))]
    ['A natural minor', 'A harmonic minor', 'A melodic minor']
    >>> key_scales(Key("D dorian"))
    (Scale('D Dorian'),)
    """
    if key.mode == "minor":
        return tuple(Scale.of(key.tonic, name, called=name) for name in _MINOR_SCALES)
    return (Scale.of(key.tonic, key.mode),)
