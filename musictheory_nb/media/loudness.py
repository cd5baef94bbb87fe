"""Integrated loudness and true peak of one channel, after ITU-R BS.1770.

A clip shorter than one gating block (400 ms) is measured as if followed by silence up to 400 ms, since the
recommendation defines no loudness for it.

References
----------
Recommendation ITU-R BS.1770-4 (2015), annex 1 (K-weighting, gating) and annex 2 (true peak by four-fold oversampling).
The recommendation prints its filters for 48 kHz only; here they are re-derived for any rate from the second-order
prototypes that give the printed coefficients at 48 kHz (a test holds them against the printed ones).
"""

import math
from functools import lru_cache
from typing import Any, Final

_BLOCK_S: Final = 0.4
_OVERLAP: Final = 4  # a new block every 100 ms
_ABSOLUTE_GATE_LUFS: Final = -70.0
_RELATIVE_GATE_LU: Final = -10.0
_OFFSET: Final = -0.691

# Prototypes of the two stages: frequency in Hz, quality, gain in dB.
_SHELF_HZ, _SHELF_Q, _SHELF_DB = 1681.974450955533, 0.7071752369554196, 3.999843853973347
_SHELF_BAND: Final = 0.4996667741545416
_HIGH_PASS_HZ, _HIGH_PASS_Q = 38.13547087602444, 0.5003270373238773
#: After this long the response of the filters to an impulse is below -150 dB.
_RESPONSE_S: Final = 0.35


