"""What one line of a score does otherwise when a section comes back (`LineBars`, `line_changes`).

A line is a part, or one staff of a part with several.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple, TypeAlias

import numpy as np

from musictheory_nb.score.bar_unit import BarUnit
from musictheory_nb.score.note_table import NoteTable
from musictheory_nb.score.score import Score

#: So many times the notes are more notes; so many semitones are another register.
MORE_NOTES: Final = 1.4
_REGISTER: Final = 7
#: Notes struck at once, on the average, up to which a line is a melody rather than chords.
_CHORDAL: Final = 1.3
_SAMPLES: Final = 8
_STAVES: Final = {1: "upper staff", 2: "lower staff"}


class Event(NamedTuple):
    """A note: ticks from the bar's first beat, ticks long, MIDI number (0 without pitch), letter in steps of the staff."""

    start: int
    duration: int
    pitch: int
    letter: int


#: Notes bar by bar.
Bars: TypeAlias = tuple[tuple[Event, ...], ...]


@dataclass(frozen=True, slots=True)
class LineBars:
    """One line in paired bars of two sections.

    Parameters
    ----------
    name, part : str
        ``'Piano, lower staff'`` and ``'Piano'``.
    there, here : tuple of tuple of Event
        Its notes in each bar, before and now.
    is_pitched : bool
        False for percussion.
    """

    name: str
    part: str
    there: Bars
    here: Bars
    is_pitched: bool

    @property
    def differing(self) -> tuple[int, ...]:
        """Which pairs are not the same."""
        return tuple(at for at, (one, other) in enumerate(zip(self.there, self.here, strict=True)) if one != other)

    def tops(self, side: int, lengths: Sequence[int]) -> list[int]:
        """Return its highest pitch, -1 for none, at `_SAMPLES` places of each bar, before (0) or now (1).

        Parameters
        ----------
        lengths : sequence of int
            Ticks of each bar.
        """
        found = []
        for bar, length in zip((self.there, self.here)[side], lengths, strict=True):
            row = [-1] * _SAMPLES
            for event in bar:
                first = -(-event.start * _SAMPLES // length)
                last = min(-(-(event.start + event.duration) * _SAMPLES // length), _SAMPLES)
                for at in range(first, last):
                    row[at] = max(row[at], event.pitch)
            found += row
        return found

    def is_single(self, side: int) -> bool:
        """Whether it mostly has one note at a time, before (0) or now (1)."""
        bars = (self.there, self.here)[side]
        struck = sum(len({event.start for event in bar}) for bar in bars)
        return 0 < sum(map(len, bars)) <= _CHORDAL * struck

    def moved(self, semitones: int) -> "LineBars":
        """Return the line with what it plays now put back by a number of semitones, octaves as is nearest."""
        old, new = (sum(bars, ()) for bars in (self.there, self.here))
        if not semitones or not old or not new or not self.is_pitched:
            return self
        shift = np.mean([one.pitch for one in new]) - np.mean([one.pitch for one in old])
        by = semitones + 12 * round((shift - semitones) / 12)
        back = tuple(tuple(one._replace(pitch=one.pitch - by, letter=0) for one in bar) for bar in self.here)
        return LineBars(self.name, self.part, _without_letters(self.there), back, self.is_pitched)


def line_bars(played: Score, units: Sequence[BarUnit], pairs: Sequence[tuple[int, int]]) -> tuple[LineBars, ...]:
    """Return every line of a score in pairs of bars, given as indices of `units` (there, here)."""
    table = played.joined_notes
    table = table.where(table.column("grace") == 0)
    found = []
    for part in played.parts:
        own = table.where(table.column("part") == part.index)
        staves = sorted(set(own.column("staff").tolist()))
        for staff in staves:
            notes = own.where(own.column("staff") == staff)
            name = f"{part.name}, {_STAVES.get(staff, f'staff {staff}')}" if len(staves) > 1 else part.name
            there = tuple(_events(notes, units[one]) for one, _ in pairs)
            here = tuple(_events(notes, units[other]) for _, other in pairs)
            found.append(LineBars(name, part.name, there, here, bool((notes.column("step") >= 0).any())))
    return tuple(found)


def line_changes(line: LineBars, at: Sequence[int]) -> tuple[tuple[str, str], ...]:
    """Return what changed in the pairs `at` of a line: kind (`form_change.CHANGE_KINDS`) and words behind its name."""
    pairs = [(line.there[one], line.here[one]) for one in at]
    there = [event for old, _ in pairs for event in old]
    here = [event for _, new in pairs for event in new]
    if not there:
        return (("players", "comes in, where it rested"),)
    if not here:
        return (("players", "rests, where it played"),)
    moved = _moved(pairs)
    if moved:
        octaves, rest = divmod(abs(moved), 12)
        way = "higher" if moved > 0 else "lower"
        if rest == 0:
            return (("register", f"plays the same {octaves} octave{'s' * (octaves > 1)} {way}"),)
        return (("notes", f"plays the same {abs(moved)} semitone{'s' * (abs(moved) > 1)} {way}"),)
    told = []
    if len(here) >= MORE_NOTES * len(there):
        told.append(("density", f"has more notes ({len(here)} for {len(there)})"))
    elif len(there) >= MORE_NOTES * len(here):
        told.append(("density", f"has fewer notes ({len(here)} for {len(there)})"))
    shift = sum(event.pitch for event in here) / len(here) - sum(event.pitch for event in there) / len(there)
    if line.is_pitched and abs(shift) >= _REGISTER:
        told.append(("register", f"lies {'higher' if shift > 0 else 'lower'} by about {abs(round(shift))} semitones"))
    if not told:
        same_rhythm = all(_rhythm(old) == _rhythm(new) for old, new in pairs)
        other = "has another rhythm" if not line.is_pitched else "has other notes" + " in the same rhythm" * same_rhythm
        told.append(("notes", other))
    return tuple(told)


def _events(notes: NoteTable, unit: BarUnit) -> tuple[Event, ...]:
    per_quarter = notes.ticks_per_quarter
    start, end = int(unit.start * per_quarter), int((unit.start + unit.length) * per_quarter)
    starts = notes.column("start")
    rows = slice(starts.searchsorted(start), starts.searchsorted(end))
    pitched = notes.column("step")[rows] >= 0
    letters = 7 * notes.column("sounding_octave")[rows] + notes.column("sounding_step")[rows]
    columns = (
        starts[rows] - start,
        notes.column("duration")[rows],
        np.where(pitched, notes.chromatic[rows], 0),
        np.where(pitched, letters, 0),
    )
    return tuple(sorted(map(Event, *(column.tolist() for column in columns))))


def _without_letters(bars: Bars) -> Bars:
    return tuple(tuple(one._replace(letter=0) for one in bar) for bar in bars)


def _rhythm(events: Sequence[Event]) -> tuple[tuple[int, int], ...]:
    return tuple(sorted({event[:2] for event in events}))


def _moved(pairs: Sequence[tuple[Sequence[Event], Sequence[Event]]]) -> int:
    """Return the semitones by which every note of the bars has moved, 0 if they have not all moved alike."""
    steps: Counter[int] = Counter()
    for there, here in pairs:
        if [event[:2] for event in there] != [event[:2] for event in here]:
            return 0
        steps.update(new.pitch - old.pitch for old, new in zip(there, here, strict=True))
    return next(iter(steps)) if len(steps) == 1 else 0
