"""A mono 16-bit PCM WAV file in memory.

Layout: RIFF/WAVE with one ``fmt `` chunk (format 1, PCM) and one ``data`` chunk, little-endian (Multimedia Programming
Interface and Data Specifications 1.0, IBM and Microsoft, 1991). No time stamp or name is written: equal samples give
equal bytes.
"""

import struct
from typing import Any, Final

from musictheory_nb.errors import MediaError

#: Bytes of such a file before its samples.
HEADER_BYTES: Final = 44


def pcm_samples(data: bytes) -> Any:
    """Return the samples of 16-bit little-endian PCM, one channel; 1.0 is digital full scale.

    Examples
    --------
    >>> pcm_samples(bytes([0, 0, 0, 64])).tolist()
    [0.0, 0.5]
    """
    import numpy as np

    return np.frombuffer(data[: len(data) // 2 * 2], dtype="<i2") / 32768.0


def wav_bytes(samples: Any, sample_rate: int) -> bytes:
    """Return a WAV file that holds `samples`.

    Parameters
    ----------
    samples : array of float
        One channel; 1.0 is digital full scale (0 dBFS).
    sample_rate : int
        Samples a second.

    Raises
    ------
    MediaError
        A sample is beyond full scale or not a number: it would be heard as a crack.

    Examples
    --------
    >>> import numpy as np
    >>> data = wav_bytes(np.zeros(10), 22050)
    >>> data[:4], data[8:12], len(data)
    (b'RIFF', b'WAVE', 64)
    >>> wav_bytes(np.array([2.0]), 22050)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: samples: the largest is 2.0, full scale is 1.0
    """
    import numpy as np

    largest = float(np.max(np.abs(samples))) if len(samples) else 0.0
    if not largest <= 1.0:
        raise MediaError(f"samples: the largest is {largest}, full scale is 1.0")
    data = np.rint(np.asarray(samples) * 32767.0).astype("<i2").tobytes()
    form = struct.pack("<4sIHHIIHH", b"fmt ", 16, 1, 1, sample_rate, 2 * sample_rate, 2, 16)
    body = b"WAVE" + form + struct.pack("<4sI", b"data", len(data)) + data
    return struct.pack("<4sI", b"RIFF", len(body)) + body
