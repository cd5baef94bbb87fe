"""One tone, computed: a sum of exactly harmonic partials in one of four timbres.

The partials stand at whole multiples of the fundamental and do not move, so that the pitch heard is the pitch of the
theory, to a small fraction of a cent: no inharmonicity, no vibrato, no chorus. Timbres are named after how a tone is
made, not after an instrument: ``struck`` (rings and fades in two stages), ``plucked`` (brighter, fades sooner),
``held`` (steady while the note lasts), ``plain`` (steady, few partials). Low tones carry enough partials to be heard
on small loudspeakers.

Tones are balanced against one another by their K-weighted power (ITU-R BS.1770), so that bass and treble of one
excerpt are about equally loud.
"""

import math
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.loudness import weighting_gain
from musictheory_nb.theory.tuning import midi_to_hz


@dataclass(frozen=True)
class Timbre:
    """How a tone of one kind is built.

    Parameters
    ----------
    steepness : float
        Partial number n has the amplitude ``n ** -steepness`` before the other factors.
    bright_hz : float
        Partials fade out around this frequency: factor ``exp(-(f / bright_hz) ** 2)``; at least an octave and a fifth
        above the fundamental.
    struck_at : float
        Where along the string it is set going, 0 to 0.5; partials with a node there are missing. 0 for no string.
    ring_s : float
        Time in which the fundamental of middle C falls to 1/e; 0 for a steady tone.
    attack_s, release_s : float
        Rise from silence, and fall to silence after the note's end.
    """

    steepness: float
    bright_hz: float
    struck_at: float
    ring_s: float
    attack_s: float
    release_s: float


TIMBRES: Final = MappingProxyType(
    {
        "struck": Timbre(1.6, 3600.0, 0.12, 1.6, 0.004, 0.11),
        "plucked": Timbre(1.15, 3000.0, 0.22, 0.8, 0.003, 0.08),
        "held": Timbre(1.25, 4200.0, 0.0, 0.0, 0.022, 0.09),
        "plain": Timbre(2.6, 2500.0, 0.0, 0.0, 0.012, 0.05),
    }
)

#: C0 and C9, as MIDI numbers: beyond them a tone is no pitch to the ear, or above what the sample rate holds.
LOWEST, HIGHEST = 12, 120

_MIDDLE_C_HZ: Final = 261.6255653005986
_MOST_PARTIALS: Final = 48
_GOLDEN: Final = (math.sqrt(5) - 1) / 2
#: No partial above this share of the sample rate.
_TOP: Final = 0.45


def check_a4(a4: float) -> None:
    """Raise `MediaError` unless `a4` is a frequency in Hz that an ensemble tunes to.

    Examples
    --------
    >>> check_a4(440), check_a4(415)
    (None, None)
    >>> check_a4(4)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: a4 4: a tuning A lies between 300 and 600 Hz, as 440 or 415
    """
    if not 300 <= a4 <= 600:
        raise MediaError(f"a4 {a4!r}: a tuning A lies between 300 and 600 Hz, as 440 or 415")


def timbre_named(name: str) -> Timbre:
    """Return the timbre called `name`.

    Raises
    ------
    MediaError
        There is none of that name.

    Examples
    --------
    >>> timbre_named("held").attack_s
    0.022
    >>> timbre_named("loud")
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: timbre 'loud'; allowed: struck, plucked, held, plain
    """
    if name not in TIMBRES:
        raise MediaError(f"timbre {name!r}; allowed: {', '.join(TIMBRES)}")
    return TIMBRES[name]


def tone(midi: int, samples: int, timbre: Timbre, sample_rate: int, *, a4: float = 440.0) -> Any:
    """Return a tone that rings for `samples` samples, from silence, without its release.

    Parameters
    ----------
    midi : int
        MIDI number, in 12-tone equal temperament; ISO 16 sets A4 (69) at 440 Hz.
    samples, sample_rate : int
        Length, and samples a second.
    timbre : Timbre
        How it is built.
    a4 : float
        Frequency of A4 in Hz.

    Raises
    ------
    MediaError
        `a4` is no tuning.

    Notes
    -----
    A partial that fades is one complex exponential ``exp(s n)``. Written as ``exp(s (B m + j))`` for ``n = B m + j``
    it is the product of a column and a row, and the whole tone one matrix product: no sine is taken per sample.
    """
    import numpy as np

    check_a4(a4)
    hz = midi_to_hz(midi, a4)
    number = np.arange(1, max(1, min(_MOST_PARTIALS, int(_TOP * sample_rate / hz))) + 1, dtype=float)
    level = number**-timbre.steepness * np.exp(-((number * hz / max(timbre.bright_hz, 3 * hz)) ** 2))
    if timbre.struck_at:
        level *= np.abs(np.sin(np.pi * number * timbre.struck_at))
    power = 0.5 * np.sum((level * np.abs(weighting_gain(number * hz, sample_rate))) ** 2)
    level /= math.sqrt(power)
    # Phases after Schroeder (1970) keep the peak of the sum low for its power; a different start in each tone's own
    # cycle keeps the peaks of a chord apart.
    level = level * np.exp(
        -1j * np.pi * number * (number - 1) / len(number) + 2j * np.pi * number * (midi * _GOLDEN % 1)
    )
    turn = 2j * np.pi * number * hz / sample_rate
    if timbre.ring_s:
        ring = timbre.ring_s * (_MIDDLE_C_HZ / hz) ** 0.55 * sample_rate / (1 + 0.3 * (number - 1))
        # two stages: most of the tone fades fast, the rest rings on
        turn = np.concatenate([turn - 1.8 / ring, turn - 0.4 / ring])
        level = np.concatenate([0.55 * level, 0.45 * level])
    block = max(16, math.isqrt(samples))
    rows = -(-samples // block)
    column = level * np.exp(np.outer(np.arange(rows) * block, turn))
    row = np.exp(np.outer(turn, np.arange(block)))
    left, right = np.hstack([column.real, -column.imag]), np.vstack([row.real, row.imag])
    # einsum and not a BLAS product: no threads that wait for one another on a busy machine, and one order of adding
    body = np.einsum("mk,kb->mb", left, right).reshape(-1)[:samples]
    rise = min(samples, max(1, round(timbre.attack_s * sample_rate)))
    # A quarter of a sine: it leaves silence at once, so that a soft attack is as punctual as a sharp one.
    body[:rise] *= np.sin(0.5 * np.pi * np.arange(rise) / rise)
    return body
