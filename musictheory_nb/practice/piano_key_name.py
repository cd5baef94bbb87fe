"""Names of piano keys, whose spelling nobody knows."""

from typing import Final

#: By pitch class; black keys by both names.
_KEY_NAMES: Final = ("C", "C♯/D♭", "D", "D♯/E♭", "E", "F", "F♯/G♭", "G", "G♯/A♭", "A", "A♯/B♭", "B")


def key_name(midi: int) -> str:
    """Return the name of a piano key with its octave.

    Examples
    --------
    >>> key_name(60), key_name(70)
    ('C4', 'A♯4/B♭4')
    """
    octave = midi // 12 - 1
    return "/".join(f"{name}{octave}" for name in _KEY_NAMES[midi % 12].split("/"))
