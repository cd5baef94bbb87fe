"""Which format the bytes of a score are in, told from what they hold, never from the file's name."""

import re
from typing import Final

from musictheory_nb.errors import ScoreError

#: Formats that are read.
FORMATS: Final = ("compressed MusicXML", "MusicXML", "MEI", "MIDI", "ABC", "Humdrum")
#: Beginnings of files that people mistake for scores, and what to do instead.
_OTHERS: Final = (
    (b"%PDF", "a PDF; it holds pictures of notes: export MusicXML from the program that made it"),
    (b"\x89PNG", "a picture; scan it with a music reader that exports MusicXML"),
    (b"\xff\xd8\xff", "a picture; scan it with a music reader that exports MusicXML"),
    (b"GIF8", "a picture; scan it with a music reader that exports MusicXML"),
    (b"RIFF", "a RIFF file; export plain MIDI or MusicXML"),
    (b"ID3", "a sound recording; a score is needed"),
    (b"OggS", "a sound recording; a score is needed"),
    (b"fLaC", "a sound recording; a score is needed"),
    (b"\x1f\x8b", "gzip-compressed; unpack it first"),
    (b"SQLite format", "a database"),
    (b"ENIGMA BINARY", "a file of a notation program; export MusicXML from it"),
    (b"\x0fSIBELIUS", "a file of a notation program; export MusicXML from it"),
)
_ROOT: Final = re.compile(r"<(?:[A-Za-z][\w.-]*:)?([A-Za-z][\w.-]*)")
_SKIP: Final = re.compile(r"\s+|<\?.*?\?>|<!--.*?-->|<!DOCTYPE[^>\[]*(?:\[.*?\]\s*)?>", re.S)
_ROOTS: Final = {"score-partwise": "MusicXML", "score-timewise": "MusicXML", "mei": "MEI"}


def format_of(data: bytes) -> str:
    r"""Return one of `FORMATS`.

    Raises
    ------
    ScoreError
        The bytes are empty, or of none of them.

    Examples
    --------
    >>> format_of(b"X:1\nK:C\nCDEF|"), format_of(b"MThd\x00\x00\x00\x06")
    ('ABC', 'MIDI')
    >>> format_of(b"")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: the file is empty
    """
    if not data.strip():
        raise ScoreError("the file is empty")
    if data.startswith((b"PK\x03\x04", b"PK\x05\x06")):
        return "compressed MusicXML"
    if data.startswith(b"MThd"):
        return "MIDI"
    for beginning, what in _OTHERS:
        if data.startswith(beginning):
            raise ScoreError(f"the file is {what}; formats that are read: {', '.join(FORMATS)}")
    text = _glimpse(data)
    if text.lstrip().startswith("<"):
        return _xml_format(text)
    if re.search(r"^X:[ \t]*\d*[ \t]*$", text, re.M) and re.search(r"^K:", text, re.M):
        return "ABC"
    if re.search(r"^\*\*(kern|mens|dynam|text|harm|root|recip)", text, re.M) or text.startswith(("!!!", "!!", "**")):
        return "Humdrum"
    if re.search(r"^X:", text, re.M):
        return "ABC"
    raise ScoreError(f"the file is in no format that is read; those are: {', '.join(FORMATS)}")


def _glimpse(data: bytes) -> str:
    """Return text enough to tell formats apart, whatever its encoding."""
    head = data[:200_000]
    if head.startswith((b"\xff\xfe\x00\x00", b"\x00\x00\xfe\xff")):
        return head.decode("utf-32", errors="replace")
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return head.decode("utf-16", errors="replace").lstrip("\ufeff")
    if head[:4].count(0) == 2:
        return head.decode("utf-16-le" if head[1] == 0 else "utf-16-be", errors="replace")
    if head[:4].count(0) == 3:
        return head.decode("utf-32-le" if head[0] else "utf-32-be", errors="replace")
    return head.removeprefix(b"\xef\xbb\xbf").decode("latin-1")


def _xml_format(text: str) -> str:
    at = 0
    while match := _SKIP.match(text, at):
        at = match.end()
    root = _ROOT.match(text, at)
    name = root[1] if root else ""
    if name in _ROOTS:
        return _ROOTS[name]
    if "<!DOCTYPE" in text[:2000] and "<!ENTITY" in text:
        return "MusicXML"  # refused there, before any parser sees it
    if name == "museScore":
        raise ScoreError("the file is of a notation program, not an exchange format; export MusicXML from it")
    if name.lower() == "html":
        raise ScoreError("the file is a web page; download the score itself")
    if name == "opus":
        raise ScoreError("the file is an opus that names other files; read one of those")
    if root is None or ">" not in text[root.end() :]:
        return "MusicXML"  # broken XML: its reader says where
    raise ScoreError(
        f"this XML is no score: its outermost tag is <{name[:40]}>, not <score-partwise>, <score-timewise> or <mei>"
    )
