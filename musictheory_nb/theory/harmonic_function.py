"""Harmonic function of a chord on a degree: tonic, predominant or dominant. One table.

Source: the usual account of North-American harmony courses and, for chords from the parallel minor and the dominants a
tritone away, of jazz harmony courses (common practice, no source). Where books differ the reason says so.
"""

from types import MappingProxyType
from typing import Final, NamedTuple

#: The functions, with what each means.
FUNCTIONS: Final = MappingProxyType(
    {
        "tonic": "at rest, or a substitute that prolongs rest",
        "predominant": "prepares the dominant (also called subdominant)",
        "dominant": "asks for the tonic",
        "other": "passing, neighbouring or otherwise without one of the three",
    }
)


class FunctionRow(NamedTuple):
    """One row: degree number and alteration against the major scale, mode, qualities, function, reason.

    `mode` is ``'major'``, ``'minor'`` or ``''`` for both; `quality` is ``'dominant'`` (major third and minor seventh),
    ``'diminished'`` (flat fifth), or ``''`` for any.
    """

    number: int
    alter: int
    mode: str
    quality: str
    function: str
    reason: str


#: Function by degree; the first row that fits counts.
FUNCTION_ROWS: Final = (
    FunctionRow(1, 0, "", "dominant", "tonic", "a tonic with a blue seventh; where it leads to IV it is V7/IV"),
    FunctionRow(1, 0, "", "diminished", "other", "a common-tone diminished seventh ornaments the tonic"),
    FunctionRow(1, 0, "", "", "tonic", "holds the tonic in the bass or root"),
    FunctionRow(2, -1, "", "dominant", "dominant", "shares its tritone with V7: a tritone substitute"),
    FunctionRow(2, -1, "", "", "predominant", "the Neapolitan prepares the dominant"),
    FunctionRow(2, 0, "", "", "predominant", "holds the fourth and, in inversion, leads to the dominant"),
    FunctionRow(2, 1, "", "diminished", "other", "passing or common-tone diminished seventh between 2 and 3"),
    FunctionRow(3, 0, "", "", "tonic", "shares two notes with the tonic"),
    FunctionRow(3, -1, "", "diminished", "other", "passing diminished seventh between 3 and 2"),
    FunctionRow(3, -1, "", "", "tonic", "shares two notes with the minor tonic"),
    FunctionRow(4, 0, "", "", "predominant", "the subdominant prepares the dominant"),
    FunctionRow(4, 1, "", "diminished", "predominant", "its root leads to the dominant: as vii°7/V"),
    FunctionRow(5, 0, "", "", "dominant", "the dominant; without leading tone a weak one"),
    FunctionRow(6, 0, "major", "dominant", "predominant", "leads to ii or V: as V7/ii"),
    FunctionRow(6, 0, "minor", "", "predominant", "the raised sixth leads to the leading tone"),
    FunctionRow(6, 0, "", "", "tonic", "shares two notes with the tonic and stands for it after the dominant"),
    FunctionRow(6, -1, "minor", "", "tonic", "shares two notes with the tonic and stands for it after the dominant"),
    FunctionRow(6, -1, "", "", "predominant", "borrowed: its sixth degree leads down to the dominant"),
    FunctionRow(7, 0, "", "", "dominant", "holds the leading tone"),
    FunctionRow(7, -1, "minor", "", "dominant", "the subtonic chord: dominant of III, and in modal music of i"),
    FunctionRow(7, -1, "", "", "predominant", "borrowed subtonic: holds the minor sixth degree or stands for iv"),
)
_BY_DEGREE: Final = MappingProxyType(
    {
        place: tuple(row for row in FUNCTION_ROWS if (row.number, row.alter) == place)
        for place in {(row.number, row.alter) for row in FUNCTION_ROWS}
    }
)
_NONE: Final = FunctionRow(0, 0, "", "", "other", "its root has no function of its own in the key")


def function_row(number: int, alter: int, degrees: tuple[str, ...], is_minor: bool) -> FunctionRow:
    """Row of the table that a chord falls under.

    Parameters
    ----------
    number, alter : int
        Degree of the root: number, and alteration in semitones against the major scale on the tonic.
    degrees : tuple of str
        Degrees of the chord above its root.
    is_minor : bool
        Whether the key is minor.

    Examples
    --------
    >>> function_row(2, -1, ("1", "3", "5", "b7"), False).reason
    'shares its tritone with V7: a tritone substitute'
    """
    quality = (
        "dominant"
        if "3" in degrees and "b7" in degrees
        else "diminished"
        if "b5" in degrees and "b3" in degrees
        else ""
    )
    mode = "minor" if is_minor else "major"
    for row in _BY_DEGREE.get((number, alter), ()):
        if row.mode in ("", mode) and row.quality in ("", quality):
            return row
    return _NONE


def function_name(number: int, alter: int, degrees: tuple[str, ...], is_minor: bool) -> str:
    """Function of a chord on a degree: ``'tonic'``, ``'predominant'``, ``'dominant'`` or ``'other'``.

    Examples
    --------
    >>> function_name(5, 0, ("1", "3", "5"), False), function_name(6, -1, ("1", "3", "5"), False)
    ('dominant', 'predominant')
    """
    return function_row(number, alter, degrees, is_minor).function
