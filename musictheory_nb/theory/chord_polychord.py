"""Polychords: one chord over another, written ``D/C7`` or ``D|C7``, as the tones of both over the root of the lower.

The tones that the upper chord brings keep their spelling and are counted on the root of the lower one, as tensions:
its 2, 4 and 6 are 9, 11 and 13, an altered root is an octave (``#8``), a second third a tenth (``b10``).
"""

from typing import Final

from musictheory_nb.theory.chord_degree import (
    DEGREE_FIFTHS,
    DEGREE_PARTS,
    DEGREE_TEXT,
    NAMES_BY_FIFTHS,
    ChordParts,
    degree_between,
    degree_name,
    in_order,
)
from musictheory_nb.theory.pitch_name import PitchName

#: Numbers of the tensions that stand for the simple degrees above a chord.
_TENSIONS: Final = {1: 8, 2: 9, 3: 10, 4: 11, 5: 12, 6: 13}
_UPPER_ROOTS: Final = tuple(DEGREE_TEXT[number, alter] for number in (2, 3, 4, 5, 6, 7, 1) for alter in (0, -1, 1))
_TRIADS: Final = {"": ("1", "3", "5"), "m": ("1", "b3", "5"), "dim": ("1", "b3", "b5"), "aug": ("1", "3", "#5")}


def merge_chords(upper: ChordParts, lower: ChordParts) -> ChordParts:
    """Parts of the polychord that `upper` over `lower` makes.

    Raises
    ------
    ChordError
        A tone of the upper chord is more than two alterations from any degree of the lower one.

    Examples
    --------
    >>> from musictheory_nb.theory.chord_degree import ChordParts
    >>> c, d = PitchName("C"), PitchName("D")
    >>> merge_chords(ChordParts(d, ("1", "3", "5"), d), ChordParts(c, ("1", "3", "5", "b7"), c)).degrees
    ('1', '3', '5', 'b7', '9', '#11', '13')
    """
    root = lower.root
    assert root is not None
    assert upper.root is not None
    degrees = list(lower.degrees)
    there = {DEGREE_FIFTHS[degree] for degree in degrees}
    for degree in upper.degrees:
        above = degree_between(root, degree_name(upper.root, degree))
        if DEGREE_FIFTHS[above] not in there and above != "1":
            degrees.append(raised_degree(above))
    return ChordParts(root, in_order(degrees), lower.bass)


def raised_degree(degree: str) -> str:
    """Tension that stands for a simple degree above a chord; sevenths stay.

    Examples
    --------
    >>> raised_degree("2"), raised_degree("#1"), raised_degree("b7")
    ('9', '#8', 'b7')
    """
    number, alter = DEGREE_PARTS[degree]
    return DEGREE_TEXT[_TENSIONS.get(number, number), alter]


def split_polychord(root: PitchName, degrees: tuple[str, ...]) -> tuple[str, tuple[str, ...]] | None:
    """Upper triad, and degrees of the lower chord, that `merge_chords` puts together to these degrees; or None.

    The lower chord has no tension; of several upper triads the one with the lowest root above its root is taken.

    Examples
    --------
    >>> split_polychord(PitchName("C"), ("1", "3", "5", "#8", "#11", "#13"))
    ('F#', ('1', '3', '5'))
    >>> split_polychord(PitchName("C"), ("1", "3", "5", "b7", "b10", "#13")) is None
    True
    """
    low = tuple(degree for degree in degrees if DEGREE_PARTS[degree][0] < 8)
    if "1" not in low:
        return None
    lower = ChordParts(root, low, root)
    sounding = {DEGREE_FIFTHS[degree] for degree in degrees}
    for distance in (DEGREE_FIFTHS[degree] for degree in _UPPER_ROOTS):
        for suffix, triad in _TRIADS.items():
            if {distance + DEGREE_FIFTHS[degree] for degree in triad} <= sounding:
                upper_root = NAMES_BY_FIFTHS[root.fifths + distance]
                if merge_chords(ChordParts(upper_root, triad, upper_root), lower).degrees == degrees:
                    return upper_root.name + suffix, low
    return None
