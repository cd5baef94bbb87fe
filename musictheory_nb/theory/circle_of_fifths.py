"""The circle of fifths."""

from musictheory_nb.theory.key import Key


def circle_of_fifths(mode: str = "major") -> tuple[Key, ...]:
    """Twelve keys by rising fifths, from no accidentals to six sharps, then five flats to one.

    Raises
    ------
    KeyNameError
        No such mode.

    Examples
    --------
    >>> [k.tonic.name for k in circle_of_fifths()]
    ['C', 'G', 'D', 'A', 'E', 'B', 'F#', 'Db', 'Ab', 'Eb', 'Bb', 'F']
    >>> [k.tonic.name for k in circle_of_fifths("minor")]
    ['A', 'E', 'B', 'F#', 'C#', 'G#', 'D#', 'Bb', 'F', 'C', 'G', 'D']
    """
    return tuple(Key.from_fifths(fifths, mode) for fifths in (*range(7), *range(-5, 0)))
