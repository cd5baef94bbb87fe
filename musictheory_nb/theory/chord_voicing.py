"""Close position: the pitches of a chord piled up above its bass, as an example is sounded or written out."""

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord_degree import DEGREE_PARTS, ChordParts, degree_name
from musictheory_nb.theory.chord_optional import usually_omitted
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName


def close_position(parts: ChordParts, lowest: Pitch | str | int = 3, *, complete: bool = False) -> tuple[Pitch, ...]:
    """Pitches of a chord in close position, from the bass up.

    Root, third, fifth, sixth and seventh lie within an octave of the root; 9, 11 and 13 above it. With a bass other
    than the root, whatever would lie below the bass is taken up an octave.

    Parameters
    ----------
    parts : ChordParts
        The chord.
    lowest : Pitch, str or int
        No pitch sounds lower than this, and the bass is the first of its name from here up; or the octave of the bass.
    complete : bool
        Whether tones that players leave out as a rule (an 11 against a major third) are there too.

    Raises
    ------
    ChordError
        There is no chord (N.C.).
    PitchError
        `lowest` is no pitch.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> [p.name for p in close_position(read_chord_symbol("G9"))]
    ['G3', 'B3', 'D4', 'F4', 'A4']
    >>> [p.name for p in close_position(read_chord_symbol("C7/Bb"), "F2")]
    ['Bb2', 'C3', 'E3', 'G3']
    >>> close_position(read_chord_symbol("N.C."))
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: chord 'N.C.': has no pitches
    """
    if parts.root is None or parts.bass is None:
        raise ChordError("chord 'N.C.': has no pitches")
    left_out = () if complete else usually_omitted(parts.degrees)
    if isinstance(lowest, int):
        bass = Pitch.of(parts.bass.step, parts.bass.alter, lowest)
    else:
        bass = _at_or_above(parts.bass, Pitch(lowest))
    root = bass if parts.bass == parts.root else _root_near(parts.root, bass, parts)
    pitches = set()
    for degree in parts.degrees:
        if degree in left_out:
            continue
        name = degree_name(parts.root, degree)
        octaves = (DEGREE_PARTS[degree][0] - 1) // 7
        pitch = _at_or_above(name, root)
        pitch = Pitch.of(pitch.step, pitch.alter, pitch.octave + octaves)
        while pitch.chromatic < bass.chromatic:
            pitch = Pitch.of(pitch.step, pitch.alter, pitch.octave + 1)
        if pitch.pitch_name != bass.pitch_name:
            pitches.add(pitch)
    return (bass, *sorted(pitches))


def _root_near(root: PitchName, bass: Pitch, parts: ChordParts) -> Pitch:
    """Root below a bass that is one of the chord's tones, above one that is not."""
    above = _at_or_above(root, bass)
    if any(degree_name(root, degree) == parts.bass for degree in parts.degrees if DEGREE_PARTS[degree][0] < 8):
        return Pitch.of(above.step, above.alter, above.octave - 1)
    return above


def _at_or_above(name: PitchName, low: Pitch) -> Pitch:
    """First pitch of a name that lies no lower than `low`, on the staff and in sound."""
    pitch = Pitch.of(name.step, name.alter, low.octave - 1)
    while pitch.chromatic < low.chromatic or pitch.diatonic < low.diatonic:
        pitch = Pitch.of(pitch.step, pitch.alter, pitch.octave + 1)
    return pitch
