"""One voice of a dictation: what was played, the staff on which it is written, how an answer stands against it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property

from musictheory_nb.practice.aligned_distance import Alignment, LineNote, SlipCosts
from musictheory_nb.practice.dictation_line import (
    OCTAVE_COST,
    align_melody,
    notes_data,
    notes_from_data,
    notes_of_rows,
)
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.metric_cut import metric_pieces, metric_rows
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.slip_words import Barring
from musictheory_nb.practice.staff_input import Row, StaffInput
from musictheory_nb.practice.staff_rows import staff_excerpt


@dataclass(frozen=True, slots=True)
class JudgedVoice:
    """How an answer stands against a voice.

    Parameters
    ----------
    alignment : Alignment
        Note against note; its cost counts the octave, too.
    octaves : int
        By how many octaves the answer is off as a whole.
    asked : int
        How many notes and rests the student was to write.
    """

    alignment: Alignment
    octaves: int
    asked: int


@dataclass(frozen=True)
class DictatedVoice:
    """One voice.

    Parameters
    ----------
    notes : tuple of LineNote
        Its notes and rests, as written.
    metre : str
        Such as ``'6/8'``.
    measures : int
        How many.
    grouping : tuple of int
        Of an odd metre.
    clef : str
        Of the staff.
    fifths : int
        Key signature.
    shown : int
        How many of the notes are given at the start.
    transposition : str
        What the notes are written for.

    Examples
    --------
    >>> from musictheory_nb.practice.dictation_line import line_notes
    >>> voice = DictatedVoice(line_notes([("C4", Fraction(3)), ("D4", Fraction(2)), ("C4", Fraction(3))]), "4/4", 2, shown=1)
    >>> voice.answer_rows
    [[['D4'], '1', True], [['D4'], '1', False], [['C4'], '3', False]]
    >>> voice.judged(voice.answer_rows[:2], SlipCosts(), False).alignment.cost
    1.0
    """

    notes: tuple[LineNote, ...]
    metre: str
    measures: int
    grouping: tuple[int, ...] = ()
    clef: str = "treble"
    fifths: int = 0
    shown: int = 0
    transposition: str = ""

    @classmethod
    def of_key(cls, key: Mapping[str, JSON], voice: Mapping[str, JSON] | None = None) -> "DictatedVoice":
        """Read what `key_data` writes; of several voices, that of `voice`."""
        voice = key if voice is None else voice
        return cls(
            notes_from_data(voice["notes"]),
            key["metre"],
            key["measures"],
            tuple(key["grouping"]),
            voice["clef"],
            key["fifths"],
            voice["shown"],
        )

    @property
    def key_data(self) -> dict[str, JSON]:
        """What an item's key holds of a voice, beside metre, measures, grouping and signature."""
        return {"notes": notes_data(self.notes), "clef": self.clef, "shown": self.shown}

    @cached_property
    def rows(self) -> list[JSON]:
        """All notes as rows of a staff."""
        return metric_rows(self.notes, self.metre, self.grouping)

    @cached_property
    def given_rows(self) -> int:
        """How many rows are given at the start."""
        shown = self.notes[: self.shown]
        pieces = (metric_pieces(n.onset, n.quarters, self.metre, self.grouping, is_rest=not n.pitch) for n in shown)
        return sum(map(len, pieces))

    @property
    def answer_rows(self) -> list[JSON]:
        """The rows that the student is to write."""
        return self.rows[self.given_rows :]

    def staff(self, id: str = "staff") -> StaffInput:
        """Return the staff on which it is written."""
        given = tuple((tuple(row[0]), row[1], row[2]) for row in self.rows[: self.given_rows])
        return StaffInput(
            self.clef,
            self.fifths,
            self.metre,
            self.measures,
            given=given,
            transposition=self.transposition,
            id=id,
        )

    @property
    def barring(self) -> Barring:
        """Its measures."""
        return Barring(self.metre, self.measures, grouping=self.grouping)

    def excerpt(self, timbre: str, tempo: Fraction, rows: Sequence[Row] | None = None) -> Excerpt:
        """Return the voice as music, or what was answered in `rows` after the notes given."""
        written = self.answer_rows if rows is None else rows
        return replace(staff_excerpt(self.staff(), written, timbre=timbre), tempo=tempo)

    def answered(self, rows: Sequence[Row]) -> tuple[LineNote, ...]:
        """Return the notes given and those of an answer after them."""
        return notes_of_rows([*self.rows[: self.given_rows], *rows])

    def judged(self, rows: Sequence[Row], costs: SlipCosts, enharmonic: bool) -> JudgedVoice:
        """Return how an answer stands against the voice."""
        alignment, octaves = align_melody(self.notes, self.answered(rows), costs, enharmonic, self.shown)
        return JudgedVoice(alignment, octaves, max(1, len(self.notes) - self.shown))


def octave_words(octaves: int, what: str = "All of it") -> str:
    """Return that an answer is an octave off as a whole; empty where it is not.

    Examples
    --------
    >>> octave_words(1), octave_words(0)
    ('All of it is an octave too high: one slip.', '')
    """
    slips = "one slip" if OCTAVE_COST == 1 else f"{OCTAVE_COST:g} slips"
    return f"{what} is an octave too {'high' if octaves > 0 else 'low'}: {slips}." if octaves else ""
