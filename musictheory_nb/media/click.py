"""The click of a metronome: when it sounds, and its sound."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Any, Final

from musictheory_nb.media.metre import Metre
from musictheory_nb.practice.excerpt import ExcerptMeasure

#: Frequencies of the first beat of a measure and of the others, in Hz: G6 and C6, above most music and mild to the ear.
ACCENT_HZ, BEAT_HZ = 1567.98, 1046.50
#: A click dies away by 1/e in this time and ends after `CLICK_S`.
_FADE_S: Final = 0.012
CLICK_S: Final = 0.06
#: Peak of a click; a tone of power 1 peaks near 3.
CLICK_LEVEL: Final = 2.0

#: Onset in quarters from the beginning of the music (below 0 when counted in), and whether it is the first of a measure.
Click = tuple[Fraction, bool]


def count_in_quarters(measures: Sequence[ExcerptMeasure], shifts: Sequence[Fraction]) -> Fraction:
    """Return how long the count-in before these measures lasts, in quarters.

    Parameters
    ----------
    measures : sequence of ExcerptMeasure
        That sound.
    shifts : sequence of Fraction
        How far into the full measure each of them begins (see `pickup_shift`); a pickup falls into the count-in.

    Examples
    --------
    >>> count_in_quarters([ExcerptMeasure("1", Fraction(3), "3/4")], [Fraction(0)])
    Fraction(3, 1)
    """
    return shifts[0] or Metre(measures[0].metre).length


def clicks(
    measures: Sequence[ExcerptMeasure], shifts: Sequence[Fraction], *, count_in: bool, metronome: bool
) -> tuple[Click, ...]:
    """Return the clicks before and beside the music.

    Parameters
    ----------
    measures, shifts
        As for `count_in_quarters`.
    count_in, metronome : bool
        Whether there are clicks before the music, and while it sounds.

    Examples
    --------
    >>> waltz = [ExcerptMeasure("1", Fraction(3), "3/4")]
    >>> [int(at) for at, _ in clicks(waltz, [Fraction(0)], count_in=True, metronome=True)]
    [-3, -2, -1, 0, 1, 2]
    """
    found: list[Click] = []
    if count_in:
        before = count_in_quarters(measures, shifts)
        found += [(beat - before, not beat) for beat in Metre(measures[0].metre).beats if beat < before]
    start = Fraction(0)
    for measure, late in zip(measures, shifts, strict=True):
        if metronome:
            found += [
                (start + beat - late, not beat)
                for beat in Metre(measure.metre).beats
                if late <= beat < late + measure.length
            ]
        start += measure.length
    return tuple(found)


def click_sound(accented: bool, sample_rate: int) -> Any:
    """Return the samples of one click: a tone that begins at its loudest and dies away.

    Examples
    --------
    >>> len(click_sound(True, 22050))
    1323
    """
    import numpy as np

    at = np.arange(round(CLICK_S * sample_rate)) / sample_rate
    body = CLICK_LEVEL * np.exp(-at / _FADE_S) * np.cos(2 * np.pi * (ACCENT_HZ if accented else BEAT_HZ) * at)
    body[-8:] *= np.linspace(1.0, 0.0, 8)
    return body * (1.0 if accented else 0.7)
