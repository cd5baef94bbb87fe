"""From the bytes of an XML file to its root element, with hostile documents refused before a parser sees them.

Conventions: the encoding is that of the byte order mark, else of the XML declaration, else UTF-8 (XML 1.0,
appendix F). A document type that defines entities is refused: a score needs none, and nested ones grow without
bound, external ones read other files. A bare document type with a public address is harmless: it is never fetched.
"""

import re
import xml.etree.ElementTree as ElementTree
from typing import Final

from musictheory_nb.errors import ScoreError

#: Most characters of one document.
MAX_CHARACTERS: Final = 100_000_000
#: Most elements of one document.
MAX_ELEMENTS: Final = 5_000_000
#: Encodings that are read, by their names in an XML declaration.
# fmt: off
ENCODINGS: Final = (
    "utf-8", "utf-16", "utf-16le", "utf-16be", "utf-32", "us-ascii", "ascii", "iso-8859-1", "iso-8859-2",
    "iso-8859-5", "iso-8859-7", "iso-8859-9", "iso-8859-15", "latin1", "windows-1250", "windows-1251", "windows-1252",
    "windows-1253", "windows-1254", "macintosh", "mac-roman", "shift_jis", "euc-jp", "iso-2022-jp", "gb2312", "gbk",
    "gb18030", "big5", "euc-kr", "koi8-r",
)
# fmt: on
_MARKS: Final = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
    (b"<\x00\x00\x00", "utf-32-le"),
    (b"\x00\x00\x00<", "utf-32-be"),
    (b"<\x00", "utf-16-le"),
    (b"\x00<", "utf-16-be"),
)
_DECLARATION: Final = re.compile(r"""^\s*<\?xml\s[^>]*?encoding\s*=\s*["']([A-Za-z][A-Za-z0-9._-]{0,40})["'][^>]*\?>""")


def decode_xml(data: bytes) -> str:
    """Return the text of an XML file.

    Raises
    ------
    ScoreError
        The bytes are not in the encoding that the file states, or the encoding is not one of `ENCODINGS`.

    Examples
    --------
    >>> decode_xml('<?xml version="1.0" encoding="utf-16"?><a/>'.encode("utf-16"))[-4:]
    '<a/>'
    >>> decode_xml(b'<?xml version="1.0" encoding="ebcdic-cp-us"?><a/>')
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: encoding 'ebcdic-cp-us': save the file as UTF-8
    """
    encoding = next((name for mark, name in _MARKS if data.startswith(mark)), "")
    if not encoding:
        stated = _DECLARATION.match(data[:400].decode("latin-1"))
        encoding = stated[1].lower() if stated else "utf-8"
        if encoding not in ENCODINGS:
            raise ScoreError(f"encoding {encoding!r}: save the file as UTF-8")
        if encoding.startswith(("utf-16", "utf-32")):
            encoding = "utf-8"  # it stands here one byte a letter, so the declaration is not true of this file
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError as error:
        raise ScoreError(
            f"the file is not in the encoding that it states ({encoding}): byte {error.start + 1} cannot be read; "
            "save it again as UTF-8"
        ) from None
    if len(text) > MAX_CHARACTERS:
        raise ScoreError(f"the file has {len(text)} characters; at most {MAX_CHARACTERS} are read")
    return text.removeprefix("\ufeff")


def refuse_entities(text: str) -> None:
    """Raise if the document type of `text` defines entities, whether they lead inside or outside the file.

    Raises
    ------
    ScoreError
        It does.
    """
    at = text.find("<!DOCTYPE")
    if "<!ENTITY" in text or (at >= 0 and "%" in text[at : text.find(">", at) + 1].partition("[")[2]):
        raise ScoreError(
            "the file's document type defines entities, which can grow without bound or read other files; "
            "a score needs none: delete the <!DOCTYPE ...> lines, or export the score again"
        )


def parse_xml(text: str) -> ElementTree.Element:
    """Return the root element, with any namespace taken off the tags.

    Raises
    ------
    ScoreError
        Entities, too many elements, or text that is no well-formed XML; the message names line and column.

    Examples
    --------
    >>> parse_xml("<score-partwise><part-list/></score-partwise>").tag
    'score-partwise'
    >>> parse_xml("<score-partwise><part-list/>")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: the XML breaks off or is damaged at line 1, column 28: no element found
    """
    refuse_entities(text)
    if (elements := text.count("<")) > MAX_ELEMENTS:
        raise ScoreError(f"the file has {elements} tags; at most {MAX_ELEMENTS} are read")
    try:
        root = ElementTree.fromstring(text.lstrip())
    except ElementTree.ParseError as error:
        line, column = error.position
        what = str(error).partition(":")[0]
        raise ScoreError(f"the XML breaks off or is damaged at line {line}, column {column}: {what}") from None
    except ValueError as error:
        raise ScoreError(f"the XML cannot be read: {error}") from None
    if root.tag.startswith("{"):
        for element in root.iter():
            if isinstance(element.tag, str):
                element.tag = element.tag.rpartition("}")[2]
    return root
