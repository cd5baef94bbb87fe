"""A spelled pitch in an octave (`Pitch`), and the name without one (`PitchName`, from `pitch_name`).

Conventions: scientific pitch notation, C4 = middle C = MIDI note 60; the octave number follows the letter, so that
Cb4 sounds as B3. Equality is equality of spelling: F#4 and Gb4 are different pitches that sound alike
(`is_enharmonic_to`). A pitch may lie outside the MIDI range; only its MIDI number may not.
"""

import math
from dataclasses import dataclass
from functools import total_ordering
from typing import Self

from musictheory_nb.errors import PitchError, PitchRangeError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch_grammar import (
    ACCIDENTALS,
    DISPLAY_ACCIDENTALS,
    STEP_INDEX,
    STEP_SEMITONES,
    read_pitch_text,
)
from musictheory_nb.theory.pitch_name import PitchName, check_spelling, move_spelling

__all__ = ["Pitch", "PitchName"]

#: MIDI note number of A4, the tuning note.
_A4_MIDI = 69

_set = object.__setattr__


def _read(text: object) -> tuple[str, int, int]:
    """Letter, alteration and octave of a text that must have all three."""
    if isinstance(text, int):
        raise PitchError(f"pitch {text!r}: a number has no spelling; write spell_midi({text!r}, key=...)")
    if isinstance(text, PitchName):
        raise PitchError(f"pitch {text!r}: has no octave; write Pitch.from_name({text!r}, 4)")
    step, alter, octave = read_pitch_text(text)
    if octave is None:
        bare = step + ACCIDENTALS[alter]
        raise PitchError(f"pitch {text!r}: has no octave number; write '{bare}4', or PitchName({bare!r})")
    return step, alter, octave


