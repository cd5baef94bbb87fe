"""Which tones of a chord players may leave out, and which they do leave out as a rule: one table.

The table speaks of the usual comping and part-writing practice: root, third and seventh make the chord, an altered
tone is the reason why the symbol was written, a perfect fifth adds least (common practice, no source).
"""

from collections.abc import Collection
from typing import Final, NamedTuple

_SEVENTHS: Final = ("b7", "7", "bb7")


class OptionalTone(NamedTuple):
    """One row of the policy: `degree` may be left out of a chord that meets the conditions.

    Attributes
    ----------
    degree : str
        The tone in question.
    fewest : int
        Least number of tones of the chord.
    needs : tuple of tuple of str
        Of each group the chord has at least one degree.
    without : tuple of str
        Degrees that the chord does not have.
    usually : bool
        Whether players leave it out as a rule, not only where fingers or voices are short.
    reason : str
        Why, in a sentence that can be shown.
    """

    degree: str
    fewest: int
    needs: tuple[tuple[str, ...], ...]
    without: tuple[str, ...]
    usually: bool
    reason: str


_ALTERED: Final = (("b7",), ("b9",), ("#9",), ("#11",), ("b13",))

#: The policy. Only chords of five or more tones have optional tones.
OPTIONAL_TONES: Final = (
    OptionalTone("5", 5, (), (), False, "the perfect fifth adds least to a chord of five or more tones"),
    OptionalTone("9", 5, (_SEVENTHS, ("11", "13")), (), False, "the ninth below an eleventh or thirteenth is filling"),
    OptionalTone("11", 5, (_SEVENTHS, ("13",), ("3",)), (), True, "the natural eleventh clashes with the major third"),
    OptionalTone("11", 5, (_SEVENTHS, ("13",), ("b3",)), (), False, "the eleventh below a thirteenth is filling"),
    OptionalTone("3", 5, (_SEVENTHS, ("9", "b9", "#9"), ("11",)), ("13",), True, "it clashes with the eleventh"),
    *(
        OptionalTone(degree, 5, _ALTERED, ("5",), False, "players choose among the altered tensions")
        for degree in ("b9", "#9", "#11", "b13")
    ),
)
_FEWEST: Final = min(row.fewest for row in OPTIONAL_TONES)


def optional_rows(degrees: Collection[str]) -> tuple[OptionalTone, ...]:
    """Rows of the policy that hold for a chord.

    Examples
    --------
    >>> [row.degree for row in optional_rows(("1", "3", "5", "b7", "9", "11", "13"))]
    ['5', '9', '11']
    >>> optional_rows(("1", "3", "5", "b7"))
    ()
    """
    size = len(degrees)
    if size < _FEWEST:
        return ()
    return tuple(
        row
        for row in OPTIONAL_TONES
        if row.degree in degrees
        and size >= row.fewest
        and not any(degree in degrees for degree in row.without)
        and all(any(degree in degrees for degree in group) for group in row.needs)
    )


def optional_degrees(degrees: Collection[str]) -> tuple[str, ...]:
    """Degrees that players may leave out.

    Examples
    --------
    >>> optional_degrees(("1", "3", "b7", "b9", "#9", "#11", "b13"))
    ('b9', '#9', '#11', 'b13')
    """
    if len(degrees) < _FEWEST:
        return ()
    return tuple(row.degree for row in optional_rows(degrees))


def usually_omitted(degrees: Collection[str]) -> tuple[str, ...]:
    """Degrees that players leave out as a rule.

    Examples
    --------
    >>> usually_omitted(("1", "3", "5", "b7", "9", "11", "13")), usually_omitted(("1", "3", "5", "b7", "9", "11"))
    (('11',), ('3',))
    """
    return tuple(row.degree for row in optional_rows(degrees) if row.usually)
