"""Tapping a rhythm as an answer."""

from dataclasses import dataclass
from fractions import Fraction
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.counting_words import counted
from musictheory_nb.practice.metre_beat import beat_quarters, measure_quarters
from musictheory_nb.practice.plain_data import JSON

#: Most measures to tap, most taps in an answer, and the tempos of the metronome, in beats a minute.
MOST_MEASURES: Final = 16
MOST_TAPS: Final = 256
TEMPOS: Final = (30, 240)


@dataclass(frozen=True, slots=True)
class RhythmInput:
    """Tap a rhythm with a key or a button while the metronome counts.

    The value is the list of taps in whole milliseconds after the first beat of the first measure, ascending. A tap may
    come up to half a beat before the first beat or up to a beat after the last measure.

    Parameters
    ----------
    metre : str
        Such as ``'6/8'``.
    measures : int
        How many measures are tapped, after one measure of count-in.
    tempo : int
        Beats a minute; a beat is dotted in compound time.

    Raises
    ------
    ExerciseError
        A metre, a number of measures or a tempo that cannot be.

    Examples
    --------
    >>> RhythmInput(measures=1).check("beat", [4, 755, 1490])
    [4, 755, 1490]
    >>> RhythmInput(measures=1).check("beat", [755, 4])
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'beat': 4; allowed: taps in ascending order
    """

    how: ClassVar[str] = "by tapping"

    metre: str = "4/4"
    measures: int = 2
    tempo: int = 80
    id: str = "taps"

    def __post_init__(self) -> None:
        measure_quarters(self.metre)
        if type(self.measures) is not int or not 1 <= self.measures <= MOST_MEASURES:
            raise ExerciseError(f"measures {self.measures!r}: from 1 to {MOST_MEASURES} can be tapped")
        if type(self.tempo) is not int or not TEMPOS[0] <= self.tempo <= TEMPOS[1]:
            raise ExerciseError(f"tempo {self.tempo!r}: give {TEMPOS[0]} to {TEMPOS[1]} beats a minute")

    @property
    def beat_ms(self) -> Fraction:
        """Length of a beat, in milliseconds."""
        return Fraction(60_000, self.tempo)

    @property
    def bounds_ms(self) -> tuple[int, int]:
        """Earliest and latest tap that is taken, in milliseconds after the first beat."""
        beats = self.measures * measure_quarters(self.metre) / beat_quarters(self.metre)
        return -int(self.beat_ms / 2), int(self.beat_ms * (beats + 1))

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of milliseconds, or raise AnswerError."""
        first, last = self.bounds_ms
        allowed = f"whole milliseconds from {first} to {last}"
        if not isinstance(value, list) or not 1 <= len(value) <= MOST_TAPS:
            raise refuse(step, value, f"a list of 1 to {MOST_TAPS} taps in {allowed}")
        before = None
        for tap in value:
            if type(tap) is not int or not first <= tap <= last:
                raise refuse(step, tap, allowed)
            if before is not None and tap <= before:
                raise refuse(step, tap, "taps in ascending order")
            before = tap
        return list(value)

    def words(self, value: JSON) -> str:
        """Return checked taps in words: how many, and the beats on which they fell, to a hundredth."""
        beats = ", ".join(f"{1 + tap / float(self.beat_ms):.2f}" for tap in value)
        return f"{counted(len(value), 'tap')}, at the beats {beats} from the first"