@total_ordering
@dataclass(frozen=True, slots=True, init=False, repr=False)
class Pitch:
    """A spelled pitch in an octave. Pitches sort by sound, then by letter.

    Parameters
    ----------
    text : str or Pitch
        Such as ``"F#4"``, ``"E♭3"``, ``"Cb-1"``, ``"B double flat 2"``.

    Raises
    ------
    PitchError
        The text is not a pitch, or has no octave number.

    Notes
    -----
    Scientific pitch notation; middle C is C4 and MIDI note 60 (MIDI 1.0). Some makers print it C3.

    Examples
    --------
    >>> Pitch("F#4").midi, Pitch("Cb4").midi, Pitch("B#3").midi, Pitch("C-1").midi
    (66, 59, 60, 0)
    >>> Pitch("F#")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: pitch 'F#': has no octave number; write 'F#4', or PitchName('F#')
    """

    step: str
    alter: int
    octave: int

    def __init__(self, text: "str | Pitch") -> None:
        if isinstance(text, Pitch):
            step, alter, octave = text.step, text.alter, text.octave
        else:
            step, alter, octave = _read(text)
        _set(self, "step", step)
        _set(self, "alter", alter)
        _set(self, "octave", octave)

    @classmethod
    def of(cls, step: str, alter: int, octave: int) -> Self:
        """Build from letter, alteration in semitones, and octave number.

        Raises
        ------
        PitchError
            No such letter, more than three accidentals, or an octave that is no whole number.

        Examples
        --------
        >>> Pitch.of("B", -1, 3)
        Pitch('Bb3')
        >>> Pitch.of("B", -4, 3)
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: alter -4: must be a whole number of semitones from -3 to 3
        """
        check_spelling(step, alter)
        if not isinstance(octave, int):
            raise PitchError(f"octave {octave!r}: must be a whole number")
        return cls._make(step, alter, octave)

    @classmethod
    def from_name(cls, name: PitchName, octave: int) -> Self:
        """Put a name in an octave.

        Raises
        ------
        PitchError
            `octave` is no whole number.

        Examples
        --------
        >>> Pitch.from_name(PitchName("Cb"), 5)
        Pitch('Cb5')
        """
        return cls.of(name.step, name.alter, octave)

    @classmethod
    def _make(cls, step: str, alter: int, octave: int) -> Self:
        self = object.__new__(cls)
        _set(self, "step", step)
        _set(self, "alter", alter)
        _set(self, "octave", octave)
        return self

    @property
    def name(self) -> str:
        """ASCII name, such as ``'F#4'``; `Pitch` reads it back. An octave below -2 stands in brackets."""
        octave = str(self.octave) if self.octave >= -2 else f"({self.octave})"
        return self.step + ACCIDENTALS[self.alter] + octave

    @property
    def display(self) -> str:
        """Name with printed accidentals, such as ``'F♯4'``; `Pitch` reads it back."""
        octave = str(self.octave) if self.octave >= -2 else f"({self.octave})"
        return self.step + DISPLAY_ACCIDENTALS[self.alter] + octave.replace("-", "−")

    @property
    def pitch_name(self) -> PitchName:
        """Same letter and accidentals, without the octave."""
        return PitchName._make(self.step, self.alter)

    @property
    def pitch_class(self) -> int:
        """Pitch class from 0 to 11, C = 0."""
        return (STEP_SEMITONES[self.step] + self.alter) % 12

    @property
    def chromatic(self) -> int:
        """Semitones above C-1: the MIDI number, but of any range."""
        return 12 * self.octave + 12 + STEP_SEMITONES[self.step] + self.alter

    @property
    def diatonic(self) -> int:
        """Letters above C0: octave times 7 plus the letter's place (C = 0). Its place on the staff."""
        return 7 * self.octave + STEP_INDEX[self.step]

    @property
    def midi(self) -> int:
        """MIDI note number, 0 to 127; raises `PitchRangeError` outside.

        Examples
        --------
        >>> Pitch("C4").midi, Pitch("G9").midi
        (60, 127)
        >>> Pitch("Cb-1").midi
        Traceback (most recent call last):
        musictheory_nb.errors.PitchRangeError: pitch 'Cb-1': MIDI notes go from C-1 (0) to G9 (127); this would be -1
        """
        number = self.chromatic
        if not 0 <= number <= 127:
            flat = f"; for the flat write '{self.step}b{-self.octave}'" if self.octave < 0 and not self.alter else ""
            raise PitchRangeError(
                f"pitch {self.name!r}: MIDI notes go from C-1 (0) to G9 (127); this would be {number}{flat}"
            )
        return number

    def hz(self, a4: float = 440.0) -> float:
        """Frequency in hertz, in 12-tone equal temperament.

        Parameters
        ----------
        a4 : float
            Frequency of A4 in hertz; 440 is the standard (ISO 16:1975).

        Raises
        ------
        PitchError
            `a4` is not a positive number.

        Examples
        --------
        >>> Pitch("A4").hz(), round(Pitch("C4").hz(), 4), round(Pitch("A4").hz(a4=415), 1)
        (440.0, 261.6256, 415.0)
        >>> Pitch("A4").hz(a4=0)
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: a4 0: must be a positive number of hertz, such as 440
        """
        if not (isinstance(a4, int | float) and a4 > 0 and math.isfinite(a4)):
            raise PitchError(f"a4 {a4!r}: must be a positive number of hertz, such as 440")
        return float(a4 * 2.0 ** ((self.chromatic - _A4_MIDI) / 12))

    def up(self, interval: Interval | str) -> "Pitch":
        """Pitch an interval higher.

        Raises
        ------
        IntervalError
            `interval` cannot be read.
        PitchError
            The result would carry more than three accidentals.

        Examples
        --------
        >>> Pitch("B3").up("d5"), Pitch("C4").up("-A1")
        (Pitch('F4'), Pitch('Cb4'))
        """
        by = interval if isinstance(interval, Interval) else Interval(interval)
        step, alter, octaves = move_spelling(self.step, self.alter, by.steps, by.semitones)
        return Pitch._make(step, alter, self.octave + octaves)

    def down(self, interval: Interval | str) -> "Pitch":
        """Pitch an interval lower; raises as `up` does.

        Examples
        --------
        >>> Pitch("C4").down("m2"), Pitch("C4").down("A1")
        (Pitch('B3'), Pitch('Cb4'))
        """
        by = interval if isinstance(interval, Interval) else Interval(interval)
        step, alter, octaves = move_spelling(self.step, self.alter, -by.steps, -by.semitones)
        return Pitch._make(step, alter, self.octave + octaves)

    def is_enharmonic_to(self, other: "Pitch | str") -> bool:
        """Whether both sound alike in equal temperament, in the same octave.

        Examples
        --------
        >>> Pitch("B#3").is_enharmonic_to(Pitch("C4")), Pitch("B#3").is_enharmonic_to(Pitch("C5"))
        (True, False)
        """
        return self.chromatic == Pitch(other).chromatic

    def _order(self) -> tuple[int, int]:
        return self.chromatic, self.diatonic

    def __lt__(self, other: "Pitch") -> bool:
        return self._order() < other._order() if isinstance(other, Pitch) else NotImplemented

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Pitch({self.name!r})"
