"""`load_score`: from a file, bytes or a music21 stream to a `Score`."""

import hashlib
import os
from pathlib import Path
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.building import build_score
from musictheory_nb.score.container import unpack_score
from musictheory_nb.score.musicxml_reader import read_musicxml
from musictheory_nb.score.score import Score
from musictheory_nb.score.xml_text import decode_xml

#: Largest file that is read, in bytes.
MAX_FILE_BYTES: Final = 50_000_000


def load_score(source: str | os.PathLike[str] | bytes) -> Score:
    """Read a score.

    Parameters
    ----------
    source : path or bytes
        A MusicXML file, plain or compressed.

    Raises
    ------
    ScoreError
        There is no such file, or it cannot be read as a score; the message says why.

    Examples
    --------
    >>> load_score("no such piece.musicxml")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: score 'no such piece.musicxml': there is no such file
    """
    name, data = _content(source)
    try:
        plain = unpack_score(data) if data.startswith(b"PK") else data
        draft = read_musicxml(decode_xml(plain))
        return build_score(draft, name, f"sha256:{hashlib.sha256(data).hexdigest()}")
    except ScoreError as error:
        raise ScoreError(f"score {name!r}: {error}" if name else f"score: {error}") from None


def _content(source: str | os.PathLike[str] | bytes) -> tuple[str, bytes]:
    """Return name and bytes of a source."""
    if isinstance(source, bytes | bytearray):
        return "", bytes(source)
    path = Path(source)
    try:
        if path.is_dir():
            raise ScoreError(f"score {str(source)!r}: that is a folder, not a file")
        if (size := path.stat().st_size) > MAX_FILE_BYTES:
            raise ScoreError(f"score {str(source)!r}: {size} bytes; at most {MAX_FILE_BYTES} are read")
        return path.name, path.read_bytes()
    except FileNotFoundError:
        raise ScoreError(f"score {str(source)!r}: there is no such file") from None
    except (OSError, ValueError) as error:
        raise ScoreError(f"score {str(source)!r}: cannot be opened: {error}") from None
