"""One finding about a piece: a device, where it is, in which parts, and the notes that prove it (`Finding`)."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, TypeAlias

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.finding_kind import FINDING_KINDS, GROUPS, FindingKind
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import bars_text

__all__ = ["FINDING_KINDS", "GROUPS", "JSON", "Finding", "FindingKind", "finding"]

JSON: TypeAlias = "bool | int | float | str | list[JSON] | dict[str, JSON] | None"
_NOTHING: Final[Mapping[str, JSON]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Finding:
    """One device of a piece.

    Parameters
    ----------
    name : str
        A term of the trade: one of `FINDING_KINDS`, which says what it means.
    first, last : int
        Indices of its measures as written, both included.
    first_number, last_number : str
        Their numbers, as players count.
    parts : tuple of str
        Names of the parts that make it; none for what concerns the bars alone.
    notes : tuple of int
        Rows of the piece's `notes` that prove it; none for what concerns the bars alone.
    sentence : str
        What happens where, in one plain sentence.
    confidence : float
        From 0 to 1.
    details : mapping
        Small plain data on which a lesson can build a question: ``{"interval": "d5"}``, ``{"turns": [4, 4]}``.

    Raises
    ------
    ScoreError
        No such name, or numbers that cannot be.

    Examples
    --------
    >>> one = Finding("tritone leap", 2, 2, "3", "3", ("Oboe",), (8, 9), "Bar 3: Oboe leaps from B4 to F5.", 0.9)
    >>> one.measures, one.group
    (('3', '3'), 'intervals')
    >>> Finding("wolf note", 2, 2, "3", "3", (), (), "", 0.9)
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: finding 'wolf note'; allowed: tritone leap, outlined tritone, chromatic line, ...
    """

    name: str
    first: int
    last: int
    first_number: str
    last_number: str
    parts: tuple[str, ...]
    notes: tuple[int, ...]
    sentence: str
    confidence: float
    details: Mapping[str, JSON] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        if self.name not in FINDING_KINDS:
            raise ScoreError(f"finding {self.name!r}; allowed: {', '.join(FINDING_KINDS)}")
        if not 0 <= self.first <= self.last:
            raise ScoreError(f"finding {self.name!r}: measures {self.first} to {self.last}")
        if not 0 <= self.confidence <= 1:
            raise ScoreError(f"finding {self.name!r}: confidence {self.confidence}; it lies between 0 and 1")
        object.__setattr__(self, "details", MappingProxyType(dict(self.details)))

    @property
    def measures(self) -> tuple[str, str]:
        """Numbers of its first and last measure, as players count."""
        return self.first_number, self.last_number

    @property
    def group(self) -> str:
        """What it is about: one of `GROUPS`."""
        return FINDING_KINDS[self.name].group


def finding(
    score: Score,
    name: str,
    measures: tuple[int, int],
    told: str,
    confidence: float,
    *,
    parts: Sequence[int] = (),
    notes: Iterable[int] = (),
    details: Mapping[str, JSON] = _NOTHING,
) -> Finding:
    """Return a finding about measures and parts given by index; its sentence is `told`, with the bars before it.

    Of `notes` those in its measures are kept.
    """
    first, last = measures
    at = score.notes.column("measure")
    rows = sorted({row for row in notes if first <= at[row] <= last})
    sentence = f"{bars_text(score, first, last)}: {told}"
    return Finding(
        name,
        first,
        last,
        score.measures[first].number,
        score.measures[last].number,
        tuple(score.parts[part].name for part in parts),
        tuple(rows),
        sentence[0].upper() + sentence[1:] + "." * (not sentence.endswith((".", "!", "?"))),
        round(min(max(confidence, 0.0), 1.0), 2),
        details,
    )
