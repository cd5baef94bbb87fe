"""Writing a file so that it is either there whole or as it was before."""

import contextlib
import os
import tempfile
from pathlib import Path

from musictheory_nb.errors import ClassroomError


def write_whole(path: Path, data: bytes, *, keep: bool = False) -> bool:
    """Write `data` to `path` in one step and return whether it was written.

    A link that lies at `path` is replaced, never followed.

    Parameters
    ----------
    path : Path
        Its folder exists.
    data : bytes
        The whole content.
    keep : bool
        Leave whatever lies at `path` as it is, and return False.

    Raises
    ------
    ClassroomError
        The disk refuses; says which file and why.
    """
    try:
        if keep and os.path.lexists(path):
            return False
        descriptor, draft = tempfile.mkstemp(prefix=f".{path.name[:40]}.", suffix=".part", dir=path.parent)
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            os.chmod(draft, 0o644)
            if not keep:
                os.replace(draft, path)
                return True
            return _place_new(draft, path)
        finally:
            with contextlib.suppress(FileNotFoundError):
                os.unlink(draft)
    except OSError as error:
        raise ClassroomError(f"'{path}' cannot be written: {error.strerror}") from None


def _place_new(draft: str, path: Path) -> bool:
    """Move the draft to `path` unless something appeared there in the meantime."""
    try:
        os.link(draft, path)
    except FileExistsError:
        return False
    except OSError:  # a disk without hard links
        if os.path.lexists(path):
            return False
        os.replace(draft, path)
    return True


def make_folder(path: Path) -> None:
    """Make `path` and the folders above it.

    Raises
    ------
    ClassroomError
        The disk refuses, or a file or link stands in the way.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise ClassroomError(f"folder '{path}' cannot be made: {error.strerror}") from None
