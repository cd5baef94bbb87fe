"""Compressed MusicXML: a ZIP archive whose ``META-INF/container.xml`` names the score.

Conventions: MusicXML 4.0, "Compressed .MXL files": the first rootfile of the container is the score. Nothing is ever
written to disk, so that names inside the archive lead nowhere; sizes are checked before and while unpacking.
"""

import io
import zipfile
from typing import Final
from urllib.parse import unquote

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.xml_text import decode_xml, parse_xml

#: Most bytes of a score once unpacked.
MAX_UNPACKED_BYTES: Final = 100_000_000
#: Most members of an archive.
MAX_MEMBERS: Final = 2_000
#: Most that a large score may grow on unpacking; real scores stay under 60.
MAX_GROWTH: Final = 400
_CONTAINER: Final = "META-INF/container.xml"
_SCORE_TYPES: Final = ("", "application/vnd.recordare.musicxml+xml", "application/vnd.recordare.musicxml", "text/xml")


def _read(archive: zipfile.ZipFile, name: str, limit: int) -> bytes:
    try:
        info = archive.getinfo(name)
        if info.flag_bits & 1:
            raise ScoreError(f"{name!r} in the archive is locked with a password")
        large = info.file_size > 1_000_000 and info.file_size > MAX_GROWTH * max(info.compress_size, 1)
        if info.file_size > limit or large:
            raise ScoreError(f"{name!r} in the archive would unpack to {info.file_size} bytes; that is no score")
        with archive.open(info) as member:
            data = member.read(limit + 1)
    except ScoreError:
        raise
    except Exception as error:  # a damaged archive makes zipfile raise errors of a dozen kinds
        raise ScoreError(f"{name!r} in the archive is damaged: {error}") from None
    if len(data) > limit:
        raise ScoreError(f"{name!r} in the archive unpacks to more than {limit} bytes; that is no score")
    return data


def _named_score(archive: zipfile.ZipFile) -> str:
    root = parse_xml(decode_xml(_read(archive, _CONTAINER, 1_000_000)))
    files = [
        (element.get("full-path", ""), element.get("media-type", ""))
        for element in root.iter()
        if element.tag.rpartition("}")[2] == "rootfile"
    ]
    if not files:
        raise ScoreError(f"{_CONTAINER} in the archive names no score")
    path = next((path for path, kind in files if kind in _SCORE_TYPES), files[0][0])
    names = archive.namelist()
    if path in names:
        return path
    plain = path.replace("\\", "/").lstrip("/").removeprefix("./")
    for spelled in (plain, unquote(plain)):
        if spelled in names:
            return spelled
    raise ScoreError(f"{_CONTAINER} names the score {path!r}, which is not in the archive")


def unpack_score(data: bytes) -> bytes:
    r"""Return the score that a compressed MusicXML file holds.

    Raises
    ------
    ScoreError
        No ZIP archive, damaged or locked; a container that names nothing or a file that is not there; an archive
        without a container in which not exactly one file looks like a score; sizes that no score has.

    Examples
    --------
    >>> unpack_score(b"PK\x03\x04 and nothing more")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: the compressed score is damaged: File is not a zip file
    """
    try:
        archive = zipfile.ZipFile(io.BytesIO(data))
        names = archive.namelist()
    except Exception as error:  # as above
        raise ScoreError(f"the compressed score is damaged: {error}") from None
    with archive:
        if len(names) > MAX_MEMBERS:
            raise ScoreError(f"the archive has {len(names)} files; a compressed score has at most {MAX_MEMBERS}")
        if _CONTAINER in names:
            return _read(archive, _named_score(archive), MAX_UNPACKED_BYTES)
        scores = [
            name
            for name in names
            if name.lower().endswith((".xml", ".musicxml")) and not name.upper().startswith(("META-INF/", "__MACOSX/"))
        ]
        if not scores:
            scores = [name for name in names if not name.endswith("/") and not name.upper().startswith("META-INF/")]
        if len(scores) != 1:
            found = ", ".join(repr(name) for name in scores[:5]) or "none"
            raise ScoreError(f"the archive has no {_CONTAINER} to name its score, and the scores in it are: {found}")
        return _read(archive, scores[0], MAX_UNPACKED_BYTES)
