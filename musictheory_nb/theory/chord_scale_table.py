"""Which scales are taught with which chords: the table ``chord_scale.tsv`` beside this file, and how it is searched.

The file says in its head what each column holds and where the pairs are taught.
"""

from collections.abc import Collection
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby
from pathlib import Path
from typing import Final

from musictheory_nb.theory.scale_catalogue import ScaleType, scale_type

_FILE: Final = Path(__file__).with_name("chord_scale.tsv")


@dataclass(frozen=True, slots=True)
class Pairing:
    """A scale that is taught with a kind of chord.

    Parameters
    ----------
    kind : ScaleType
        The scale, on the chord's root.
    tensions, avoid : tuple of str or None
        Degrees as they are taught; None where the rule of the table's head decides.
    disputed : tuple of str
        Degrees on which teachers differ.
    why : str
        One or two sentences, notes as degrees in square brackets; may be empty.
    """

    kind: ScaleType
    tensions: tuple[str, ...] | None = None
    avoid: tuple[str, ...] | None = None
    disputed: tuple[str, ...] = ()
    why: str = ""


@dataclass(frozen=True, slots=True)
class PairingRow:
    """A kind of chord, maybe in one place of a progression, and the scales taught with it in order of preference.

    Parameters
    ----------
    chord : str
        What the row is called.
    context : str
        The place of the progression that it is for; empty for any.
    holds : tuple of frozenset of str
        Of each set, the chord has a degree.
    lacks : frozenset of str
        Degrees that the chord does not have.
    pairings : tuple of Pairing
        The scales.
    """

    chord: str
    context: str
    holds: tuple[frozenset[str], ...]
    lacks: frozenset[str]
    pairings: tuple[Pairing, ...]

    def fits(self, degrees: Collection[str]) -> bool:
        """Whether a chord of these degrees meets the conditions."""
        return all(any(d in degrees for d in group) for group in self.holds) and not any(
            d in degrees for d in self.lacks
        )


def _degrees(cell: str) -> tuple[str, ...] | None:
    if not cell:
        return None
    return () if cell == "-" else tuple(cell.split())


def _pairing(cells: dict[str, str]) -> Pairing:
    return Pairing(
        scale_type(cells["scale"]),
        _degrees(cells["tensions"]),
        _degrees(cells["avoid"]),
        tuple(cells["disputed"].split()),
        cells["why"],
    )


@lru_cache(maxsize=1)
def pairing_rows() -> tuple[PairingRow, ...]:
    """All rows of the table, in the order in which they are tried.

    Examples
    --------
    >>> row = next(row for row in pairing_rows() if row.chord == "7alt")
    >>> [pairing.kind.name for pairing in row.pairings]
    ['altered']
    """
    lines = [line for line in _FILE.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    head = lines[0].split("\t")
    cells = [dict(zip(head, line.split("\t"), strict=True)) for line in lines[1:]]
    rows = []
    for (chord, context), group in groupby(cells, key=lambda row: (row["chord"], row["context"])):
        members = list(group)
        holds = tuple(frozenset(token.split("|")) for token in members[0]["holds"].split())
        lacks = frozenset(members[0]["lacks"].split())
        rows.append(PairingRow(chord, context, holds, lacks, tuple(_pairing(row) for row in members)))
    return tuple(rows)


def taught_with(degrees: Collection[str], context: str = "") -> tuple[Pairing, ...]:
    """Scales taught with a chord of these degrees in this context, in order of preference; empty if there is no row.

    Examples
    --------
    >>> [pairing.kind.name for pairing in taught_with(("1", "3", "5", "7", "#11"))]
    ['Lydian']
    >>> [pairing.kind.name for pairing in taught_with(("1", "3", "5", "b7"), "V of minor")][0]
    'Phrygian dominant'
    """
    row = next((row for row in pairing_rows() if row.context == context and row.fits(degrees)), None)
    return row.pairings if row else ()