def weighting_coefficients(sample_rate: int) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Return the two second-order stages of the K-weighting, each as ``(b0, b1, b2, 1, a1, a2)``.

    Examples
    --------
    >>> shelf, high_pass = weighting_coefficients(48000)
    >>> round(shelf[0], 5), round(high_pass[4], 5)
    (1.53512, -1.99005)
    """
    k = math.tan(math.pi * _SHELF_HZ / sample_rate)
    high = 10 ** (_SHELF_DB / 20)
    band = high**_SHELF_BAND
    a0 = 1 + k / _SHELF_Q + k * k
    shelf = (
        (high + band * k / _SHELF_Q + k * k) / a0,
        2 * (k * k - high) / a0,
        (high - band * k / _SHELF_Q + k * k) / a0,
        1.0,
        2 * (k * k - 1) / a0,
        (1 - k / _SHELF_Q + k * k) / a0,
    )
    k = math.tan(math.pi * _HIGH_PASS_HZ / sample_rate)
    a0 = 1 + k / _HIGH_PASS_Q + k * k
    high_pass = (1.0, -2.0, 1.0, 1.0, 2 * (k * k - 1) / a0, (1 - k / _HIGH_PASS_Q + k * k) / a0)
    return shelf, high_pass


def weighting_gain(hz: Any, sample_rate: int) -> Any:
    """Complex response of the K-weighting at the frequencies `hz`."""
    import numpy as np

    delay = np.exp(-2j * np.pi * np.asarray(hz, dtype=float) / sample_rate)
    response: Any = 1.0
    for b0, b1, b2, a0, a1, a2 in weighting_coefficients(sample_rate):
        response = response * (b0 + b1 * delay + b2 * delay**2) / (a0 + a1 * delay + a2 * delay**2)
    return response


@lru_cache(maxsize=8)
def _weighting_spectrum(sample_rate: int) -> tuple[int, int, Any]:
    """FFT size, length of the impulse response in samples, and spectrum of the K-weighting cut to that length."""
    import numpy as np

    taps = int(_RESPONSE_S * sample_rate)
    size = 1 << (4 * taps - 1).bit_length()
    bins = np.fft.rfftfreq(size, 1 / sample_rate)
    response = np.fft.irfft(weighting_gain(bins, sample_rate), size)
    response[taps:] = 0.0
    return size, taps, np.fft.rfft(response)


def weighted(samples: Any, sample_rate: int) -> Any:
    """Return `samples` through the K-weighting: convolved block by block, so that a long piece needs little memory."""
    import numpy as np

    size, taps, spectrum = _weighting_spectrum(sample_rate)
    step = size - taps
    rows = -(-len(samples) // step)
    blocks = np.zeros((rows, step))
    blocks.reshape(-1)[: len(samples)] = samples
    out = np.zeros(rows * step + taps)
    for row in range(rows):
        out[row * step : row * step + size] += np.fft.irfft(np.fft.rfft(blocks[row], size) * spectrum, size)
    return out[: len(samples)]


def integrated_loudness_lufs(samples: Any, sample_rate: int) -> float:
    """Return the gated loudness of one channel in LUFS; minus infinity for silence.

    Examples
    --------
    >>> import numpy as np
    >>> sine = np.sin(2 * np.pi * 997 * np.arange(48000) / 48000)
    >>> round(integrated_loudness_lufs(sine, 48000), 2)
    -3.01
    """
    import numpy as np

    step = round(_BLOCK_S * sample_rate / _OVERLAP)
    short = _OVERLAP * step - len(samples)
    if short > 0:
        samples = np.concatenate([samples, np.zeros(short)])
    power = weighted(samples, sample_rate) ** 2
    whole = len(power) // step
    sums = power[: whole * step].reshape(whole, step).sum(axis=1)
    running = np.concatenate([[0.0], np.cumsum(sums)])
    blocks = np.maximum(running[_OVERLAP:] - running[:-_OVERLAP], 0.0) / (_OVERLAP * step)
    loud = blocks[blocks > 10 ** ((_ABSOLUTE_GATE_LUFS - _OFFSET) / 10)]
    if not len(loud):
        return -math.inf
    kept = loud[loud > loud.mean() * 10 ** (_RELATIVE_GATE_LU / 10)]
    return float(_OFFSET + 10 * np.log10(kept.mean()))


@lru_cache(maxsize=1)
def _between_samples() -> Any:
    """Three windowed-sinc filters that give the signal at 1/4, 2/4 and 3/4 between two samples."""
    import numpy as np

    reach = 12
    places = np.arange(-reach + 1, reach + 1)
    shifts = np.array([0.25, 0.5, 0.75])[:, None] - places[None, :]
    window = np.kaiser(2001, 8.0)[np.rint((shifts / reach + 1) * 1000).astype(int).clip(0, 2000)]
    return np.sinc(shifts) * window


def true_peak(samples: Any) -> float:
    """Return the largest absolute value of the signal, between the samples too (four-fold oversampling); 1.0 is 0 dBFS.

    Examples
    --------
    >>> import numpy as np
    >>> quarter_rate = np.sin(np.pi / 4 + np.pi / 2 * np.arange(4000))  # every sample at 0.707 of the sine's peak
    >>> round(float(np.max(np.abs(quarter_rate))), 3), bool(true_peak(quarter_rate) > 0.99)
    (0.707, True)
    """
    import numpy as np

    if not len(samples):
        return 0.0
    peak = float(np.max(np.abs(samples)))
    # Only where the samples come near their largest can the curve between them go beyond it.
    near = np.flatnonzero(np.abs(samples) > 0.5 * peak)
    if peak == 0.0 or not len(near):
        return peak
    filters = _between_samples()
    reach = filters.shape[1] // 2
    padded = np.concatenate([np.zeros(reach), samples, np.zeros(reach)])
    starts = np.unique(np.concatenate([near, near - 1]))
    starts = starts[(starts >= -1) & (starts < len(samples))]
    for at in range(0, len(starts), 65536):
        chosen = starts[at : at + 65536]
        # sample i stands at padded[i + reach]; the filter's tap `reach - 1` falls on it
        rows = padded[np.clip(chosen[:, None] + 1 + np.arange(2 * reach)[None, :], 0, len(padded) - 1)]
        peak = max(peak, float(np.max(np.abs(rows @ filters.T))))
    return peak
