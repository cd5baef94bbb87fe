"""A student's folder, of which nobody knows what lies in it: listed and read without following a link."""

import os
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Final

from musictheory_nb.errors import SubmissionError

#: Entries of one folder that are looked at.
MAX_ENTRIES: Final = 1000

_HAS_DIR_FD: Final = os.open in os.supports_dir_fd and os.scandir in os.supports_fd and hasattr(os, "O_NOFOLLOW")
#: Attribute of links, junctions and mount points on Windows.
_REPARSE_POINT: Final = 0x400


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing in the folder: its name, and whether it is a ``'file'``, ``'folder'``, ``'link'`` or ``'other'``."""

    name: str
    kind: str


def _kind(status: os.stat_result) -> str:
    if stat.S_ISLNK(status.st_mode) or getattr(status, "st_file_attributes", 0) & _REPARSE_POINT:
        return "link"
    if stat.S_ISREG(status.st_mode):
        return "file"
    return "folder" if stat.S_ISDIR(status.st_mode) else "other"


def _check_bare(name: str) -> None:
    if name in ("", ".", "..") or os.path.basename(name) != name:
        raise SubmissionError(f"{name!r} is not a bare file name")


class StudentFolder:
    """An open folder; made by `open_student_folder`."""

    def __init__(self, path: Path, descriptor: int | None) -> None:
        self._path = path
        self._descriptor = descriptor

    def entries(self) -> tuple[tuple[Entry, ...], bool]:
        """Return up to `MAX_ENTRIES` entries by name, and whether there are more."""
        found: list[Entry] = []
        with os.scandir(self._path if self._descriptor is None else self._descriptor) as listing:
            for entry in listing:
                if len(found) == MAX_ENTRIES:
                    return tuple(sorted(found, key=lambda one: one.name)), True
                try:
                    found.append(Entry(entry.name, _kind(entry.stat(follow_symlinks=False))))
                except OSError:
                    found.append(Entry(entry.name, "other"))
        return tuple(sorted(found, key=lambda one: one.name)), False

    def read(self, name: str, limit: int) -> bytes | None:
        """Return the content of a file in this very folder; None when there is nothing of that name.

        Parameters
        ----------
        name : str
            A bare file name.
        limit : int
            Largest size in bytes.

        Raises
        ------
        SubmissionError
            It is a link, no file, too large, or cannot be opened.
        """
        opened = self.open(name, limit)
        if opened is None:
            return None
        with opened:
            data = opened.read(limit + 1)
        if len(data) > limit:
            raise SubmissionError(f"{name} grew while it was read; at most {limit} bytes are read")
        return data

    def open(self, name: str, limit: int) -> BinaryIO | None:
        """Return a file in this very folder, open for reading; None when there is nothing of that name.

        Raises
        ------
        SubmissionError
            It is a link, no file, larger than `limit` bytes, or cannot be opened.
        """
        _check_bare(name)
        try:
            if self._descriptor is None:
                if _kind(os.lstat(self._path / name)) == "link":
                    raise SubmissionError(f"{name} is a link; links are not followed")
                file = os.open(self._path / name, os.O_RDONLY | getattr(os, "O_BINARY", 0))
            else:
                # O_NONBLOCK: opening a pipe must not wait for someone to write into it
                flags = os.O_RDONLY | os.O_NOFOLLOW | os.O_NONBLOCK | os.O_CLOEXEC
                file = os.open(name, flags, dir_fd=self._descriptor)
        except FileNotFoundError:
            return None
        except OSError as error:
            if self._is_link(name):
                raise SubmissionError(f"{name} is a link; links are not followed") from None
            raise SubmissionError(f"{name} cannot be opened: {error.strerror}") from None
        status = os.fstat(file)
        problem = ""
        if not stat.S_ISREG(status.st_mode):
            problem = f"{name} is {'a folder' if stat.S_ISDIR(status.st_mode) else 'no file'}"
        elif status.st_size > limit:
            problem = f"{name} has {status.st_size} bytes; at most {limit} are read"
        if problem:
            os.close(file)
            raise SubmissionError(problem)
        return os.fdopen(file, "rb")

    @contextmanager
    def folder(self, name: str) -> "Iterator[StudentFolder]":
        """Open a folder in this very folder for reading.

        Raises
        ------
        SubmissionError
            It is a link or no folder, is gone, or cannot be opened.
        """
        _check_bare(name)
        if self._descriptor is None:
            with open_student_folder(self._path, name) as inside:
                if inside is None:
                    raise SubmissionError(f"{name} is gone")
                yield inside
            return
        try:
            flags = os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW | os.O_CLOEXEC
            descriptor = os.open(name, flags, dir_fd=self._descriptor)
        except OSError as error:
            raise SubmissionError(f"the folder {name} cannot be opened: {error.strerror}") from None
        try:
            yield StudentFolder(self._path / name, descriptor)
        finally:
            os.close(descriptor)

    def _is_link(self, name: str) -> bool:
        try:
            return _kind(os.stat(name, dir_fd=self._descriptor, follow_symlinks=False)) == "link"
        except OSError:
            return False


@contextmanager
def open_student_folder(folder: Path, student: str) -> Iterator[StudentFolder | None]:
    """Open the folder of a student for reading; None when there is none.

    Parameters
    ----------
    folder : Path
        The class's folder.
    student : str
        Slug, from the manifest.

    Raises
    ------
    SubmissionError
        It is a link or no folder, or cannot be opened.
    """
    path = Path(folder) / student
    try:
        kind = _kind(os.lstat(path))
    except FileNotFoundError:
        yield None
        return
    except OSError as error:
        raise SubmissionError(f"the folder cannot be opened: {error.strerror}") from None
    if kind != "folder":
        raise SubmissionError("the folder is a link; links are not followed" if kind == "link" else "it is no folder")
    if not _HAS_DIR_FD:
        yield StudentFolder(path, None)
        return
    try:
        descriptor = os.open(path, os.O_RDONLY | os.O_DIRECTORY | os.O_NOFOLLOW | os.O_CLOEXEC)
    except OSError as error:
        raise SubmissionError(f"the folder cannot be opened: {error.strerror}") from None
    try:
        yield StudentFolder(path, descriptor)
    finally:
        os.close(descriptor)
