"""A `Draft` in the making, for readers whose lengths are fractions of a quarter and known only bit by bit."""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import Draft, DraftMeasure, DraftNote
from musictheory_nb.score.mark_entry import enter_mark

#: Most ticks to a quarter: lengths with no smaller common unit are damaged.
MAX_TICKS_PER_QUARTER: Final = 10**9
#: Most measures of one score.
MAX_MEASURES: Final = 50_000
#: Ticks to a quarter that marks alone may ask for.
_MARK_TICKS: Final = 24


@dataclass(slots=True)
class QuarterNote:
    """One note or rest of a `DraftNote`, in quarters, while its reader may still change it."""

    kind: int
    part: int
    staff: int
    voice: int
    measure: int
    onset: Fraction
    duration: Fraction
    step: int = -1
    alter: int = 0
    octave: int = 0
    cents: int = 0
    tie: int = 0
    grace: int = 0
    fermata: int = 0
    event: int = 0
    moved: tuple[int, int] = (0, 0)
    whole: int = 0


class QuarterDraft:
    """Collects notes, marks and how far measures reach, in quarters; `finish` turns them into ticks."""

    def __init__(self) -> None:
        self.draft = Draft()
        self.notes: list[QuarterNote] = []
        self._marks: list[tuple[str, int, Fraction, int, tuple[Any, ...]]] = []
        self._contents: dict[int, Fraction] = {}
        self._sounding: dict[int, Fraction] = {}
        self.fulls: dict[int, Fraction] = {}

    def measure(self, at: int) -> DraftMeasure:
        """Return measure `at`, made if it is new.

        Raises
        ------
        ScoreError
            It would be more than `MAX_MEASURES`.
        """
        while len(self.draft.measures) <= at:
            self.draft.measures.append(DraftMeasure())
            if len(self.draft.measures) > MAX_MEASURES:
                raise ScoreError(f"more than {MAX_MEASURES} measures")
        return self.draft.measures[at]

    def mark(self, kind: str, at: int, onset: Fraction, part: int, *values: Any) -> None:
        """Note a mark of those that `mark_entry.enter_mark` knows."""
        self._marks.append((kind, at, onset, part, values))

    def reach(self, at: int, to: Fraction, sounds: bool) -> None:
        """Note that something in measure `at` reaches so far."""
        self._contents[at] = max(self._contents.get(at, Fraction(0)), to)
        if sounds:
            self._sounding[at] = max(self._sounding.get(at, Fraction(0)), to)

    def move_end(self, at: int, end: Fraction, to: Fraction) -> None:
        """Note that what reached to `end` in measure `at` now reaches `to`."""
        for reached in (self._contents, self._sounding):
            if reached.get(at) == end:
                reached[at] = to

    def finish(self) -> Draft:
        """Turn quarters into ticks.

        Raises
        ------
        ScoreError
            The lengths have no common unit of a sensible size.
        """
        draft = self.draft
        times = {value.denominator for note in self.notes for value in (note.onset, note.duration)}
        for values in (self._contents, self._sounding, self.fulls):
            times |= {value.denominator for value in values.values()}
        unit = draft.ticks_per_quarter = math.lcm(_MARK_TICKS, *times)
        if unit > MAX_TICKS_PER_QUARTER:
            raise ScoreError("the lengths of this score have no common unit of a sensible size; it is damaged")
        for number, part in enumerate(draft.parts, 1):
            part.name = part.name or f"Part {number}"
        for at, measure in enumerate(draft.measures):
            measure.content = measure.filled = int(self._contents.get(at, Fraction(0)) * unit)
            measure.sounding = int(self._sounding.get(at, Fraction(0)) * unit)
            measure.full = int(self.fulls.get(at, Fraction(0)) * unit)
        for note in self.notes:
            times_in_ticks = int(note.onset * unit), int(note.duration * unit)
            head = (note.kind, note.part, note.staff, note.voice, note.measure, *times_in_ticks)
            pitch = (note.step, note.alter, note.octave, note.cents)
            rest = (note.tie, note.grace, note.fermata, note.event, *note.moved, note.whole)
            draft.notes.append(DraftNote._make((*head, *pitch, *rest)))
        last = len(draft.measures) - 1
        for kind, at, onset, part_index, marked in sorted(self._marks, key=lambda mark: mark[0] != "transposition"):
            if at > last:  # what stands behind the last measure belongs to its end
                at, onset = last, self._contents.get(last, Fraction(0))
            if at >= 0:
                enter_mark(draft, kind, at, int(onset * unit), part_index, marked)
        return draft
