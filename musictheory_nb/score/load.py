"""`load_score`: from a file, bytes or a music21 stream to a `Piece`."""

import hashlib
import os
import stat
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.abc_file import split_tunes
from musictheory_nb.score.abc_reader import read_abc
from musictheory_nb.score.abc_text import decode_abc
from musictheory_nb.score.building import build_score
from musictheory_nb.score.container import unpack_score
from musictheory_nb.score.draft import Draft
from musictheory_nb.score.file_format import format_of
from musictheory_nb.score.humdrum_reader import read_humdrum
from musictheory_nb.score.mei_reader import read_mei
from musictheory_nb.score.midi_reader import read_midi
from musictheory_nb.score.musicxml_reader import read_musicxml
from musictheory_nb.score.piece import Piece
from musictheory_nb.score.plain_file import plain_content
from musictheory_nb.score.score_cache import cached_score, keep_score
from musictheory_nb.score.stream_reader import read_stream
from musictheory_nb.score.tune_book import TuneBook, read_tune_book
from musictheory_nb.score.xml_text import decode_xml

#: Largest file that is read, in bytes.
MAX_FILE_BYTES: Final = 50_000_000


def load_score(source: str | os.PathLike[str] | bytes | Any, *, tune: int | None = None, cache: bool = True) -> Piece:
    r"""Read a score.

    Parameters
    ----------
    source : path, bytes or music21 stream
        MusicXML (plain or compressed), MEI, MIDI, ABC or Humdrum; the format is told from the content.
    tune : int, optional
        For an ABC file of several tunes: the number after ``X:`` of the one to read.
    cache : bool
        Keep what was read in the user's cache folder and take it from there next time, as long as the file's content
        is the same (`score_cache` says where, and how to switch it off for good).

    Raises
    ------
    ScoreError
        There is no such file, or it cannot be read as a score; the message says why.

    Examples
    --------
    >>> piece = load_score(b"X:1\nT:Rise\nM:3/4\nL:1/4\nK:G\nD|GAB|G2|]\n", cache=False)
    >>> piece.title, [measure.number for measure in piece.measures], piece.notes[0].beat
    ('Rise', ['0', '1', '2'], Fraction(3, 1))
    >>> load_score("no such piece.musicxml")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: score 'no such piece.musicxml': there is no such file
    """
    if not isinstance(source, str | os.PathLike | bytes | bytearray):
        return _from_stream(source)
    name, data = _content(source)
    digest = hashlib.sha256(data).hexdigest()
    key = digest if tune is None else f"{digest}-{tune}"
    if cache and (kept := cached_score(key, name)) is not None:
        return kept
    try:
        piece = Piece.of(build_score(_draft(data, tune), name, f"sha256:{digest}"))
    except ScoreError as error:
        raise ScoreError(f"score {name!r}: {error}" if name else f"score: {error}") from None
    if cache:
        keep_score(key, piece)
    return piece


def load_tunes(source: str | os.PathLike[str] | bytes) -> TuneBook:
    r"""Read every tune of an ABC file.

    Returns
    -------
    TuneBook
        A sequence of pieces. A tune that cannot be read does not spoil the others: it is named, with the reason, in
        ``.left_out``, and where the book is shown.

    Raises
    ------
    ScoreError
        The file cannot be read, or none of its tunes can.

    Examples
    --------
    >>> book = load_tunes(b"X:1\nT:One\nK:C\nC8|\n\nX:2\nT:Two\nK:G\nG8|\n\nX:3\nM:5/0\nK:C\nC|\n")
    >>> [tune.title for tune in book], [(tune.number, tune.reason) for tune in book.left_out]
    (['One', 'Two'], [('3', "tune X:3: metre '5/0': write it as '6/8', 'C', 'C|' or 'none'")])
    >>> load_tunes(b"X:1\nK:Es\nC8|\n")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: score: tune X:1: key 'Es': ABC writes it 'Eb'
    """
    name, data = _content(source)
    digest = hashlib.sha256(data).hexdigest()
    try:
        if format_of(data) != "ABC":
            return TuneBook((Piece.of(build_score(_draft(data, None), name, f"sha256:{digest}")),))
        return read_tune_book(split_tunes(decode_abc(data)), name, f"sha256:{digest}")
    except ScoreError as error:
        raise ScoreError(f"score {name!r}: {error}" if name else f"score: {error}") from None


def _from_stream(stream: Any) -> Piece:
    if not hasattr(stream, "classes") or "Stream" not in stream.classes:
        raise ScoreError(f"score {type(stream).__name__!r}: give a path, bytes or a music21 stream")
    try:
        return Piece.of(build_score(read_stream(stream)))
    except ScoreError as error:
        raise ScoreError(f"score: {error}") from None


def _draft(data: bytes, tune: int | None) -> Draft:
    """Return the draft of a file's content, whatever its format."""
    kind = format_of(data)
    if kind == "compressed MusicXML":
        data = unpack_score(data)
        kind = format_of(data)
        if kind == "compressed MusicXML":
            raise ScoreError("the archive holds another archive instead of a score")
    if tune is not None and kind != "ABC":
        raise ScoreError(f"tune {tune}: only ABC files hold several tunes; this is {kind}")
    if kind == "MusicXML":
        return read_musicxml(decode_xml(data))
    if kind == "MEI":
        return read_mei(decode_xml(data))
    if kind == "MIDI":
        return read_midi(data)
    if kind == "Humdrum":
        return read_humdrum(data)
    return _abc_draft(data, tune)


def _abc_draft(data: bytes, tune: int | None) -> Draft:
    tunes = split_tunes(decode_abc(data))
    wanted = [one for one in tunes if one.number == str(tune)] if tune is not None else tunes
    if len(wanted) == 1:
        return read_abc(wanted[0])
    numbers = ", ".join(one.number for one in tunes[:10]) + (" ..." if len(tunes) > 10 else "")
    if not wanted:
        raise ScoreError(f"tune {tune}: the file has the tunes {numbers}")
    if tune is not None:
        return read_abc(wanted[0])
    raise ScoreError(
        f"the file holds {len(tunes)} tunes ({numbers}); write load_score(..., tune={tunes[0].number or 1}), or use load_tunes"
    )


def _content(source: str | os.PathLike[str] | bytes | bytearray) -> tuple[str, bytes]:
    """Return name and bytes of a source."""
    if isinstance(source, bytes | bytearray):
        if len(source) > MAX_FILE_BYTES:
            raise ScoreError(f"score: {len(source)} bytes; at most {MAX_FILE_BYTES} are read")
        return "", bytes(source)
    path = os.fspath(source)
    try:
        status = os.stat(path)
        if stat.S_ISDIR(status.st_mode):
            raise ScoreError(f"score {str(source)!r}: that is a folder, not a file")
        if not stat.S_ISREG(status.st_mode):
            raise ScoreError(f"score {str(source)!r}: that is no plain file")
        if status.st_size > MAX_FILE_BYTES:
            raise ScoreError(f"score {str(source)!r}: {status.st_size} bytes; at most {MAX_FILE_BYTES} are read")
        return os.path.basename(path), plain_content(path, MAX_FILE_BYTES)
    except ScoreError:
        raise
    except FileNotFoundError:
        raise ScoreError(f"score {str(source)!r}: there is no such file") from None
    except (OSError, ValueError) as error:
        raise ScoreError(f"score {str(source)!r}: cannot be opened: {error}") from None
