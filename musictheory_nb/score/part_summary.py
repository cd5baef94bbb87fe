"""What each part of a piece does in all: its notes, range, and the bars in which it plays (`part_summaries`)."""

from dataclasses import dataclass

import numpy as np

from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.part import Part
from musictheory_nb.score.piece import Piece


@dataclass(frozen=True, slots=True)
class PartSummary:
    """One part.

    Parameters
    ----------
    part : Part
        The part.
    notes : int
        Notes struck, a chord's notes one by one; tied ones count once, grace notes not at all.
    lowest, highest : str or None
        Sounding pitches, such as ``'F#4'``; None where it has no pitches.
    lowest_midi, highest_midi : int or None
        The same as MIDI numbers.
    measures : int
        Measures in which it plays, as written.
    share : float
        The same as a share of the measures looked at, from 0 to 1.
    """

    part: Part
    notes: int
    lowest: str | None
    highest: str | None
    lowest_midi: int | None
    highest_midi: int | None
    measures: int
    share: float

    @property
    def range_words(self) -> str:
        """Its range in words: ``'G3 to D6'``."""
        return f"{self.lowest} to {self.highest}" if self.lowest else "no pitches"


def part_summaries(piece: Piece, first: int = 0, last: int | None = None) -> tuple[PartSummary, ...]:
    r"""Return a summary of every part over the measures `first` to `last` (indices, both included).

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> (only,) = part_summaries(load_score(b"X:1\nM:2/4\nL:1/4\nK:D\nDF|z2|A2|\n", cache=False))
    >>> only.notes, only.range_words, only.measures
    (3, 'D4 to A4', 2)
    """
    end = len(piece.measures) - 1 if last is None else last
    table = piece.joined_notes
    table = table.where(table.column("grace") == 0)
    found = []
    for part in piece.parts:
        notes = piece.notes_of(first, end, [part.index], table)
        # tied over barlines, a note plays on in measures in which it is not struck
        measures = len(np.unique(piece.notes_of(first, end, [part.index]).column("measure")))
        found.append(_summary(part, notes, measures, measures / (end - first + 1)))
    return tuple(found)


def _summary(part: Part, notes: NoteTable, measures: int, share: float) -> PartSummary:
    pitched = notes.where(notes.column("step") >= 0)
    if not len(pitched):
        return PartSummary(part, len(notes), None, None, None, None, measures, share)
    midi = pitched.chromatic
    low, high = (pitched.where(np.array([at]))[0].sounding for at in (midi.argmin(), midi.argmax()))
    assert low is not None
    assert high is not None
    return PartSummary(part, len(notes), low.name, high.name, int(midi.min()), int(midi.max()), measures, share)
