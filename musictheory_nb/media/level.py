"""Every clip at one level: -23 LUFS and no peak above -6 dBFS, so that no listening startles and none is strained for.

The house level is -23 LUFS (the programme level of EBU R 128), within 1 LU, at a true peak of at most -6 dBFS. A clip
whose attacks stand out too far for that (a struck chord that rings away) has them eased by a limiter that turns the
sound down around each peak and back up, slowly enough to bend no wave. Where even so both cannot be had (one very
short low tone, whose energy is too small for its peak) the peak wins and the clip is softer. Silence stays silence.
"""

import math
from typing import Any, Final

from musictheory_nb.media.loudness import integrated_loudness_lufs, true_peak

TARGET_LUFS: Final = -23.0
PEAK_LIMIT_DBFS: Final = -6.0

#: The limiter turns down this long before and after a peak: longer than one period of the lowest string (E1, 41 Hz).
_EASE_S: Final = 0.03
_GRAIN_S: Final = 0.001
#: No peak is eased by more than this; beyond it the tone would lose its attack.
_MOST_EASED_DB: Final = 8.0
_NEAR_ENOUGH_LU: Final = 0.05
_ROUNDS: Final = 6


def ease_peaks(samples: Any, limit: float, sample_rate: int) -> Any:
    """Return `samples` with no sample above `limit`: turned down smoothly around each peak, elsewhere untouched.

    Notes
    -----
    The gain that each millisecond needs is taken at its least over `_EASE_S` to either side, then averaged over the
    same width with a raised-cosine weight. An average of values none of which is above the gain needed is not above it
    either, so the limit holds and nothing is clipped.

    Examples
    --------
    >>> import numpy as np
    >>> tone = np.sin(2 * np.pi * 100 * np.arange(8000) / 8000)
    >>> bool(np.max(np.abs(ease_peaks(tone, 0.5, 8000))) <= 0.5)
    True
    """
    import numpy as np

    grain = max(1, round(_GRAIN_S * sample_rate))
    count = -(-len(samples) // grain)
    padded = np.zeros(count * grain)
    padded[: len(samples)] = np.abs(samples)
    needed = np.minimum(1.0, limit / np.maximum(padded.reshape(count, grain).max(axis=1), 1e-12))
    reach = round(_EASE_S / _GRAIN_S)
    # One grain more on either side than is averaged: the gain is drawn as a line between the middles of grains.
    least = np.lib.stride_tricks.sliding_window_view(
        np.pad(needed, 2 * reach + 1, constant_values=1.0), 2 * reach + 3
    ).min(axis=1)
    weight = np.hanning(2 * reach + 1)
    gain = np.convolve(least, weight / weight.sum(), mode="valid")
    middles = (np.arange(len(gain)) + 0.5) * grain - (len(gain) - count) // 2 * grain
    return samples * np.interp(np.arange(len(samples)), middles, gain)


def at_house_level(samples: Any, sample_rate: int) -> Any:
    """Return `samples` at the house level; the peak limit always holds.

    Examples
    --------
    >>> import numpy as np
    >>> sine = at_house_level(np.sin(2 * np.pi * 997 * np.arange(48000) / 48000), 48000)
    >>> round(integrated_loudness_lufs(sine, 48000), 1), float(round(20 * np.log10(true_peak(sine)), 1))
    (-23.0, -20.0)
    >>> at_house_level(np.zeros(3), 48000).tolist()
    [0.0, 0.0, 0.0]
    """
    peak = true_peak(samples)
    if peak == 0.0:
        return samples
    limit = 10 ** (PEAK_LIMIT_DBFS / 20)
    samples = samples * (limit / peak)
    loudness = integrated_loudness_lufs(samples, sample_rate)
    if not math.isfinite(loudness) or loudness >= TARGET_LUFS:
        return samples * 10 ** (min(0.0, TARGET_LUFS - loudness) / 20)
    drive_db, eased = 0.0, samples
    for _ in range(_ROUNDS):
        missing = TARGET_LUFS - loudness
        if missing < _NEAR_ENOUGH_LU or drive_db == _MOST_EASED_DB:
            break
        drive_db = min(_MOST_EASED_DB, drive_db + missing)
        eased = ease_peaks(samples * 10 ** (drive_db / 20), limit, sample_rate)
        loudness = integrated_loudness_lufs(eased, sample_rate)
    return eased * min(1.0, limit / true_peak(eased))
