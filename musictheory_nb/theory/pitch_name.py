"""A letter with its accidentals, in no octave (`PitchName`).

Equality is equality of spelling: F# and Gb are different names that sound alike (`is_enharmonic_to`).
"""

from dataclasses import dataclass
from typing import Protocol, Self

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch_grammar import (
    ACCIDENTALS,
    DISPLAY_ACCIDENTALS,
    MOST_ACCIDENTALS,
    STEP_FIFTHS,
    STEP_INDEX,
    STEP_SEMITONES,
    STEPS,
    read_pitch_text,
)

#: Letters in the order of the line of fifths.
_FIFTHS_STEPS = "FCGDAEB"

_set = object.__setattr__


class HasPitchClass(Protocol):
    """Anything with a pitch class from 0 to 11, C = 0."""

    @property
    def pitch_class(self) -> int:
        """Pitch class from 0 to 11, C = 0."""


def check_spelling(step: str, alter: int) -> None:
    """Raise unless `step` is a letter and `alter` a whole number of semitones from -3 to 3."""
    if not isinstance(step, str) or step not in STEP_INDEX:
        raise PitchError(f"step {step!r}: must be one of C D E F G A B")
    if not isinstance(alter, int) or alter not in ACCIDENTALS:
        raise PitchError(f"alter {alter!r}: must be a whole number of semitones from -3 to 3")


def move_spelling(step: str, alter: int, steps: int, semitones: int) -> tuple[str, int, int]:
    """Letter, alteration and octaves crossed after moving by letters and semitones."""
    octaves, index = divmod(STEP_INDEX[step] + steps, 7)
    new_step = STEPS[index]
    new_alter = STEP_SEMITONES[step] + alter + semitones - 12 * octaves - STEP_SEMITONES[new_step]
    if not -MOST_ACCIDENTALS <= new_alter <= MOST_ACCIDENTALS:
        raise PitchError(
            f"from {step}{ACCIDENTALS[alter]} the result would be a {new_step} with {abs(new_alter)} "
            f"{'sharps' if new_alter > 0 else 'flats'}: at most three are written"
        )
    return new_step, new_alter, octaves


@dataclass(frozen=True, slots=True, init=False, repr=False)
class PitchName:
    """A letter with its accidentals, in no octave.

    Parameters
    ----------
    text : str or PitchName
        Such as ``"Eb"``, ``"F##"``, ``"E♭"``, ``"B flat"``.

    Raises
    ------
    PitchError
        The text is not a pitch name, or carries an octave number.

    Examples
    --------
    >>> PitchName("E♭").name, PitchName("Fx").name, PitchName("Bb").pitch_class
    ('Eb', 'F##', 10)
    >>> PitchName("F#4")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: pitch name 'F#4': has an octave number; write PitchName('F#'), or Pitch('F#4')
    """

    step: str
    alter: int

    def __init__(self, text: "str | PitchName") -> None:
        if isinstance(text, PitchName):
            step, alter = text.step, text.alter
        else:
            step, alter, octave = read_pitch_text(text, "pitch name")
            if octave is not None:
                bare = step + ACCIDENTALS[alter]
                advice = f"write PitchName({bare!r}), or Pitch({bare + str(octave)!r})"
                raise PitchError(f"pitch name {text!r}: has an octave number; {advice}")
        _set(self, "step", step)
        _set(self, "alter", alter)

    @classmethod
    def of(cls, step: str, alter: int = 0) -> Self:
        """Build from letter and alteration in semitones.

        Raises
        ------
        PitchError
            No such letter, or more than three accidentals.

        Examples
        --------
        >>> PitchName.of("B", -1)
        PitchName('Bb')
        >>> PitchName.of("H", 0)
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: step 'H': must be one of C D E F G A B
        """
        check_spelling(step, alter)
        return cls._make(step, alter)

    @classmethod
    def _make(cls, step: str, alter: int) -> Self:
        self = object.__new__(cls)
        _set(self, "step", step)
        _set(self, "alter", alter)
        return self

    @classmethod
    def from_fifths(cls, fifths: int) -> Self:
        """Name at a place of the line of fifths, where C is 0, G is 1 and F is -1.

        Raises
        ------
        PitchError
            The name there would carry more than three accidentals.

        Examples
        --------
        >>> [PitchName.from_fifths(n).name for n in (-2, 0, 6, 13)]
        ['Bb', 'C', 'F#', 'F##']
        >>> PitchName.from_fifths(40)
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: fifths 40: must be from -22 (Fbbb) to 26 (B###)
        """
        if not isinstance(fifths, int):
            raise PitchError(f"fifths {fifths!r}: must be a whole number from -22 (Fbbb) to 26 (B###)")
        alter, place = divmod(fifths + 1, 7)
        if not -MOST_ACCIDENTALS <= alter <= MOST_ACCIDENTALS:
            raise PitchError(f"fifths {fifths!r}: must be from -22 (Fbbb) to 26 (B###)")
        return cls._make(_FIFTHS_STEPS[place], alter)

    @property
    def name(self) -> str:
        """ASCII name, such as ``'Eb'``; `PitchName` reads it back."""
        return self.step + ACCIDENTALS[self.alter]

    @property
    def display(self) -> str:
        """Name with printed accidentals, such as ``'E♭'``; `PitchName` reads it back."""
        return self.step + DISPLAY_ACCIDENTALS[self.alter]

    @property
    def pitch_class(self) -> int:
        """Pitch class from 0 to 11, C = 0."""
        return (STEP_SEMITONES[self.step] + self.alter) % 12

    @property
    def fifths(self) -> int:
        """Place on the line of fifths: C = 0, G = 1, F = -1, Bb = -2."""
        return STEP_FIFTHS[self.step] + 7 * self.alter

    def up(self, interval: Interval | str) -> "PitchName":
        """Name an interval higher.

        Raises
        ------
        IntervalError
            `interval` cannot be read.
        PitchError
            The result would carry more than three accidentals.

        Examples
        --------
        >>> PitchName("E").up("m3"), PitchName("C").up("-m3")
        (PitchName('G'), PitchName('A'))
        >>> PitchName("B##").up("AA1")
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: from B## the result would be a B with 4 sharps: at most three are written
        """
        by = interval if isinstance(interval, Interval) else Interval(interval)
        step, alter, _ = move_spelling(self.step, self.alter, by.steps, by.semitones)
        return PitchName._make(step, alter)

    def down(self, interval: Interval | str) -> "PitchName":
        """Name an interval lower; raises as `up` does.

        Examples
        --------
        >>> PitchName("C").down("m2")
        PitchName('B')
        """
        by = interval if isinstance(interval, Interval) else Interval(interval)
        step, alter, _ = move_spelling(self.step, self.alter, -by.steps, -by.semitones)
        return PitchName._make(step, alter)

    def is_enharmonic_to(self, other: "HasPitchClass | str") -> bool:
        """Whether both sound alike in equal temperament, octave aside.

        Examples
        --------
        >>> PitchName("F#").is_enharmonic_to(PitchName("Gb")), PitchName("F#") == PitchName("Gb")
        (True, False)
        """
        if hasattr(other, "pitch_class"):
            return self.pitch_class == other.pitch_class
        return self.pitch_class == PitchName(other).pitch_class

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"PitchName({self.name!r})"
