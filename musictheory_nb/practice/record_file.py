"""The answer record on disk: appended under a lock and flushed to the disk before anyone sees feedback."""

import errno
import os
import time
from pathlib import Path
from typing import Final

from musictheory_nb.errors import RecordError
from musictheory_nb.practice.answer_record import (
    MAX_BYTES,
    MAX_LINE,
    AnswerLine,
    RecordHeader,
    RecordReading,
    read_record,
)
from musictheory_nb.practice.exercise import is_slug

#: Seconds to wait for another window that is writing to the same record.
LOCK_PATIENCE_S: Final = 10.0
#: What a lock that another window holds answers; anything else is a disk that cannot lock.
_BUSY: Final = (errno.EAGAIN, errno.EACCES, errno.EDEADLK)
#: Byte that is locked on Windows: far past the end, so that reading is never in the way.
_LOCK_AT: Final = 1 << 40

if os.name == "nt":
    import msvcrt

    def _try_lock(file: int) -> None:
        os.lseek(file, _LOCK_AT, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]

    def _unlock(file: int) -> None:
        os.lseek(file, _LOCK_AT, os.SEEK_SET)
        msvcrt.locking(file, msvcrt.LK_UNLCK, 1)  # type: ignore[attr-defined,unused-ignore]

else:
    import fcntl

    def _try_lock(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)

    def _unlock(file: int) -> None:
        fcntl.flock(file, fcntl.LOCK_UN)


def record_name(lesson: str, student: str) -> str:
    """Return the file name of a record.

    Raises
    ------
    RecordError
        A name that is no slug.

    Examples
    --------
    >>> record_name("hear-intervals", "ines-orta")
    'hear-intervals.ines-orta.answers.jsonl'
    """
    for what, value in (("lesson", lesson), ("student", student)):
        if not is_slug(value):
            raise RecordError(f"{what} {value!r}: write lower-case letters, digits and hyphens, as 'ines-orta'")
    return f"{lesson}.{student}.answers.jsonl"


class RecordFile:
    """One student's record of one lesson.

    Parameters
    ----------
    folder : Path
        Where the notebook lies.
    header : RecordHeader
        Written as the first line when the file is new.

    Notes
    -----
    A kill at any moment leaves at most one incomplete last line. The next append closes it off with a line end, and
    reading reports it. A line is on the disk (``fsync``) when `append` returns.
    """

    def __init__(self, folder: Path, header: RecordHeader) -> None:
        self.header = header
        self.path = Path(folder) / record_name(header.lesson, header.student)

    def read(self) -> RecordReading:
        """Return what the file holds; nothing when there is none.

        Raises
        ------
        RecordError
            The record is there and cannot be opened.
        """
        try:
            with self.path.open("rb") as file:
                return read_record(file.read(MAX_BYTES + 1), self.path.name)
        except FileNotFoundError:
            return RecordReading(None, ())
        except OSError as error:
            raise RecordError(f"the record {self.path.name!r} cannot be opened: {error.strerror}") from None

    def append(self, answer: AnswerLine) -> None:
        """Add one answer and return when it is on the disk.

        Raises
        ------
        RecordError
            The answer is too long, another window holds the lock for 10 s, or the disk refuses.
        """
        line = answer.line().encode("utf-8")
        if len(line) > MAX_LINE:
            raise RecordError(f"answer of {len(line)} bytes; at most {MAX_LINE} can be recorded")
        try:
            file = os.open(self.path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o644)
        except OSError as error:
            raise RecordError(f"the record {self.path.name!r} cannot be written: {error.strerror}") from None
        try:
            self._lock(file)
            try:
                self._write(file, line)
            finally:
                _unlock(file)
        except OSError as error:
            raise RecordError(f"the record {self.path.name!r} cannot be written: {error.strerror}") from None
        finally:
            os.close(file)

    def _lock(self, file: int) -> None:
        until = time.monotonic() + LOCK_PATIENCE_S
        while True:
            try:
                return _try_lock(file)
            except OSError as error:
                if error.errno not in _BUSY:
                    raise
                if time.monotonic() > until:
                    raise RecordError(
                        f"the record {self.path.name!r} is being written by another window; close it and answer again"
                    ) from None
                time.sleep(0.02)

    def _write(self, file: int, line: bytes) -> None:
        size = os.fstat(file).st_size
        if size + len(line) > MAX_BYTES:
            raise RecordError(f"the record {self.path.name!r} is full ({size} bytes)")
        if size == 0:
            line = self.header.line().encode("utf-8") + line
        else:
            os.lseek(file, size - 1, os.SEEK_SET)
            if os.read(file, 1) != b"\n":
                line = b"\n" + line
            if size <= MAX_LINE and self.read().header is None:  # the header itself was cut off
                closed = b"\n" if line.startswith(b"\n") else b""
                line = closed + self.header.line().encode("utf-8") + line.removeprefix(b"\n")
        while line:
            line = line[os.write(file, line) :]
        os.fsync(file)
        if size == 0 and os.name != "nt":  # a new file: its name, too, must be on the disk
            folder = os.open(self.path.parent, os.O_RDONLY)
            try:
                os.fsync(folder)
            finally:
                os.close(folder)
