r"""Texts of ABC files: their encoding, letters with accents, characters by number or name.

Conventions: ABC 2.1, sections 2.1 and 8.2: ``\'e``, ``\aa``, ``\u00e9`` and ``&eacute;``; ``abc-charset`` names another
encoding than UTF-8. A file that is not UTF-8 and names none is read as Latin-1, as those of ABC 1.6 are.
"""

import html
import quopri
import re
import unicodedata
from typing import Final

from musictheory_nb.errors import ScoreError

#: What a backslash and this sign set over or below the letter that follows.
_ACCENTS: Final = {
    "`": "\u0300", "'": "\u0301", "^": "\u0302", "~": "\u0303", '"': "\u0308", ",": "\u0327", "c": "\u0327",
    "o": "\u030a", "v": "\u030c", "u": "\u0306", "/": "\u0338", "H": "\u030b", ";": "\u0328", "=": "\u0304",
    ".": "\u0307",
}  # fmt: skip
#: Letters that have two characters behind the backslash.
_LETTERS: Final = {
    "AA": "Å", "aa": "å", "AE": "Æ", "ae": "æ", "OE": "Œ", "oe": "œ", "ss": "ß", "TH": "Þ", "th": "þ", "DH": "Ð",
    "dh": "ð", "/O": "Ø", "/o": "ø",
}  # fmt: skip
_ESCAPE: Final = re.compile(
    r"\\u([0-9A-Fa-f]{4})|\\U([0-9A-Fa-f]{8})|\\(AA|aa|AE|ae|OE|oe|ss|TH|th|DH|dh|/[Oo])"
    r"|\\([`'^~\",covuH;=./])([A-Za-z])|\\([&%\\])|(&[A-Za-z][A-Za-z0-9]{1,30};)"
)
#: Encodings that ABC 2.1 allows.
CHARSETS: Final = ("utf-8", "us-ascii", *(f"iso-8859-{number}" for number in range(1, 11)))
_CHARSET: Final = re.compile(rb"^(?:%%|I:[ \t]*)abc-charset[ \t]+([A-Za-z0-9_-]{1,20})", re.M)


def decode_abc(data: bytes) -> str:
    r"""Return the text of an ABC file.

    Raises
    ------
    ScoreError
        It names an encoding that ABC does not allow.

    Examples
    --------
    >>> decode_abc(b"T:Caf\xe9"), decode_abc(b"%%abc-charset iso-8859-2\nT:N\xf5ta").splitlines()[1]
    ('T:Café', 'T:Nőta')
    >>> decode_abc(b"I:abc-charset koi8-r\nT:\xc5")
    Traceback (most recent call last):
    musictheory_nb.errors.ScoreError: abc-charset 'koi8-r'; allowed: utf-8, us-ascii, iso-8859-1 ... iso-8859-10
    """
    if b"=3D" in data:  # saved from a mail as it was sent (RFC 2045): in ABC no digit follows a natural sign
        data = quopri.decodestring(data)
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        pass
    named = _CHARSET.search(data[:10_000])
    charset = named[1].decode("ascii").lower() if named is not None else "iso-8859-1"
    if charset not in CHARSETS:
        raise ScoreError(f"abc-charset {charset!r}; allowed: utf-8, us-ascii, iso-8859-1 ... iso-8859-10")
    return data.decode("iso-8859-1" if charset in ("utf-8", "us-ascii") else charset, errors="replace")


def plain_text(text: str) -> str:
    r"""Return a title, name or annotation with its accents and characters read.

    Examples
    --------
    >>> plain_text(r"Ta\'in M\"uhle \aarhus &eacute;t\u00e9 50\%")
    'Taín Mühle århus été 50%'
    """
    return " ".join(_ESCAPE.sub(_read, text).split())


def _read(match: re.Match[str]) -> str:
    four, eight, letter, accent, below, plain, named = match.groups()
    if four or eight:
        number = int(four or eight, 16)
        printable = number < 0x110000 and not 0xD800 <= number < 0xE000 and chr(number).isprintable()
        return chr(number) if printable else "\N{REPLACEMENT CHARACTER}"
    if letter:
        return _LETTERS[letter]
    if accent:
        return unicodedata.normalize("NFC", below + _ACCENTS[accent])
    return plain or html.unescape(named)
