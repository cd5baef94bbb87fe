"""A short, small clip for a page that is given back: the sound of `sound`, cut, at half the sample rate and half the level.

A page carries its sound as base64, a third larger than the file. At 11.025 kHz, mono, 16 bits, a second takes 22 kB
and 29 kB in the page. Partials above 5 kHz are lost, which no question on pitch, chord or rhythm needs. A page without scripts cannot
set a player to half volume, so the samples are halved (6 dB below the house level).
"""

from dataclasses import dataclass, field
from typing import Any, Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.sound import FADE_S, SAMPLE_RATE, render_sound
from musictheory_nb.media.wav import HEADER_BYTES, wav_bytes
from musictheory_nb.practice.media_request import MediaRequest

SHORT_RATE: Final = SAMPLE_RATE // 2
#: Longest clip, in seconds.
LONGEST_SHORT_S: Final = 8.0
_TAPS: Final = 63


@dataclass(frozen=True)
class ShortClip:
    """Sound for a page.

    Parameters
    ----------
    wav : bytes
        A WAV file.
    seconds : float
        Its length.
    is_cut : bool
        Whether the music goes on after it.
    """

    wav: bytes = field(repr=False)
    seconds: float
    is_cut: bool


def half_rate(samples: Any) -> Any:
    """Return every other sample, after a low-pass filter (windowed sinc) at 0.45 of the new rate.

    Examples
    --------
    >>> import numpy as np
    >>> tone = np.sin(2 * np.pi * 440 * np.arange(4000) / 22050)
    >>> halved = half_rate(tone)
    >>> bool(np.max(np.abs(halved[100:-100] - tone[::2][100:-100])) < 0.01)
    True
    """
    import numpy as np

    at = np.arange(_TAPS) - _TAPS // 2
    weights = np.sinc(0.45 * at) * np.hamming(_TAPS)
    return np.convolve(samples, weights / weights.sum(), mode="same")[::2]


def _last_measure(request: MediaRequest, seconds: float) -> int:
    """Index of the last measure that begins within `seconds`."""
    first, last = request.span
    tempo = request.tempo or request.excerpt.tempo
    starts = request.excerpt.starts
    while last > first and float(starts[last] - starts[first]) * 60 / float(tempo) >= seconds:
        last -= 1
    return last


def short_clip(request: MediaRequest, seconds: float = LONGEST_SHORT_S) -> ShortClip:
    """Return the first `seconds` of what is to be heard.

    Parameters
    ----------
    request : MediaRequest
        Of the kind ``'sound'``.
    seconds : float
        Longest that it may be.

    Raises
    ------
    MediaError
        Not a sound, a length outside 0.5 to `LONGEST_SHORT_S`, or what `render_sound` refuses.

    Examples
    --------
    >>> from musictheory_nb.practice.excerpt import Excerpt
    >>> clip = short_clip(MediaRequest("sound", Excerpt.melody(["B3", "F4"], tempo=60), "Hear it"))
    >>> round(clip.seconds, 1), clip.is_cut, len(clip.wav)
    (2.3, False, 50760)
    >>> short_clip(MediaRequest("notation", Excerpt.melody(["B3", "F4"]), "See it"))
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: media kind 'notation': a clip is made of a request of the kind 'sound'
    """
    import numpy as np

    if request.kind != "sound":
        raise MediaError(f"media kind {request.kind!r}: a clip is made of a request of the kind 'sound'")
    if not 0.5 <= seconds <= LONGEST_SHORT_S:
        raise MediaError(f"seconds {seconds!r}: a short clip lasts 0.5 to {LONGEST_SHORT_S:g}")
    last = _last_measure(request, seconds)
    clip = render_sound(request, first=request.span[0], last=last)
    samples = half_rate(np.frombuffer(clip.wav[HEADER_BYTES:], dtype="<i2") / 32767.0) / 2
    size = round(seconds * SHORT_RATE)
    is_cut = last < request.span[1] or len(samples) > size
    samples = samples[:size].copy()
    fade = round((4 if is_cut else 1) * FADE_S * SHORT_RATE)
    samples[-fade:] *= np.linspace(1.0, 0.0, fade)
    return ShortClip(wav_bytes(samples, SHORT_RATE), len(samples) / SHORT_RATE, is_cut)
