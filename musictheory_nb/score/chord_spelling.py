"""From a chord found by pitch class to one with names: which of its notes is the root, how it is spelled, its bass."""

from collections.abc import Sequence
from typing import Final

from musictheory_nb.score.chord_candidate import CHORD_TYPES, chord_tables
from musictheory_nb.score.key_name import spelled_name
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_CLASS, DEGREE_FIFTHS, NAMES_BY_FIFTHS, ChordParts, lowest_tone
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch_name import PitchName

#: Semitones between the notes that may each be the root of a symmetric chord.
_SYMMETRIC: Final = {("1", "b3", "b5", "bb7"): 3, ("1", "3", "#5"): 4}
_DIMINISHED: Final = ("1", "b3", "b5")
_DIMINISHED_SEVENTH: Final = ("1", "b3", "b5", "bb7")
_DOMINANT: Final = ("1", "3", "5", "b7")
_AUGMENTED_SIXTH: Final = ("1", "3", "5", "#6")
#: Lowest and highest root that is written: Fb and B#, so that no tone needs three accidentals.
_RANGE: Final = range(-8, 13)


def spelled_chord(
    number: int, fifths: Sequence[int], bass: int | None, key: Key, following: int | None = None
) -> Chord:
    """Return a chord with names.

    Parameters
    ----------
    number : int
        Index into `chord_candidate.chord_tables`.
    fifths : sequence of int
        Places on the line of fifths of the notes that sound.
    bass : int or None
        Pitch class of the bass; None, or one foreign to the chord, gives root position.
    key : Key
        Local key, for what the notes do not tell.
    following : int, optional
        Pitch class of the root of the next chord, to which a diminished seventh leads.

    Examples
    --------
    >>> number = 12 * CHORD_TYPES.index(next(t for t in CHORD_TYPES if t.degrees[-1] == "bb7")) + 11
    >>> spelled_chord(number, [8, -1, 2, 5], 2, Key("A minor")).symbol  # G# F D B
    'G#dim7/D'
    """
    tables = chord_tables()
    degrees = CHORD_TYPES[int(tables.types[number])].degrees
    root = int(tables.roots[number])
    if degrees == _DIMINISHED and (full := _diminished_seventh(root, fifths)) is not None:
        root, degrees = full, _DIMINISHED_SEVENTH
    elif degrees in _SYMMETRIC:
        root = _symmetric_root(root, degrees, fifths, key, following)
    name = _within(spelled_name(root, fifths, key))
    if degrees == _DOMINANT and name.fifths + DEGREE_FIFTHS["#6"] in set(fifths) - {name.fifths + DEGREE_FIFTHS["b7"]}:
        degrees = _AUGMENTED_SIXTH
    lowest = lowest_tone(name, degrees)
    if bass is not None:
        for degree in degrees:
            if (name.pitch_class + DEGREE_CLASS[degree]) % 12 == bass:
                lowest = NAMES_BY_FIFTHS[name.fifths + DEGREE_FIFTHS[degree]]
    return Chord.from_parts(ChordParts(name, degrees, lowest))


def _within(name: PitchName) -> PitchName:
    """Return the name, or its enharmonic one where chords on it could not be written."""
    place = name.fifths
    while place not in _RANGE:
        place += 12 if place < 0 else -12
    return PitchName.from_fifths(place)


def _diminished_seventh(root: int, fifths: Sequence[int]) -> int | None:
    """Root of the diminished seventh of which a seeming triad is spelled as a part (Bb C# E: C# E G Bb without G)."""
    for own in sorted({place for place in fifths if (7 * place) % 12 == root}):
        if {own + DEGREE_FIFTHS[degree] for degree in _DIMINISHED} <= set(fifths):
            return None
    sounding = {(7 * place) % 12 for place in fifths}
    wanted = [(root + step) % 12 for step in (0, 3, 6)]
    if not sounding.issuperset(wanted):
        return None
    for place in sorted(set(fifths)):
        tones = {place + DEGREE_FIFTHS[degree] for degree in _DIMINISHED_SEVENTH}
        if all(any(tone in tones for tone in fifths if (7 * tone) % 12 == pitch_class) for pitch_class in wanted):
            return (7 * place) % 12
    return None


def _symmetric_root(root: int, degrees: tuple[str, ...], fifths: Sequence[int], key: Key, following: int | None) -> int:
    """Return the pitch class of the root from which the notes are spelled in thirds; else of one that leads on."""
    step = _SYMMETRIC[degrees]
    best, best_value = root, -1.0
    for turn in range(12 // step):
        pitch_class = (root + step * turn) % 12
        base = spelled_name(pitch_class, fifths, key).fifths
        value = float(sum(fifths.count(base + DEGREE_FIFTHS[degree]) > 0 for degree in degrees))
        if following is not None and degrees[-1] == "bb7" and (pitch_class + 1) % 12 == following:
            value += 0.6
        if degrees[-1] == "bb7" and (pitch_class + 1) % 12 == key.tonic.pitch_class:
            value += 0.3
        if value > best_value:
            best, best_value = pitch_class, value
    return best
