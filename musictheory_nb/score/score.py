"""A score as a table of notes, with measures, parts and marks (`Score`).

Conventions: everything here is as written; `Score.played` gives the measures in the order in which players play
them. Measures and parts are named by index, from 0; people name measures by number (`Score.measure_index`).
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property

import numpy as np

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.part import Part
from musictheory_nb.score.played_order import play_order
from musictheory_nb.score.played_score import lasting_marks, played_events, played_marks, played_measures
from musictheory_nb.score.score_mark import (
    ChordSymbol,
    Clef,
    KeySignature,
    RehearsalMark,
    TempoMark,
    Transposition,
    Words,
)
from musictheory_nb.score.section_order import sections_played
from musictheory_nb.score.tie import joined


@dataclass(frozen=True, eq=False)
class Score:
    """A score, read from a file.

    Parameters
    ----------
    title, composer, source : str
        As the file names them; `source` is the file's name.
    digest : str
        ``'sha256:…'`` over the bytes that were read, or ``''``.
    parts, measures : tuple
        See `Part` and `Measure`.
    events : NoteTable
        Notes, rests and cue notes.
    chord_symbols, rehearsal_marks, tempos, key_signatures, clefs, transpositions, words : tuple
        What else stands in the score, each at its measure and onset.
    notices : tuple of str
        What was odd about the file and how it was taken: an empty part, a bracket with no end.
    section_order : tuple of (int, int, bool)
        First and last measure of the sections as they are played, and whether their repeats are taken, where the file
        states that; else ``()``.
    """

    title: str
    composer: str
    source: str
    digest: str
    parts: tuple[Part, ...]
    measures: tuple[Measure, ...]
    events: NoteTable = field(repr=False)
    chord_symbols: tuple[ChordSymbol, ...] = field(default=(), repr=False)
    rehearsal_marks: tuple[RehearsalMark, ...] = field(default=(), repr=False)
    tempos: tuple[TempoMark, ...] = field(default=(), repr=False)
    key_signatures: tuple[KeySignature, ...] = field(default=(), repr=False)
    clefs: tuple[Clef, ...] = field(default=(), repr=False)
    transpositions: tuple[Transposition, ...] = field(default=(), repr=False)
    words: tuple[Words, ...] = field(default=(), repr=False)
    notices: tuple[str, ...] = ()
    section_order: tuple[tuple[int, int, bool], ...] = ()

    @cached_property
    def notes(self) -> NoteTable:
        """The notes that are played, pitched and unpitched, tied ones one by one."""
        return self.events.of_kind("note", "unpitched")

    @cached_property
    def rests(self) -> NoteTable:
        """The rests."""
        return self.events.of_kind("rest")

    @property
    def length(self) -> Fraction:
        """Quarters from the start to the end, as written."""
        return self.measures[-1].end

    @cached_property
    def joined_notes(self) -> NoteTable:
        """The notes that are played, each chain of tied notes as one."""
        return joined(self.notes)

    @cached_property
    def play_order(self) -> tuple[int, ...]:
        """Indices of the measures in the order in which players play them (`played_order`)."""
        return sections_played(self.measures, self.section_order) if self.section_order else play_order(self.measures)

    def played(self) -> "Score":
        """Return the score as it is played: repeats, endings, D.C., D.S. and coda unrolled.

        Its measures keep their numbers and say which measure was written (`Measure.written`) and the how-manieth time
        it is played (`Measure.time`); starts count from the first note played.

        Raises
        ------
        ScoreError
            The repeats make it longer than `played_order.MAX_PLAYED` measures.
        """
        return self._played

    @cached_property
    def _played(self) -> "Score":
        order = self.play_order
        measures = played_measures(self.measures, order)
        starts = [measure.start for measure in measures]
        return replace(
            self,
            measures=measures,
            events=played_events(self.events, order, starts),
            chord_symbols=played_marks(self.chord_symbols, order, starts),
            rehearsal_marks=played_marks(self.rehearsal_marks, order, starts),
            tempos=lasting_marks(self.tempos, order, starts, lambda mark: 0),
            key_signatures=lasting_marks(self.key_signatures, order, starts, lambda mark: mark.part),
            clefs=lasting_marks(self.clefs, order, starts, lambda mark: (mark.part, mark.staff)),
            transpositions=lasting_marks(self.transpositions, order, starts, lambda mark: mark.part),
            words=played_marks(self.words, order, starts),
            section_order=(),
        )

    def measure_index(self, number: str | int) -> int:
        """Return the index of the first measure with this number, as players count.

        Raises
        ------
        ScoreError
            No measure has that number.
        """
        for measure in self.measures:
            if measure.number == str(number):
                return measure.index
        first, last = self.measures[0].number, self.measures[-1].number
        raise ScoreError(f"measure {str(number)!r}: this score has the measures {first} to {last}")

    def part_index(self, part: str | int) -> int:
        """Return the index of a part by its name or its index.

        Raises
        ------
        ScoreError
            There is no such part, or several of that name.
        """
        names = ", ".join(f"{p.index} {p.name!r}" for p in self.parts)
        if isinstance(part, int):
            if 0 <= part < len(self.parts):
                return part
            raise ScoreError(f"part {part}: this score has the parts {names}")
        found = [p.index for p in self.parts if p.name == part] or [
            p.index for p in self.parts if p.name.casefold() == part.strip().casefold()
        ]
        if len(found) == 1:
            return found[0]
        many = f" is the name of {len(found)} parts; write the index" if found else ""
        raise ScoreError(f"part {part!r}{many}: this score has the parts {names}")

    def notes_of(
        self, first: int = 0, last: int | None = None, parts: Sequence[int] = (), table: NoteTable | None = None
    ) -> NoteTable:
        """Return the notes of the measures `first` to `last` (indices, both included), of all parts or of `parts`."""
        table = self.notes if table is None else table
        measure = table.column("measure")
        mask = (measure >= first) & (measure <= (len(self.measures) - 1 if last is None else last))
        if parts:
            mask &= np.isin(table.column("part"), list(parts))
        return table.where(mask)

    def key_signature_at(self, start: Fraction | int, part: int = 0) -> KeySignature | None:
        """Return the key signature of a part at so many quarters from the start; None before any."""
        found = None
        for key in self.key_signatures:
            if key.part == part and key.start <= start:
                found = key
        return found

    def __repr__(self) -> str:
        parts = f"{len(self.parts)} part{'s' * (len(self.parts) != 1)}"
        return (
            f"<{type(self).__name__} {self.title!r}: {parts}, {len(self.measures)} measures, {len(self.notes)} notes>"
        )
