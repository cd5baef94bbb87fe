"""The notes of a score, one row each: when, how long, written and sounding pitch, voice, tie, grace.

Conventions: onsets and durations are exact. The table keeps them as whole ticks, so many to a quarter that every
duration of the score is a whole number; a `Note` gives them as `fractions.Fraction` quarters. Rows are sorted by
start, then part, staff, voice, and as written. A pitch is kept as it is written for the player and as it sounds.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import cached_property, lru_cache, partial
from typing import Final, NamedTuple, TypeAlias, overload

import numpy as np
import numpy.typing as npt

from musictheory_nb.errors import ScoreError
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import STEPS

Ticks: TypeAlias = npt.NDArray[np.int64]

#: The columns of the table, in order; all are whole numbers.
COLUMNS: Final = (
    "kind",  # index into KINDS
    "part",  # index into the score's parts
    "staff",  # 1 is the upper one
    "voice",  # 1 or more; counted for each part
    "measure",  # index into the score's measures
    "onset",  # ticks from the start of the measure
    "duration",  # ticks; 0 for a grace note
    "start",  # ticks from the start of the score
    "place",  # ticks from where the full bar would start (a pickup of one quarter in 3/4 has 2 quarters before it)
    "pulse",  # ticks of one beat: the lower figure of the metre
    "step",  # written pitch: 0-6 for C-B, -1 for none
    "alter",  # semitones
    "octave",
    "sounding_step",
    "sounding_alter",
    "sounding_octave",
    "cents",  # of a quarter tone and the like, above the spelled pitch
    "tie",  # index into TIES
    "grace",  # 1 for a grace note
    "fermata",  # 1 under a fermata
    "event",  # notes struck as one chord share a number; a later number is written later
)
KINDS: Final = ("note", "rest", "unpitched", "cue")
TIES: Final = ("", "start", "stop", "continue")
_AT: Final = {name: at for at, name in enumerate(COLUMNS)}
_STEP_SEMITONES: Final = np.array([0, 2, 4, 5, 7, 9, 11], dtype=np.int64)


class Note(NamedTuple):
    """One note, or one rest.

    Parameters
    ----------
    kind : str
        ``'note'``, ``'rest'``, ``'unpitched'`` (percussion) or ``'cue'`` (small notes for orientation, not played).
    part, measure : int
        Indices into the score's parts and measures, from 0.
    staff, voice : int
        1 or more.
    onset : Fraction
        Quarters from the start of its measure.
    duration : Fraction
        Quarters; 0 for a grace note.
    start : Fraction
        Quarters from the start of the score.
    beat : Fraction
        As players count it: the first is 1, the unit is the lower figure of the metre. A pickup of one quarter in
        3/4 is on beat 3.
    written, sounding : Pitch or None
        What the player reads, and what is heard; None for rests and unpitched notes.
    tie : str
        ``''``, ``'start'``, ``'stop'`` or ``'continue'``.
    grace, fermata : bool
        Is a grace note; stands under a fermata.
    cents : int
        Cents above the spelled pitch; 50 for a quarter tone.
    event : int
        Notes struck as one chord share it.
    """

    kind: str
    part: int
    staff: int
    voice: int
    measure: int
    onset: Fraction
    duration: Fraction
    start: Fraction
    beat: Fraction
    written: Pitch | None
    sounding: Pitch | None
    tie: str
    grace: bool
    fermata: bool
    cents: int
    event: int

    @property
    def end(self) -> Fraction:
        """Quarters from the start of the score to its end."""
        return self.start + self.duration

    @property
    def is_rest(self) -> bool:
        """Whether it is a rest."""
        return self.kind == "rest"


class NoteTable(Sequence[Note]):
    """Rows of notes, read by index or in a loop as `Note`, and by column as numpy arrays of ticks.

    Parameters
    ----------
    columns : array of int64, one row for each name in `COLUMNS`
        Kept as it is, read-only.
    ticks_per_quarter : int
        Unit of the columns onset, duration, start, place and pulse.

    Raises
    ------
    ScoreError
        The columns have another shape.

    Examples
    --------
    >>> len(NoteTable.empty())
    0
    >>> NoteTable.empty().column("loudness")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: column 'loudness'; allowed: kind, part, staff, voice, measure, onset, ...
    """

    def __init__(self, columns: Ticks, ticks_per_quarter: int) -> None:
        if columns.ndim != 2 or columns.shape[0] != len(COLUMNS):
            raise ScoreError(f"note table of shape {columns.shape}: it has {len(COLUMNS)} columns")
        self.columns = columns.view()
        self.columns.flags.writeable = False
        self.ticks_per_quarter = ticks_per_quarter

    @classmethod
    def empty(cls) -> "NoteTable":
        """Return a table with no rows."""
        return cls(np.zeros((len(COLUMNS), 0), dtype=np.int64), 1)

    def column(self, name: str) -> Ticks:
        """Return one column of `COLUMNS` as a read-only array.

        Raises
        ------
        ScoreError
            There is no such column.
        """
        if name not in _AT:
            raise ScoreError(f"column {name!r}; allowed: {', '.join(COLUMNS)}")
        values: Ticks = self.columns[_AT[name]]
        return values

    def where(self, mask: npt.NDArray[np.bool_] | Ticks) -> "NoteTable":
        """Return the rows of a mask, or in the order of an array of indices."""
        rows = np.flatnonzero(mask) if mask.dtype == np.bool_ else mask
        return NoteTable(self.columns.take(rows, axis=1), self.ticks_per_quarter)

    def of_kind(self, *kinds: str) -> "NoteTable":
        """Return the rows of these kinds only.

        Raises
        ------
        ScoreError
            There is no such kind.
        """
        for kind in kinds:
            if kind not in KINDS:
                raise ScoreError(f"kind {kind!r}; allowed: {', '.join(KINDS)}")
        wanted = np.array([kind in kinds for kind in KINDS])
        return self.where(np.flatnonzero(wanted[self.column("kind")]))

    @cached_property
    def ends(self) -> Ticks:
        """Ticks from the start of the score to the end of each row."""
        ends: Ticks = self.column("start") + self.column("duration")
        return ends

    @cached_property
    def reach(self) -> Ticks:
        """For each row, the latest end of it and all rows before it."""
        return np.maximum.accumulate(self.ends)

    @cached_property
    def written_chromatic(self) -> Ticks:
        """Semitones above C-1 of each written pitch, as MIDI counts; meaningless where the step is -1."""
        return 12 * self.column("octave") + 12 + _STEP_SEMITONES[self.column("step")] + self.column("alter")

    @cached_property
    def chromatic(self) -> Ticks:
        """Semitones above C-1 of each sounding pitch, as MIDI counts; meaningless where the step is -1."""
        semitones = _STEP_SEMITONES[self.column("sounding_step")] + self.column("sounding_alter")
        return 12 * self.column("sounding_octave") + 12 + semitones

    @cached_property
    def _rows(self) -> tuple[Note, ...]:
        columns = dict(zip(COLUMNS, self.columns.tolist(), strict=True))
        unit = self.ticks_per_quarter
        ticks = {*columns["onset"], *columns["duration"], *columns["start"]}
        quarters = {value: _quarters(value, unit) for value in ticks}
        beats = {pair: _beat(*pair) for pair in set(zip(columns["place"], columns["pulse"], strict=True))}
        sounds = [KINDS[kind] in ("note", "cue") for kind in columns["kind"]]
        fields = zip(
            [KINDS[kind] for kind in columns["kind"]],
            columns["part"],
            columns["staff"],
            columns["voice"],
            columns["measure"],
            [quarters[value] for value in columns["onset"]],
            [quarters[value] for value in columns["duration"]],
            [quarters[value] for value in columns["start"]],
            [beats[pair] for pair in zip(columns["place"], columns["pulse"], strict=True)],
            _pitches(columns["step"], columns["alter"], columns["octave"], sounds),
            _pitches(columns["sounding_step"], columns["sounding_alter"], columns["sounding_octave"], sounds),
            [TIES[tie] for tie in columns["tie"]],
            [grace == 1 for grace in columns["grace"]],
            [fermata == 1 for fermata in columns["fermata"]],
            columns["cents"],
            columns["event"],
            strict=True,
        )
        return tuple(map(partial(tuple.__new__, Note), fields))  # a third of the time of Note(...) for each row

    def __len__(self) -> int:
        return int(self.columns.shape[1])

    @overload
    def __getitem__(self, at: int) -> Note: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Note, ...]: ...
    def __getitem__(self, at: int | slice) -> Note | tuple[Note, ...]:
        return self._rows[at]

    def __iter__(self) -> Iterator[Note]:
        return iter(self._rows)

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, NoteTable):
            return NotImplemented
        if self.ticks_per_quarter == other.ticks_per_quarter:
            return bool(np.array_equal(self.columns, other.columns))
        return self._rows == other._rows

    def __hash__(self) -> int:
        return hash((len(self), self.ticks_per_quarter))

    def __repr__(self) -> str:
        return f"<NoteTable of {len(self)} rows>"


@lru_cache(maxsize=1 << 14)
def _quarters(ticks: int, unit: int) -> Fraction:
    return Fraction(ticks, unit)


@lru_cache(maxsize=1 << 10)
def _beat(place: int, pulse: int) -> Fraction:
    return 1 + Fraction(place, pulse)


@lru_cache(maxsize=1 << 10)
def _pitch(step: int, alter: int, octave: int) -> Pitch:
    return Pitch.of(STEPS[step], alter, octave)


def counted_events(table: Ticks) -> Ticks:
    """Return the events of a whole table numbered by where their first row stands, so that the same music has the same numbers."""
    _, first, which = np.unique(table[COLUMNS.index("event")], return_index=True, return_inverse=True)
    numbers = np.empty_like(first)
    numbers[np.argsort(first, kind="stable")] = np.arange(len(first))
    counted: Ticks = numbers[which.reshape(-1)].astype(np.int64)
    return counted


def _pitches(step: list[int], alter: list[int], octave: list[int], sounds: list[bool]) -> list[Pitch | None]:
    """Return the pitch of each row, None where nothing with a pitch sounds."""
    return [
        _pitch(*spelling) if sound and spelling[0] >= 0 else None
        for spelling, sound in zip(zip(step, alter, octave, strict=True), sounds, strict=True)
    ]
