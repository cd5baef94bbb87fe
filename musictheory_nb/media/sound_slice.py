"""Measures cut out of a stored sound."""

import io
import wave
from collections.abc import Sequence

from musictheory_nb.errors import MediaError


def sound_slice(wav: bytes, starts_s: Sequence[float], first: int, last: int) -> bytes:
    """Return the part of a WAV file (PCM) from the beginning of measure `first` to the end of measure `last`.

    Parameters
    ----------
    wav : bytes
        The whole sound.
    starts_s : sequence of float
        Where each measure begins, in seconds.
    first, last : int
        Indices, both included.

    Raises
    ------
    MediaError
        There are no such measures, or it is no WAV file.

    Examples
    --------
    >>> from musictheory_nb.media.wav import wav_bytes
    >>> import numpy as np
    >>> whole = wav_bytes(np.zeros(4000), 1000)
    >>> (len(sound_slice(whole, [0.0, 1.0, 2.5], 1, 1)) - 44) // 2  # 1.5 s of 1000 samples
    1500
    >>> sound_slice(whole, [0.0], 0, 1)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: measures 0 to 1: the sound has the indices 0 to 0
    """
    if not 0 <= first <= last < len(starts_s):
        raise MediaError(f"measures {first} to {last}: the sound has the indices 0 to {len(starts_s) - 1}")
    try:
        with wave.open(io.BytesIO(wav)) as source:
            rate, size = source.getframerate(), source.getnframes()
            start = round(starts_s[first] * rate)
            end = round(starts_s[last + 1] * rate) if last + 1 < len(starts_s) else size
            source.setpos(min(start, size))
            frames = source.readframes(max(0, end - start))
            parameters = source.getparams()
    except (wave.Error, EOFError) as error:
        raise MediaError(f"stored sound: no WAV file ({error})") from None
    made = io.BytesIO()
    with wave.open(made, "wb") as target:
        target.setparams(parameters)
        target.writeframes(frames)
    return made.getvalue()
