"""The class list: a CSV file with a line for each student, in whatever column order a school writes."""

import codecs
import csv
import io
import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import RosterError
from musictheory_nb.practice.exercise import MAX_SLUG, is_slug

#: Largest roster that is read: bytes, students.
MAX_BYTES: Final = 32 * 1024 * 1024
MAX_STUDENTS: Final = 200_000

#: What a column holds -> the headings by which it is known (lower case, letters and digits only).
COLUMNS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "student": (
            "student", "studentid", "studentnumber", "studentno", "id", "user", "username", "userid", "login",
            "loginid", "account", "number",
        ),
        "name": ("name", "fullname", "studentname", "displayname", "learner", "pupil"),
        "first": ("firstname", "first", "givenname", "givennames", "forename", "forenames"),
        "last": ("lastname", "last", "surname", "familyname"),
        "email": ("email", "emailaddress", "mail", "mailaddress", "studentemail"),
    }
)  # fmt: skip

#: Letters that Unicode does not take apart into a plain letter and a mark.
_LETTERS: Final = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "đ": "d", "ð": "d", "þ": "th", "ł": "l", "ı": "i", "ħ": "h", "ŋ": "ng"}
)
#: Names that no file or folder can have on Windows.
_RESERVED: Final = frozenset(
    {"con", "prn", "aux", "nul", *(f"com{n}" for n in range(10)), *(f"lpt{n}" for n in range(10))}
)


@dataclass(frozen=True, slots=True)
class Student:
    """One line of the roster: the id (a slug, also the name of the folder), the name as written, an address or none."""

    id: str
    name: str
    email: str = ""


def slug_of(text: str) -> str:
    """Return `text` as an id: lower-case Latin letters and digits, joined by hyphens; empty when none are in it.

    Examples
    --------
    >>> slug_of("Søren Ångström-Łuk"), slug_of("=1+1"), slug_of("小林")
    ('soren-angstrom-luk', '1-1', '')
    """
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    letters = "".join(letter for letter in plain if not unicodedata.combining(letter))
    return re.sub(r"[^a-z0-9]+", "-", letters.replace("'", "").replace("’", "")).strip("-")[:MAX_SLUG].strip("-")


def _text_of(data: bytes, name: str, encoding: str) -> str:
    if not encoding:
        encoding = "utf-16" if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
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


def _heading(cell: str) -> str:
    return re.sub(r"[^a-z0-9]", "", cell.casefold())


def _columns(header: Sequence[str], name: str) -> dict[str, int]:
    found: dict[str, int] = {}
    for place, cell in enumerate(header):
        for what, headings in COLUMNS.items():
            if _heading(cell) in headings:
                if what in found:
                    raise RosterError(
                        f"{name!r}: the columns {header[found[what]]!r} and {cell!r} both hold the {what}; rename one of them"
                    )
                found[what] = place
    return found


def _rows(text: str, name: str) -> tuple[dict[str, int], list[tuple[int, list[str]]]]:
    first = text.lstrip("\r\n").split("\n", 1)[0]
    delimiter = max(",;\t|", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    rows: list[tuple[int, list[str]]] = []
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                rows.append((reader.line_num, [" ".join(cell.split()) for cell in row]))
            if len(rows) > MAX_STUDENTS + 1:
                raise RosterError(f"{name!r}: more than {MAX_STUDENTS} lines")
    except csv.Error as error:
        raise RosterError(f"{name!r}, line {reader.line_num}: {error}; check the quotation marks") from None
    if not rows:
        raise RosterError(
            f"{name!r} is empty; write a first line such as student,name,email and a line for each student"
        )
    columns = _columns(rows[0][1], name)
    if not columns.keys() & {"student", "name", "last", "email"}:
        raise RosterError(
            f"{name!r}: the first line {plain_line(first, 60)!r} names no column that is known; write a first line such as "
            f"student,name,email"
        )
    return columns, rows[1:]


def _student(cells: Mapping[str, str], place: str) -> Student:
    name = cells.get("name") or f"{cells.get('first', '')} {cells.get('last', '')}".strip()
    if "," in name and name.count(",") == 1:
        last, first = (part.strip() for part in name.split(","))
        name = f"{first} {last}".strip()
    email = cells.get("email", "")
    for text in (cells.get("student", ""), name, email.split("@")[0]):
        if text:
            id = slug_of(text)
            if not id:
                raise RosterError(
                    f"{place}: {plain_line(text, 40)!r} has no Latin letter or digit for a folder's name; add a column 'student' "
                    f"with an id, as 'k-haru'"
                )
            if id in _RESERVED:
                raise RosterError(
                    f"{place}: {id!r} cannot be a folder's name on Windows; write another id, as '{id}-1'"
                )
            assert is_slug(id)
            return Student(id, plain_line(name or text, 120), plain_line(email, 200))
    raise RosterError(f"{place}: no id, name or email")


def parse_roster(data: bytes, name: str = "roster", encoding: str = "") -> tuple[Student, ...]:
    r"""Read a roster from the bytes of its file; see `read_roster`.

    Raises
    ------
    RosterError
        As for `read_roster`.

    Examples
    --------
    >>> parse_roster("Email;Surname;First name\nio@example.org;Orta;Inés".encode())
    (Student(id='ines-orta', name='Inés Orta', email='io@example.org'),)
    >>> parse_roster(b"name\nInes Orta\nInes Orta\n")
    Traceback (most recent call last):
    musictheory_nb.errors.RosterError: 'roster': 'ines-orta' stands in lines 2 and 3; add a column 'student' with an id that tells them apart
    """
    if len(data) > MAX_BYTES:
        raise RosterError(f"{name!r}: {len(data)} bytes; at most {MAX_BYTES} are read")
    text = _text_of(data, name, encoding)
    if "\0" in text:
        raise RosterError(f"{name!r}: not a text file; save the table as CSV with UTF-8")
    columns, rows = _rows(text, name)
    students: dict[str, Student] = {}
    lines: dict[str, list[int]] = {}
    for line, row in rows:
        cells = {what: row[place] for what, place in columns.items() if place < len(row)}
        student = _student(cells, f"{name!r}, line {line}")
        students.setdefault(student.id, student)
        lines.setdefault(student.id, []).append(line)
    if twice := [(id, where) for id, where in lines.items() if len(where) > 1]:
        told = "; ".join(f"{id!r} stands in lines {' and '.join(map(str, where))}" for id, where in twice[:10])
        raise RosterError(f"{name!r}: {told}; add a column 'student' with an id that tells them apart")
    if not students:
        raise RosterError(f"{name!r} has a first line and no students under it")
    return tuple(students.values())


def read_roster(path: Path, encoding: str = "") -> tuple[Student, ...]:
    """Read the class list.

    The first line names the columns, in any order: an id (``student``), a ``name`` or ``first name`` and ``last
    name``, an ``email``; others are left alone. Commas, semicolons, tabs or bars stand between them. The id becomes
    the student's folder; without one it is made from the name, without that from the address.

    Parameters
    ----------
    path : Path
        A CSV file.
    encoding : str
        By default UTF-8 with or without byte order mark, or UTF-16 with one.

    Raises
    ------
    RosterError
        The file cannot be opened or read, or two lines give one id; says which lines and what to write.
    """
    try:
        with Path(path).open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise RosterError(f"roster '{path}' cannot be opened: {error.strerror}") from None
    return parse_roster(data, Path(path).name, encoding)
