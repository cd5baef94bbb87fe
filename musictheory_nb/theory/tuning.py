"""Frequencies in hertz, MIDI note numbers and cents.

Twelve-tone equal temperament on A4 = MIDI note 69; A4 is 440 Hz unless another frequency is given (ISO 16:1975).
Just intonation: the ratio of each interval is in `just_intonation`; `just_hz` tunes a note over a tonic.
"""

import math
from fractions import Fraction
from typing import Final

from musictheory_nb.errors import PitchError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi

#: Standard tuning frequency of A4 in hertz (ISO 16:1975).
STANDARD_A4_HZ: Final = 440.0
#: MIDI note number of A4.
A4_MIDI: Final = 69
#: Four just fifths less two octaves and a just major third.
SYNTONIC_COMMA: Final = Fraction(81, 80)
#: Twelve just fifths less seven octaves.
PYTHAGOREAN_COMMA: Final = Fraction(531441, 524288)


def _positive(value: float | Fraction, argument: str, unit: str = "number of hertz, such as 440") -> float:
    """Return `value`, or raise unless it is positive and finite."""
    if isinstance(value, bool) or not isinstance(value, int | float | Fraction):
        raise PitchError(f"{argument} {value!r}: must be a positive {unit}")
    if not (value > 0 and math.isfinite(value)):
        raise PitchError(f"{argument} {value!r}: must be a positive {unit}")
    return float(value)


def midi_to_hz(number: float, a4: float = STANDARD_A4_HZ) -> float:
    """Frequency in hertz of a MIDI note number, which may be fractional (one unit is a semitone).

    Parameters
    ----------
    a4 : float
        Frequency of A4 in hertz.

    Raises
    ------
    PitchError
        `a4` is not positive, or `number` is not finite.

    Examples
    --------
    >>> midi_to_hz(69), round(midi_to_hz(60), 4), midi_to_hz(69, a4=442)
    (440.0, 261.6256, 442.0)
    >>> midi_to_hz(69, a4=-1)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: a4 -1: must be a positive number of hertz, such as 440
    """
    reference = _positive(a4, "a4")
    if not isinstance(number, int | float) or not math.isfinite(number):
        raise PitchError(f"MIDI number {number!r}: must be finite")
    return float(reference * 2.0 ** ((number - A4_MIDI) / 12))


def hz_to_midi(hz: float, a4: float = STANDARD_A4_HZ) -> float:
    """MIDI note number of a frequency in hertz, with its fraction (0.01 is a cent).

    Raises
    ------
    PitchError
        A frequency is not positive.

    Examples
    --------
    >>> hz_to_midi(440), round(hz_to_midi(261.6256), 4)
    (69.0, 60.0)
    >>> hz_to_midi(0)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: hz 0: must be a positive number of hertz, such as 440
    """
    return A4_MIDI + 12 * math.log2(_positive(hz, "hz") / _positive(a4, "a4"))


def nearest_midi(hz: float, a4: float = STANDARD_A4_HZ) -> tuple[int, float]:
    """MIDI note number nearest to a frequency, and how many cents the frequency lies above it.

    Raises
    ------
    PitchError
        A frequency is not positive.

    Examples
    --------
    >>> number, cents = nearest_midi(445)
    >>> number, round(cents, 2)
    (69, 19.56)
    >>> nearest_midi(-5)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: hz -5: must be a positive number of hertz, such as 440
    """
    exact = hz_to_midi(hz, a4)
    number = math.floor(exact + 0.5)
    return number, 100 * (exact - number)


def nearest_pitch(hz: float, key: Key | str | None = None, a4: float = STANDARD_A4_HZ) -> tuple[Pitch, float]:
    """Pitch nearest to a frequency, spelled in a key, and how many cents the frequency lies above it.

    Raises
    ------
    PitchError
        A frequency is not positive.
    PitchRangeError
        The nearest note lies outside the MIDI range.

    Examples
    --------
    >>> nearest_pitch(311.127, "Eb major")[0], nearest_pitch(311.127, "E major")[0]
    (Pitch('Eb4'), Pitch('D#4'))
    """
    number, cents = nearest_midi(hz, a4)
    return spell_midi(number, key), cents


def ratio_to_cents(ratio: Fraction | float) -> float:
    """Size in cents of a frequency ratio; negative below 1.

    Raises
    ------
    PitchError
        The ratio is not positive.

    Examples
    --------
    >>> round(ratio_to_cents(Fraction(3, 2)), 3), round(ratio_to_cents(SYNTONIC_COMMA), 3)
    (701.955, 21.506)
    >>> ratio_to_cents(0)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: ratio 0: must be a positive number, such as 3/2
    """
    return 1200 * math.log2(_positive(ratio, "ratio", "number, such as 3/2"))


def cents_to_ratio(cents: float) -> float:
    """Frequency ratio of a size in cents.

    Raises
    ------
    PitchError
        `cents` is not finite.

    Examples
    --------
    >>> cents_to_ratio(1200), round(cents_to_ratio(701.955), 6)
    (2.0, 1.5)
    """
    if not isinstance(cents, int | float) or not math.isfinite(cents):
        raise PitchError(f"cents {cents!r}: must be finite")
    return float(2.0 ** (cents / 1200))


def cents_between(low_hz: float, high_hz: float) -> float:
    """Cents from one frequency up to another; negative where the second is lower.

    Raises
    ------
    PitchError
        A frequency is not positive.

    Examples
    --------
    >>> cents_between(220, 440), round(cents_between(440, 442), 2)
    (1200.0, 7.85)
    """
    return 1200 * math.log2(_positive(high_hz, "high_hz") / _positive(low_hz, "low_hz"))


def just_hz(pitch: Pitch | str, tonic: Pitch | str, a4: float = STANDARD_A4_HZ) -> float:
    """Frequency in hertz of a pitch tuned justly over a tonic that is itself tempered.

    Raises
    ------
    IntervalError
        Their interval has no standard just ratio.
    PitchError
        A pitch cannot be read, or `a4` is not positive.

    Examples
    --------
    >>> round(just_hz("E4", "C4"), 3), round(Pitch("E4").hz(), 3)
    (327.032, 329.628)
    """
    low, high = Pitch(tonic), Pitch(pitch)
    return low.hz(a4) * float(Interval.between(low, high).just_ratio)
