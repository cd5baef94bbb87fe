"""Content of a plain file, read without setting aside more memory than the file needs."""

import os
from typing import Final

_FLAGS: Final = os.O_RDONLY | int(getattr(os, "O_BINARY", 0)) | int(getattr(os, "O_CLOEXEC", 0))
_CHUNK: Final = 1 << 20


def plain_content(path: str | os.PathLike[str], at_most: int) -> bytes:
    """Return the bytes of a plain file; of a longer one `at_most` and one more.

    Raises
    ------
    OSError
        It cannot be opened or read.
    ValueError
        The path holds a zero byte.

    Notes
    -----
    ``open(path, "rb").read(n)`` sets aside `n` bytes first, which for a small file costs more than all the rest.

    Examples
    --------
    >>> len(plain_content(__file__, 10))
    11
    >>> plain_content("no such file", 10)
    Traceback (most recent call last):
    FileNotFoundError: [Errno 2] No such file or directory: 'no such file'
    """
    descriptor = os.open(path, _FLAGS)
    try:
        data = os.read(descriptor, min(os.fstat(descriptor).st_size, at_most) + 1)
        while len(data) <= at_most and (more := os.read(descriptor, min(_CHUNK, at_most + 1 - len(data)))):
            data += more
        return data
    finally:
        os.close(descriptor)
