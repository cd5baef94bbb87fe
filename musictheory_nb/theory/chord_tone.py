"""The tones of a chord (`Tone`): degree, spelled name, and whether players may leave it out."""

from typing import Final, NamedTuple

from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, DEGREE_PARTS, TEXTS_BY_FIFTHS, ChordParts
from musictheory_nb.theory.chord_optional import optional_degrees
from musictheory_nb.theory.chord_quality import QUALITIES
from musictheory_nb.theory.pitch_name import PitchName


class Tone(NamedTuple):
    """One tone of a chord.

    Attributes
    ----------
    degree : str
        Counted from the root: ``'1'``, ``'b7'``, ``'#11'``.
    name : str
        Spelled name, such as ``'Bb'``.
    optional : bool
        Whether players may leave it out (`chord_optional.OPTIONAL_TONES`).
    """

    degree: str
    name: str
    optional: bool

    @property
    def pitch_name(self) -> PitchName:
        """The name as a `PitchName`."""
        return PitchName(self.name)


def _outline(degrees: tuple[str, ...]) -> tuple[tuple[str, int, bool], ...]:
    """Degree, distance from the root on the line of fifths, and whether it is optional, of every tone."""
    optional = optional_degrees(degrees)
    return tuple((degree, DEGREE_FIFTHS[degree], degree in optional) for degree in degrees)


#: The same for the named qualities, written out once.
_OUTLINES: Final = {row.degrees: _outline(row.degrees) for row in QUALITIES}
_new: Final = tuple.__new__


def chord_tones(parts: ChordParts) -> tuple[Tone, ...]:
    """Every tone of a chord in the order of its degrees.

    A seventh in the bass of a triad is a tone of the chord; another foreign bass note is not.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> [tone.name for tone in chord_tones(read_chord_symbol("D/C"))]
    ['D', 'F#', 'A', 'C']
    """
    root, degrees, bass = parts
    if root is None or bass is None:
        return ()
    base = root.fifths
    outline = _OUTLINES.get(degrees) or _outline(degrees)
    tones = tuple([_new(Tone, (d, TEXTS_BY_FIFTHS[base + fifths], optional)) for d, fifths, optional in outline])
    if bass is not root and (seventh := seventh_in_bass(parts)):
        return (*tones, Tone(seventh, bass.name, False))
    return tones


def seventh_in_bass(parts: ChordParts) -> str:
    """Degree of a bass that makes a seventh chord of a triad, or an empty text.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_symbol import read_chord_symbol
    >>> seventh_in_bass(read_chord_symbol("D/C")), seventh_in_bass(read_chord_symbol("D/E"))
    ('b7', '')
    """
    root, degrees, bass = parts
    if root is None or bass is None or any(DEGREE_PARTS[degree][0] > 5 for degree in degrees):
        return ""
    distance = bass.fifths - root.fifths
    sevenths = ("bb7",) if "b5" in degrees and "b3" in degrees else ()
    return next((degree for degree in ("b7", "7", *sevenths) if DEGREE_FIFTHS[degree] == distance), "")
