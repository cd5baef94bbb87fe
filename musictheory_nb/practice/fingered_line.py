"""A line of an excerpt with the fingering of a string instrument: fingers, strings, hard spots, and how to practise them."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Final

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.fingering import Fingering, finger_line
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.instrument.practice_plan import STRAIN_CAUTION, PracticePlan, practice_plan
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch

#: How long a grace note is taken to last, in quarters: it is played just before its note.
_GRACE: Final = Fraction(1, 8)
#: Numbers of strings as fretted players read them, and as bowed players do.
_CIRCLED: Final = ("", "①", "②", "③", "④", "⑤", "⑥", "⑦", "⑧", "⑨", "⑩", "⑪", "⑫")
_ROMAN: Final = ("", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X", "XI", "XII")


@dataclass(frozen=True)
class FingeredLine:
    """A line with its fingering; `fingered_line` makes it.

    Parameters
    ----------
    excerpt : Excerpt
        The music, as written.
    fingering : Fingering
        Of what sounds.
    line : tuple of int
        For each entry of the line that was fingered (rests counted), the index of its note in the excerpt.
    """

    excerpt: Excerpt
    fingering: Fingering
    line: tuple[int, ...]

    @cached_property
    def fingers(self) -> Mapping[int, str]:
        """Finger of each note, by its index in the excerpt; 0 is an open string."""
        return {self.line[note.index]: str(note.finger) for note in self.fingering.notes}

    @cached_property
    def strings(self) -> Mapping[int, str]:
        """Number of the string where it changes, by the note's index in the excerpt."""
        names = _CIRCLED if self.fingering.tuning.fretted else _ROMAN
        found, before = {}, 0
        for note in self.fingering.notes:
            if note.string != before:
                found[self.line[note.index]] = names[note.string]
            before = note.string
        return found

    @cached_property
    def hard_notes(self) -> tuple[int, ...]:
        """Indices in the excerpt of the notes in hard spots."""
        return tuple(
            self.line[note.index]
            for note in self.fingering.notes
            if any(spot.first <= note.index <= spot.last for spot in self.fingering.hard_spots)
        )

    @cached_property
    def plan(self) -> PracticePlan:
        """How to practise it."""
        return practice_plan(self.fingering)

    @property
    def caution(self) -> str:
        """What is said with every fingering: about strain, and who knows better."""
        return STRAIN_CAUTION

    @property
    def words(self) -> tuple[str, ...]:
        """Note by note, at sounding pitch, then the hard spots, in words.

        Examples
        --------
        >>> line = fingered_line(Excerpt.melody(["E2", "G2"], clef="bass"), "bass guitar", written=True)
        >>> line.words
        ('Note 1, E1: open E string.', 'Note 2, G1: finger 3 on the E string, position 1.', 'No spot is marked as hard.')
        """
        tuning = self.fingering.tuning
        told = []
        for number, note in enumerate(self.fingering.notes, 1):
            string = tuning.string_name(note.string)
            how = (
                f"open {string}" if note.is_open else f"finger {note.finger} on the {string}, position {note.position}"
            )
            told.append(f"Note {number}, {note.pitch.display}: {how}.")
        spots = self.fingering.hard_spots
        numbers = {note.index: number for number, note in enumerate(self.fingering.notes, 1)}
        told += [
            f"Hard spot, notes {numbers[spot.first]} to {numbers[spot.last]}: {'; '.join(spot.reasons)}."
            for spot in spots
        ]
        return tuple(told if spots else [*told, "No spot is marked as hard."])


def _tuning(on: str) -> tuple[Tuning, Interval]:
    """The strings that a name means, and how its part sounds."""
    try:
        instrument = Instrument(on)
    except InstrumentError:
        return Tuning(on), Interval("P1")
    return instrument.tuning, instrument.transposition.interval


def _line(excerpt: Excerpt, part: int, by: Interval) -> tuple[list[Pitch | None], list[Fraction], list[int]]:
    """Sounding pitches (None for a rest), durations, and the excerpt's notes; tied notes joined."""
    pitches: list[Pitch | None] = []
    durations: list[Fraction] = []
    rows: list[int] = []
    end = Fraction(0)
    own = [
        (excerpt.starts[note.measure] + note.onset, at) for at, note in enumerate(excerpt.notes) if note.part == part
    ]
    for onset, at in sorted(own, key=lambda row: (row[0], excerpt.notes[row[1]].duration != 0, row[1])):
        note = excerpt.notes[at]
        if len(note.pitches) > 1 or (note.pitches and onset < end):
            number = excerpt.measures[note.measure].number
            raise InstrumentError(
                f"measure {number}: notes sound together; give a line of single notes, one part, one voice"
            )
        if not note.pitches:
            continue
        sounding = Pitch(note.pitches[0]).up(by)
        if note.tie in ("stop", "continue") and pitches and pitches[-1] == sounding and onset == end:
            durations[-1] += note.duration
        else:
            if onset > end and pitches:
                pitches.append(None)
                durations.append(onset - end)
                rows.append(-1)
            pitches.append(sounding)
            durations.append(note.duration or _GRACE)
            rows.append(at)
        end = max(end, onset + note.duration)
    return pitches, durations, rows


def fingered_line(
    excerpt: Excerpt,
    on: str,
    *,
    part: int = 0,
    tempo: float | None = None,
    hand: str | None = None,
    open_strings: str = "allow",
    written: bool = False,
) -> FingeredLine:
    """Return a part of an excerpt with its fingering.

    Parameters
    ----------
    excerpt : Excerpt
        The music.
    on : str
        An instrument with strings, or a tuning.
    part : int
        Index of the part; it is a line of single notes.
    tempo : float, optional
        Quarters a minute; that of the excerpt by default.
    hand, open_strings : str
        See `finger_line`.
    written : bool
        Whether the notes are those of the instrument's part, and sound as it sounds. By default they sound as the part of the
        excerpt says.

    Raises
    ------
    InstrumentError
        No such part, instrument or tuning; notes that sound together or cannot be played, with what to do about it.

    Examples
    --------
    >>> line = fingered_line(Excerpt.melody(["F2", "A2", "C3"], clef="bass"), "double bass", written=True)
    >>> line.fingers, line.strings, line.hard_notes
    ({0: '1', 1: '0', 2: '4'}, {0: 'IV', 1: 'III'}, ())
    >>> fingered_line(Excerpt.melody(["C4", "E4"], together=True), "violin")
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: measure 1: notes sound together; give a line of single notes, one part, one voice
    """
    if not 0 <= part < len(excerpt.parts):
        raise InstrumentError(f"part {part!r}: this music has the part indices 0 to {len(excerpt.parts) - 1}")
    tuning, by = _tuning(on)
    own = excerpt.parts[part]
    if not written:
        by = Interval.from_steps(own.diatonic, own.chromatic)
    pitches, durations, rows = _line(excerpt, part, by)
    speed = float(excerpt.tempo) if tempo is None else tempo
    fingering = finger_line(pitches, durations, tuning, tempo=speed, hand=hand, open_strings=open_strings)
    return FingeredLine(excerpt, fingering, tuple(rows))
