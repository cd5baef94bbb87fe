"""A table as a school's system or a spreadsheet writes it: its encoding, what stands between cells, and its lines."""

import codecs
import csv
import io
import re
from pathlib import Path
from typing import Final

from musictheory_nb.errors import RosterError

#: Largest table that is read: bytes, lines.
MAX_BYTES: Final = 32 * 1024 * 1024
MAX_LINES: Final = 500_000
#: Lines in which the headings are looked for: above them an export may say of which class it is.
MAX_TITLE_LINES: Final = 10


def _unicode_form(data: bytes) -> str:
    """UTF-8, or UTF-16 where the file begins with its mark, or where every other byte of its first line is zero."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    head = data[:40]
    for first, form in ((0, "utf-16-be"), (1, "utf-16-le")):
        if len(head) > 3 and not any(head[first::2]) and all(head[1 - first :: 2]):
            return form
    return "utf-8-sig"


def table_text(data: bytes, name: str, encoding: str = "") -> str:
    """Return the text of a table, in the encoding named, or in UTF-8 or UTF-16.

    Raises
    ------
    RosterError
        It is too large, in another encoding, or the encoding is not known.
    """
    if len(data) > MAX_BYTES:
        raise RosterError(f"{name!r}: {len(data)} bytes; at most {MAX_BYTES} are read")
    if not encoding:
        encoding = _unicode_form(data)
    try:
        return data.decode(encoding)
    except LookupError:
        raise RosterError(
            f"encoding {encoding!r} is not known; write 'utf-8' or, for an old Windows file, 'cp1252'"
        ) from None
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise RosterError(
            f"{name!r}, line {line}: not {encoding.removesuffix('-sig').upper()}; save the table as CSV with UTF-8, or name "
            f"its encoding, such as --encoding cp1252"
        ) from None


def _delimiter(text: str) -> str:
    """What stands between the cells of the first lines, outside quotation marks: in most lines, and there most often.

    Cells may hold others, such as the bars between the parts of an answer.
    """
    head = re.sub(r'"[^"]*"', "", text[:20_000])
    lines = [line for line in head.split("\n") if line.strip()][:MAX_TITLE_LINES]
    counts = {letter: [line.count(letter) for line in lines] for letter in ",;\t|"}
    return max(counts, key=lambda letter: (sum(map(bool, counts[letter])), max(counts[letter], default=0)))


def table_rows(text: str, name: str) -> list[tuple[int, list[str]]]:
    """Return the lines of a table that are not blank: the number of each, and its cells without blanks at their ends.

    Commas, semicolons, tabs or bars stand between the cells; a first line ``sep=;``, as some programs write, says which.

    Raises
    ------
    RosterError
        Quotation marks do not match, it is no text, or there are more than `MAX_LINES` lines.
    """
    if "\0" in text:
        raise RosterError(f"{name!r}: not a text file; save the table as CSV with UTF-8")
    told = re.match(r"\ufeff?sep=(.)\r?\n", text, re.IGNORECASE)
    delimiter = told[1] if told else _delimiter(text)
    skipped = 1 if told else 0
    reader = csv.reader(io.StringIO(text[told.end() :] if told else text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num + skipped, [" ".join(cell.split()) for cell in row]))
            if len(rows) > MAX_LINES:
                raise RosterError(f"{name!r}: more than {MAX_LINES} lines")
    except csv.Error as error:
        raise RosterError(f"{name!r}, line {reader.line_num + skipped}: {error}; check the quotation marks") from None
    return rows


def table_bytes(path: Path, what: str) -> bytes:
    """Return the bytes of a teacher's table, as far as they are read.

    Raises
    ------
    RosterError
        The file cannot be opened.
    """
    try:
        with Path(path).open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except OSError as error:
        raise RosterError(f"{what} '{path}' cannot be opened: {error.strerror}") from None
