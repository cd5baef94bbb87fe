"""Pitch of one sung or played line along a recording: frequency, clarity and level every hundredth of a second.

Method: the cumulative mean normalised difference function of de Cheveigné and Kawahara, "YIN, a fundamental frequency
estimator for speech and music", Journal of the Acoustical Society of America 111 (2002), steps 1 to 5. Their first dip
gives the period; dips at twice, four times, eight times ... that lag then give it again with a fraction of the error,
so that a tone of C7, 21 samples long, is as exact as a low one.
"""

import math
from dataclasses import dataclass
from typing import Any, Final

from musictheory_nb.errors import MediaError

#: Lowest and highest frequency that is looked for, in Hz: a little beyond E1 and C7.
LOWEST_HZ, HIGHEST_HZ = 39.0, 2200.0
#: Seconds between two frames.
HOP_S: Final = 0.01
#: Longest recording that is tracked, in seconds.
LONGEST_S: Final = 120.0

_WINDOW_S: Final = 0.046
#: A dip of the normalised difference below this is a period (the paper's absolute threshold).
_DIP: Final = 0.15
#: Above this normalised difference a frame has no pitch.
_NO_PITCH: Final = 0.35
#: Softer than this below the loudest frame, or below full scale, is silence.
_SILENCE_DB, _FLOOR_DB = 40.0, -60.0
_BATCH: Final = 256
#: To either side of a dip a parabola is laid through this share of the period, one part in so many.
_FITTED_SHARE: Final = 60


@dataclass(frozen=True)
class PitchTrack:
    """Pitch along a recording, one entry a frame.

    Parameters
    ----------
    times_s : array of float
        Middle of each frame, in seconds.
    hz : array of float
        Frequency; NaN where there is none.
    clarity : array of float
        1 for a perfectly repeating wave, 0 for noise.
    level_db : array of float
        Root mean square of the frame in dB below full scale.
    """

    times_s: Any
    hz: Any
    clarity: Any
    level_db: Any


def track_pitch(samples: Any, sample_rate: int) -> PitchTrack:
    """Return the pitch along a recording of one line.

    Parameters
    ----------
    samples : array of float
        One channel; 1.0 is full scale.
    sample_rate : int
        Samples a second, 8,000 to 192,000.

    Raises
    ------
    MediaError
        A sample rate or length that is no recording, or samples that are not finite numbers.

    Examples
    --------
    >>> import numpy as np
    >>> wave = 0.3 * np.sin(2 * np.pi * 440 * np.arange(22050) / 44100)
    >>> round(float(np.nanmedian(track_pitch(wave, 44100).hz)), 1)
    440.0
    >>> track_pitch(wave, 100)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: sample rate 100: allowed are 8000 to 192000 samples a second
    """
    import numpy as np

    if not 8000 <= sample_rate <= 192_000:
        raise MediaError(f"sample rate {sample_rate!r}: allowed are 8000 to 192000 samples a second")
    wave = np.asarray(samples, dtype=float)
    if wave.ndim != 1 or not np.all(np.isfinite(wave)):
        raise MediaError("samples: one channel of finite numbers is needed")
    if len(wave) > LONGEST_S * sample_rate:
        raise MediaError(f"recording of {len(wave) / sample_rate:.0f} s: at most {LONGEST_S:.0f} s are tracked")
    longest = math.ceil(sample_rate / LOWEST_HZ)
    shortest = max(2, math.floor(sample_rate / HIGHEST_HZ))
    window = max(round(_WINDOW_S * sample_rate), longest)
    lags = 2 * longest + 2
    frame = window + lags
    wave = np.pad(wave - (wave.mean() if len(wave) else 0.0), (0, max(0, frame - len(wave))))
    hop = round(HOP_S * sample_rate)
    starts = np.arange(0, len(wave) - frame + 1, hop)
    hz, clarity, level = (np.full(len(starts), np.nan) for _ in range(3))
    for first in range(0, len(starts), _BATCH):
        rows = slice(first, min(first + _BATCH, len(starts)))
        frames = wave[starts[rows, None] + np.arange(frame)]
        difference, normalised = _differences(frames, window, lags)
        level[rows] = 10 * np.log10(np.mean(frames[:, :window] ** 2, axis=1) + 1e-20)
        for row in range(len(frames)):
            period, dip = _period(difference[row], normalised[row], shortest, longest)
            clarity[first + row] = 1.0 - min(1.0, dip)
            if dip <= _NO_PITCH:
                hz[first + row] = sample_rate / period
    if len(level):
        hz[level < max(_FLOOR_DB, float(level.max()) - _SILENCE_DB)] = np.nan
    return PitchTrack((starts + window / 2) / sample_rate, hz, clarity, level)


def _differences(frames: Any, window: int, lags: int) -> tuple[Any, Any]:
    """The difference function of each frame at the lags 0 to `lags` - 1, and the same normalised by its running mean."""
    import numpy as np

    size = 1 << (frames.shape[1] + window - 1).bit_length()
    spectrum = np.fft.rfft(frames, size)
    head = np.fft.rfft(frames[:, :window], size)
    product = np.fft.irfft(spectrum * np.conj(head), size)[:, :lags]
    energy = np.concatenate([np.zeros((len(frames), 1)), np.cumsum(frames**2, axis=1)], axis=1)
    shifted = energy[:, window : window + lags] - energy[:, :lags]
    difference = np.maximum(shifted[:, :1] + shifted - 2 * product, 0.0)
    running = np.cumsum(difference[:, 1:], axis=1)
    normalised = np.ones_like(difference)
    normalised[:, 1:] = difference[:, 1:] * np.arange(1, lags) / np.maximum(running, 1e-20)
    return difference, normalised


def _period(difference: Any, normalised: Any, shortest: int, longest: int) -> tuple[float, float]:
    """Period in samples, and the normalised difference there."""
    import numpy as np

    within = normalised[shortest : longest + 1]
    below = np.flatnonzero(within < _DIP)
    if len(below):
        first = shortest + int(below[0])
        above = np.flatnonzero(normalised[first : longest + 1] >= _DIP)
        end = first + int(above[0]) if len(above) else longest + 1
        lag = first + int(np.argmin(normalised[first:end]))
    else:
        lag = shortest + int(np.argmin(within))
    fitted = max(1, lag // _FITTED_SHARE)
    period, times = _dip_at(difference, lag, fitted), 1
    while 2 * times * period + 2 < len(difference):
        times *= 2
        reach = max(1, min(3, int(period / 4)))
        near = round(times * period)
        first = max(1, near - reach)
        lowest = first + int(np.argmin(difference[first : near + reach + 1]))
        if lowest in (first, near + reach) and reach > 1:
            break
        period = _dip_at(difference, lowest, fitted) / times
    return period, float(normalised[lag])


def _dip_at(difference: Any, lag: int, fitted: int) -> float:
    """Place of the minimum of a parabola through `fitted` lags to either side of a dip."""
    import numpy as np

    reach = min(fitted, lag - 1, len(difference) - 1 - lag)
    if reach < 1:
        return float(lag)
    at = np.arange(-reach, reach + 1)
    square = at**2 - np.mean(at**2)
    near = difference[lag - reach : lag + reach + 1]
    slope = float(at @ near) / float(at @ at)
    curve = float(square @ near) / float(square @ square)
    return lag - slope / (2 * curve) if curve > 0 and abs(slope) < 2 * curve * reach else float(lag)
