"""Writing notes on a staff as an answer."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Final, TypeAlias

from musictheory_nb.errors import ExerciseError, PitchError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.excerpt import CLEFS
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.written_duration import DURATION_ALLOWED, duration_words, read_quarters
from musictheory_nb.theory.pitch import Pitch

#: Most measures of a staff, most notes and rests in an answer, most notes of one chord.
MOST_MEASURES: Final = 32
MOST_ROWS: Final = 256
MOST_TOGETHER: Final = 8
#: Longest text that is read as a pitch, and the octaves that a staff with ledger lines reaches.
_LONGEST_PITCH: Final = 6
_OCTAVES: Final = range(10)

Row: TypeAlias = Sequence[JSON]
"""A note, chord or rest: its pitches from low to high, its duration in quarters as text, whether it is tied on."""


@dataclass(frozen=True, slots=True)
class StaffInput:
    """Write notes and rests of one voice on a staff.

    The value is a list of rows ``[pitches, duration, tied]`` in time order: `pitches` a list of written pitches (none
    for a rest), `duration` quarters as text (``'3/2'``), `tied` whether it is tied to the next row.

    Parameters
    ----------
    clef : str
        One of `excerpt.CLEFS`.
    fifths : int
        Key signature: sharps above 0, flats below.
    metre : str
        Such as ``'6/8'``.
    measures : int
        How many measures there are to fill.
    pitches_only : bool
        Only pitches are asked: no rhythm, no barlines; every duration is ``'1'``.
    chords : bool
        Several pitches may sound together.
    lowest, highest : str
        Limits of the pitches, as written; none by default.
    given : tuple of rows
        Notes at the beginning that are shown and not entered.
    transposition : str
        What the notes are written for, such as ``'B flat clarinet'``; only told, the pitches are as written.
    pickup : str
        Length of a pickup before the first measure, in quarters as text; none by default.

    Raises
    ------
    ExerciseError
        A clef, signature, metre, limit or given row that cannot be.

    Examples
    --------
    >>> staff = StaffInput(metre="3/4")
    >>> staff.check("tune", [[["F#4"], "3/2", False], [[], "6/4", False]])
    [[['F#4'], '3/2', False], [[], '3/2', False]]
    >>> staff.check("tune", [[["F#4"], "4", False]])
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'tune': '4'; allowed: at most 3 quarters in all (1 measure of 3/4)
    """

    how: ClassVar[str] = "on the staff"

    clef: str = "treble"
    fifths: int = 0
    metre: str = "4/4"
    measures: int = 1
    pitches_only: bool = False
    chords: bool = False
    lowest: str = ""
    highest: str = ""
    given: tuple[Row, ...] = ()
    transposition: str = ""
    pickup: str = ""
    id: str = "staff"

    def __post_init__(self) -> None:
        if self.clef not in CLEFS:
            raise ExerciseError(f"clef {self.clef!r}: allowed are {', '.join(CLEFS)}")
        if type(self.fifths) is not int or not -7 <= self.fifths <= 7:
            raise ExerciseError(f"fifths {self.fifths!r}: a key signature has from -7 (flats) to 7 (sharps)")
        if type(self.measures) is not int or not 1 <= self.measures <= MOST_MEASURES:
            raise ExerciseError(f"measures {self.measures!r}: a staff has from 1 to {MOST_MEASURES}")
        bar = measure_quarters(self.metre)
        for limit in filter(None, (self.lowest, self.highest)):
            if _pitch(limit) is None:
                raise ExerciseError(f"limit {limit!r} of the staff: write a pitch with its octave, such as 'E2'")
        if self.pickup and not 0 < (read_quarters(self.pickup) or 0) < bar:
            raise ExerciseError(f"pickup {self.pickup!r}: write quarters as text, less than a measure, such as '1/2'")
        if self.given:
            self._rows("given", list(self.given), Fraction(0), ExerciseError)

    @property
    def room(self) -> Fraction:
        """Length of all measures with the pickup, in quarters."""
        return self.measures * measure_quarters(self.metre) + Fraction(self.pickup or 0)

    def check(self, step: str, value: JSON) -> JSON:
        """Return the rows with plain names of pitches and durations in lowest terms, or raise AnswerError."""
        if not isinstance(value, list) or not 1 <= len(value) <= MOST_ROWS:
            raise refuse(step, value, f"a list of 1 to {MOST_ROWS} rows [pitches, duration, tied]")
        used = sum((Fraction(row[1]) for row in self.given), Fraction(0))
        return self._rows(step, value, used, None)

    def _rows(self, step: str, value: list[JSON], used: Fraction, kind: type[ExerciseError] | None) -> list[JSON]:
        rows: list[JSON] = []

        def refused(given: JSON, allowed: str) -> Exception:
            error = refuse(step, given, allowed)
            return error if kind is None else kind(str(error).replace("answer to 'given'", "given of the staff"))

        for row in value:
            if not isinstance(row, list | tuple) or len(row) != 3:
                raise refused(row, "rows [list of pitches, duration in quarters as text, true or false for a tie]")
            pitches, duration, tied = row
            quarters = read_quarters(duration)
            if quarters is None:
                raise refused(duration, DURATION_ALLOWED)
            if self.pitches_only and quarters != 1:
                raise refused(duration, "'1' for every note, as only pitches are asked")
            if type(tied) is not bool:
                raise refused(tied, "true or false for a tie")
            rows.append([self._pitches(pitches, refused), str(quarters), tied])
            used += quarters
            if not self.pitches_only and used > self.room:
                size = f"{self.measures} measure{'s' if self.measures > 1 else ''} of {self.metre}"
                pick = f" after a pickup of {self.pickup}" if self.pickup else ""
                raise refused(duration, f"at most {self.room} quarters in all ({size}{pick})")
        for row, following in zip(rows, [*rows[1:], None], strict=True):
            open_end = following is None and kind is not None  # a given note may be tied to the first that is entered
            if row[2] and not open_end and (not row[0] or following is None or row[0] != following[0]):
                raise refused(row[2], "a tie only from a note to the next one of the same pitch")
        return rows

    def _pitches(self, pitches: JSON, refused: Callable[[JSON, str], Exception]) -> list[str]:
        most = MOST_TOGETHER if self.chords else 1
        if not isinstance(pitches, list | tuple) or len(pitches) > most:
            raise refused(pitches, f"a list of at most {most} pitch{'es' if most > 1 else ''}, none for a rest")
        found: list[Pitch] = []
        for text in pitches:
            pitch = _pitch(text)
            if pitch is None:
                raise refused(text, "a letter A to G, at most two # or b, and an octave from 0 to 9, such as 'F#4'")
            low, high = self.lowest or "C0", self.highest or "B9"
            if not Pitch(low).chromatic <= pitch.chromatic <= Pitch(high).chromatic and (self.lowest or self.highest):
                raise refused(text, f"pitches from {low} to {high}")
            found.append(pitch)
        names = [pitch.name for pitch in sorted(found, key=lambda one: (one.diatonic, one.alter))]
        if len(set(names)) != len(names):
            raise refused(pitches, "each pitch of a chord once")
        return names

    def words(self, value: JSON) -> str:
        """Return checked rows in words: pitches, and note values where they are asked."""
        if self.pitches_only:
            return ", ".join(_together(row[0]) for row in value)
        return ", ".join(
            f"{_together(row[0])} {duration_words(Fraction(row[1]))}{' (tied)' if row[2] else ''}" for row in value
        )


def _pitch(text: object) -> Pitch | None:
    """Read a pitch as a staff writes it, or return None."""
    if not isinstance(text, str) or len(text) > _LONGEST_PITCH:
        return None
    try:
        pitch = Pitch(text)
    except PitchError:
        return None
    return pitch if abs(pitch.alter) <= 2 and pitch.octave in _OCTAVES else None


def _together(pitches: Sequence[str]) -> str:
    return " with ".join(Pitch(name).display for name in pitches) or "rest"
