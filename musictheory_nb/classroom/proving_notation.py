"""The notation of a finding: its bars and parts, as far as they fit, with the notes that prove it ringed."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from musictheory_nb.classroom.frozen_excerpt import freeze_measures, staff_columns
from musictheory_nb.errors import ScoreError
from musictheory_nb.media.engraving import Engraving, engrave
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.score.finding import Finding
from musictheory_nb.score.note_table import Note
from musictheory_nb.score.piece import Piece

#: Most staves that are shown, and most measures with so many staves or fewer.
MOST_STAVES: Final = 6
_MOST_MEASURES: Final = ((1, 8), (2, 5), (4, 4), (MOST_STAVES, 3))


@dataclass(frozen=True, slots=True)
class ProvingNotation:
    """Notation of a finding.

    Parameters
    ----------
    engraving : Engraving
        The picture and its words.
    shown : str
        What of it is shown, where that is not all: ``'Bars 1-6 of 1-14; 4 of 20 parts.'``
    is_marked : bool
        Notes are ringed.
    """

    engraving: Engraving
    shown: str
    is_marked: bool


def proving_notation(piece: Piece, finding: Finding) -> ProvingNotation:
    """Return the notation of a finding.

    Raises
    ------
    ScoreError
        Its parts have no pitches.
    MediaError
        The music cannot be written.
    """
    wanted = _parts(piece, finding)
    parts = _fitting(piece, wanted, finding)
    staves = sum(piece.parts[part].staves for part in parts)
    proofs = [note for note in map(piece.notes.__getitem__, finding.notes) if note.part in parts]
    first = max(min((note.measure for note in proofs), default=finding.first), finding.first)
    first = min(first, finding.last)
    most = next((most for count, most in _MOST_MEASURES if staves <= count), _MOST_MEASURES[-1][1])
    last = min(finding.last, first + most - 1)
    excerpt = freeze_measures(piece, first, last, parts)
    marked = _marked(excerpt, staff_columns(piece, parts), proofs, first)
    return ProvingNotation(
        engrave(excerpt, marked=sorted(marked)), _shown(piece, finding, first, last, parts, wanted), bool(marked)
    )


def _parts(piece: Piece, finding: Finding) -> list[int]:
    """Parts that make the finding, by their notes, else by name; all where it concerns the bars alone."""
    pitched = [part.index for part in piece.parts if not part.is_unpitched and not part.is_empty]
    proving = {piece.notes[row].part for row in finding.notes}
    named = {part.index for part in piece.parts if part.name in finding.parts}
    chosen = [part for part in pitched if part in (proving or named)]
    return chosen or pitched


def _fitting(piece: Piece, wanted: Sequence[int], finding: Finding) -> list[int]:
    """Those of the parts that fit: the upper ones of those that play most, and always at least one."""
    if not wanted:
        raise ScoreError("this score has no part with pitches to show")
    kept: list[int] = []
    staves = 0
    busy = {part: len(piece.notes_of(finding.first, finding.last, [part])) for part in wanted}
    for part in sorted(wanted, key=lambda part: (-min(busy[part], 1), part)):
        if kept and staves + piece.parts[part].staves > MOST_STAVES:
            continue
        kept.append(part)
        staves += piece.parts[part].staves
    return sorted(kept)


def _marked(
    excerpt: Excerpt, columns: dict[tuple[int, int], int], proofs: Sequence[Note], first: int
) -> frozenset[int]:
    """Indices of the notes of an excerpt that the proving notes became."""
    places: dict[tuple[int, int, object], list[int]] = {}
    for at, note in enumerate(excerpt.notes):
        if note.pitches:
            places.setdefault((note.part, note.measure, note.onset), []).append(at)
    found = set()
    for proof in proofs:
        here = places.get((columns.get((proof.part, proof.staff), -1), proof.measure - first, proof.onset), [])
        name = proof.written.name if proof.written is not None else ""
        fitting = [at for at in here if name in excerpt.notes[at].pitches] or here
        exact = [at for at in fitting if excerpt.notes[at].duration == proof.duration] or fitting
        found.update(exact[:1])
    return frozenset(found)


def _shown(piece: Piece, finding: Finding, first: int, last: int, parts: Sequence[int], wanted: Sequence[int]) -> str:
    told = []
    if (first, last) != (finding.first, finding.last):
        numbers = f"{piece.measures[first].number}-{piece.measures[last].number}"
        told.append(f"bars {numbers} of {finding.first_number}-{finding.last_number}")
    if len(parts) < len(wanted):
        told.append(f"{len(parts)} of {len(wanted)} parts")
    return f"Shown: {'; '.join(told)}." if told else ""
