"""Singing or playing to the microphone as an answer."""

import math
from dataclasses import dataclass
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.piano_key_name import key_name
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.theory.pitch import Pitch

#: Most notes that are sung in an answer.
MOST_SUNG: Final = 64
#: How far beyond its limits a note may be sung out of tune, in semitones.
_MARGIN: Final = 0.5


@dataclass(frozen=True, slots=True)
class SungInput:
    """Sing or play `count` notes, from `low` to `high`; their pitch is tracked from the microphone.

    The value is a list of MIDI numbers with cents as hundredths (60.25 is 25 cents above middle C), in order.

    Raises
    ------
    ExerciseError
        A number of notes or a limit that cannot be.

    Examples
    --------
    >>> SungInput(2).check("echo", [60.123, 64])
    [60.12, 64.0]
    >>> SungInput(1, "C4", "C5").check("echo", [48])
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'echo': 48; allowed: MIDI numbers from 59.5 to 72.5 (C4 to C5)
    """

    how: ClassVar[str] = "by singing or playing it"

    count: int = 1
    low: str = "E2"
    high: str = "C6"
    id: str = "sung"

    def __post_init__(self) -> None:
        if type(self.count) is not int or not 1 <= self.count <= MOST_SUNG:
            raise ExerciseError(f"count {self.count!r}: ask for 1 to {MOST_SUNG} notes")
        try:
            first, last = Pitch(self.low).midi, Pitch(self.high).midi
        except TheoryError as error:
            raise ExerciseError(f"range to sing: {error}") from None
        if first > last:
            raise ExerciseError(f"range to sing {self.low!r} to {self.high!r}: give the lower pitch first")

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of MIDI numbers to a hundredth, or raise AnswerError."""
        first, last = Pitch(self.low).midi - _MARGIN, Pitch(self.high).midi + _MARGIN
        allowed = f"MIDI numbers from {first} to {last} ({self.low} to {self.high})"
        if not isinstance(value, list) or len(value) != self.count:
            raise refuse(step, value, f"a list of {self.count} {allowed}")
        for note in value:
            if type(note) not in (int, float) or not first <= note <= last:  # NaN compares false
                raise refuse(step, note, allowed)
        return [round(float(note), 2) for note in value]

    def takes(self, note: float) -> bool:
        """Return whether a note, as a MIDI number, may be an answer.

        Examples
        --------
        >>> SungInput(1, "C4", "C5").takes(59.6), SungInput(1, "C4", "C5").takes(48.0)
        (True, False)
        """
        return Pitch(self.low).midi - _MARGIN <= note <= Pitch(self.high).midi + _MARGIN

    def words(self, value: JSON) -> str:
        """Return each note by the nearest piano key, with the cents that it is off."""
        told = []
        for note in value:
            nearest = math.floor(note + 0.5)
            cents = round(100 * (note - nearest))
            off = f" ({abs(cents)} cents {'high' if cents > 0 else 'low'})" if cents else ""
            told.append(key_name(nearest) + off)
        return ", ".join(told)
