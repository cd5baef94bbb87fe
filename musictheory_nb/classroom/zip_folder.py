"""A zip that somebody handed in, read as a folder: nothing is unpacked to the disk, and every trick is one line.

Names that lead out of the zip, links, entries that stand twice, encrypted or oddly packed ones are told and not read; what
is read is bounded by what comes out, whatever the zip says of itself; zips in zips are opened as deep as the caller allows.
"""

import stat
import struct
import zipfile
import zlib
from pathlib import PureWindowsPath
from typing import BinaryIO, Final

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.student_folder import MAX_ENTRIES, Entry
from musictheory_nb.errors import SubmissionError

#: Largest zip of one student that is read.
MAX_ZIP_BYTES: Final = 64 * 1024 * 1024
#: Bytes of the table of contents for each entry that may be in it.
_BYTES_AN_ENTRY: Final = 1024
#: End of the table of contents (PKWARE APPNOTE 6.3.10, section 4.3.16): its signature, form and longest comment.
_END: Final = b"PK\x05\x06"
_END_FORM: Final = struct.Struct("<4s4H2LH")
_MAX_COMMENT: Final = 0xFFFF
_LONG_LOCATOR: Final = b"PK\x06\x07"
_LONG_LOCATOR_BYTES: Final = 20
_PACKINGS: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_ENCRYPTED: Final = 0x1
#: What a system adds to zips, of which nobody needs to hear.
_TRACES: Final = ("__MACOSX/",)


def _check_contents(file: BinaryIO, size: int, name: str, most: int) -> None:
    """Raise unless the table of contents is of a size that may be read into memory."""
    file.seek(max(0, size - _MAX_COMMENT - _END_FORM.size - _LONG_LOCATOR_BYTES))
    tail = file.read()
    at = tail.rfind(_END)
    if at < 0 or len(tail) - at < _END_FORM.size:
        raise SubmissionError(f"{name} is no zip, or its end is missing; have it handed in again")
    _, _, _, _, count, contents, _, _ = _END_FORM.unpack_from(tail, at)
    if tail[max(0, at - _LONG_LOCATOR_BYTES) : at].startswith(_LONG_LOCATOR) or count == 0xFFFF:
        raise SubmissionError(f"{name} is a zip of the kind for huge files; have the files themselves handed in")
    if count > most or contents > most * _BYTES_AN_ENTRY:
        raise SubmissionError(f"{name} holds {count} files; at most {most} are looked at")
    file.seek(0)


def _safe_name(info: zipfile.ZipInfo) -> str | None:
    """The path inside the zip, or None for one that leads out of it or that no system could write."""
    name = info.orig_filename
    if "\0" in name:
        return None
    name = name.replace("\\", "/")
    parts = name.rstrip("/").split("/")
    if name.startswith("/") or PureWindowsPath(name).drive or any(part in ("", ".", "..") for part in parts):
        return None
    return name


class ZipFolder:
    """An open zip; made by `open_zip`."""

    def __init__(self, archive: zipfile.ZipFile, name: str) -> None:
        self._archive = archive
        self._name = name
        self._members: dict[str, zipfile.ZipInfo] = {}
        #: Lines about entries that are not read.
        self.told: list[str] = []
        seen: set[str] = set()
        for info in archive.infolist():
            path = _safe_name(info)
            shown = plain_line(info.orig_filename, 60)
            if path is None:
                self.told.append(f"{name}: {shown!r} is a path that leads out of the zip; it was not read")
            elif path.startswith(_TRACES):
                continue
            elif path.casefold() in seen and not path.endswith("/"):
                self.told.append(f"{name}: {shown!r} stands in it twice; only the first was read")
            else:
                self._members[path] = info
                seen.add(path.casefold())

    def entries(self) -> tuple[tuple[Entry, ...], bool]:
        """Return every file in it, by its whole path, in order; never more than were allowed."""
        found = []
        for path, info in sorted(self._members.items()):
            mode = info.external_attr >> 16
            kind = stat.S_IFMT(mode)
            if path.endswith("/"):
                continue
            if kind == stat.S_IFLNK:
                found.append(Entry(path, "link"))
            else:
                found.append(Entry(path, "file" if kind in (0, stat.S_IFREG) else "other"))
        return tuple(found), False

    def read(self, name: str, limit: int) -> bytes | None:
        """Return the content of one file; None when there is nothing of that name.

        Raises
        ------
        SubmissionError
            It is encrypted, packed in a way that is not read, damaged, or unpacks to more than `limit` bytes.
        """
        info = self._members.get(name)
        if info is None:
            return None
        shown = f"{self._name}: {plain_line(name, 60)}"
        if info.flag_bits & _ENCRYPTED:
            raise SubmissionError(f"{shown} is encrypted; have it handed in without a password")
        if info.compress_type not in _PACKINGS:
            raise SubmissionError(f"{shown} is packed in a way that is not read; have an ordinary zip handed in")
        if info.file_size > limit:
            raise SubmissionError(f"{shown} has {info.file_size} bytes; at most {limit} are read")
        try:
            with self._archive.open(info) as file:
                data = file.read(limit + 1)
        except (
            zipfile.BadZipFile,
            zlib.error,
            EOFError,
            OSError,
            NotImplementedError,
            RuntimeError,
            ValueError,
        ) as error:
            raise SubmissionError(f"{shown} cannot be unpacked: {plain_line(str(error), 80)}") from None
        if len(data) > limit:
            raise SubmissionError(f"{shown} unpacks to more than {limit} bytes; it was not read")
        return data


def open_zip(file: BinaryIO, name: str, *, most: int = MAX_ENTRIES) -> ZipFolder:
    """Open a zip that nobody vouches for.

    Parameters
    ----------
    file : binary file
        Open for reading; it stays the caller's to close.
    name : str
        How lines call it.
    most : int
        Most files that may be in it.

    Raises
    ------
    SubmissionError
        It is no zip, damaged, or holds too much; one line says what.

    Examples
    --------
    >>> import io
    >>> open_zip(io.BytesIO(b"PK"), "homework.zip")
    Traceback (most recent call last):
    musictheory_nb.errors.SubmissionError: homework.zip is no zip, or its end is missing; have it handed in again
    """
    size = file.seek(0, 2)
    _check_contents(file, size, name, most)
    try:
        archive = zipfile.ZipFile(file)
    except (zipfile.BadZipFile, NotImplementedError, ValueError, OSError, struct.error) as error:
        raise SubmissionError(f"{name} is a damaged zip: {plain_line(str(error), 80)}") from None
    if len(archive.infolist()) > most:
        raise SubmissionError(f"{name} holds {len(archive.infolist())} files; at most {most} are looked at")
    return ZipFolder(archive, name)
