"""The class list: a CSV file with a line for each student, in whatever column order a school writes."""

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.extra_time import read_extra_time
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.school_table import MAX_TITLE_LINES, table_bytes, table_rows, table_text
from musictheory_nb.errors import ManifestError, RosterError
from musictheory_nb.practice.exercise import MAX_SLUG, is_slug

#: What a column holds -> the headings by which it is known (lower case, letters and digits only).
COLUMNS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "student": (
            "student", "studentid", "studentnumber", "studentno", "id", "user", "username", "userid", "login",
            "loginid", "account", "number", "matrikelnummer",
        ),
        "name": (
            "name", "fullname", "studentname", "displayname", "learner", "pupil", "lastnamefirstname", "lastfirst",
            "namelastfirst", "studentnamelastfirst",
        ),
        "first": (
            "firstname", "first", "givenname", "givennames", "forename", "forenames", "vorname", "prenom", "nombre",
        ),
        "last": ("lastname", "last", "surname", "familyname", "nachname", "familienname", "nom", "apellidos", "apellido"),
        "email": ("email", "emailaddress", "mail", "mailaddress", "studentemail"),
        "section": ("section", "class", "period", "course", "form", "homeroom", "klasse", "classe", "clase"),
        "group": ("group", "groupname", "team", "ensemble", "workinggroup", "gruppe", "groupe", "grupo"),
        "due": ("due", "duedate", "deadline", "dueon"),
        "extra time": ("extratime", "extension", "moretime", "additionaltime"),
        "clef": ("clef",),
        "transposition": ("transposition", "transposing", "instrument"),
        "names": ("names", "pitchnames", "notenames"),
        "words": ("words", "wordsofmusic", "vocabulary"),
        "degrees": ("degrees", "degreenames"),
        "present": ("present", "presentation"),
        "twin": ("twin", "twins", "instead"),
    }
)  # fmt: skip
#: Columns that set how a student's copy asks, under the names of the families' settings.
SETTINGS: Final = ("clef", "transposition", "names", "words", "degrees", "present", "twin")
#: What a cell of a setting says to take away what was said before; an empty one leaves it.
NONE_AGAIN: Final = ("-", "–", "none")

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
    """One line of the roster: the id (a slug, also the name of the folder), the name as written, an address or none.

    Parameters
    ----------
    id, name, email : str
        See above.
    section : str
        The part of the class in which the student is.
    group : str
        With whom the student works; see `hand_out`.
    settings : tuple of (str, str)
        What the student needs otherwise than the class: names of `SETTINGS` and values, by name.
    extra_time : str
        See `read_extra_time`.
    due : str
        An own due time for this hand-out; see `read_due`.
    """

    id: str
    name: str
    email: str = ""
    section: str = field(default="", repr=False)
    group: str = field(default="", repr=False)
    settings: tuple[tuple[str, str], ...] = field(default=(), repr=False)
    extra_time: str = field(default="", repr=False)
    due: str = field(default="", repr=False)


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


def _heading(cell: str) -> str:
    plain = unicodedata.normalize("NFKD", cell.casefold())
    return re.sub(r"[^a-z0-9]", "", plain)


def _holds_names(headings: Sequence[str]) -> bool:
    """Whether a column 'student' holds names: there is one with ids beside it, and none with names."""
    ids = set(COLUMNS["student"]) - {"student"}
    return bool(ids & set(headings)) and not set(COLUMNS["name"]) & set(headings)


def _columns(header: Sequence[str], name: str) -> dict[str, int]:
    headings = [_heading(cell) for cell in header]
    found: dict[str, int] = {}
    for place, heading in enumerate(headings):
        for what, known in COLUMNS.items():
            if heading not in known:
                continue
            if heading == "student" and _holds_names(headings):
                what = "name"
            if what in found:
                raise RosterError(
                    f"{name!r}: the columns {header[found[what]]!r} and {header[place]!r} both hold the {what}; rename one of them"
                )
            found[what] = place
    if "first" in found and "name" in found and "last" not in found:  # 'Name' beside 'First name' is the other half
        found["last"] = found.pop("name")
    return found


def _rows(text: str, name: str) -> tuple[dict[str, int], list[tuple[int, list[str]]]]:
    rows = table_rows(text, name)
    if not rows:
        raise RosterError(
            f"{name!r} is empty; write a first line such as student,name,email and a line for each student"
        )
    for place, (_, cells) in enumerate(rows[:MAX_TITLE_LINES]):
        if not {what for what in COLUMNS if any(_heading(cell) in COLUMNS[what] for cell in cells)} & _WHO:
            continue
        if place == 0 or len(cells) > 1:
            return _columns(cells, name), rows[place + 1 :]
    raise RosterError(
        f"{name!r}: the first line {plain_line(' '.join(rows[0][1]), 60)!r} names no column that is known; write a first "
        f"line such as student,name,email"
    )


#: Columns of which one must be there.
_WHO: Final = {"student", "name", "last", "email"}


def _name(cells: Mapping[str, str]) -> str:
    name = cells.get("name") or f"{cells.get('first', '')} {cells.get('last', '')}".strip()
    if name.count(",") == 1:
        last, first = (part.strip() for part in name.split(","))
        name = f"{first} {last}".strip()
    return name


def _id(cells: Mapping[str, str], place: str) -> str:
    """The student's folder, from the id, or else the name, or else the address."""
    for text in (cells.get("student", ""), _name(cells), cells.get("email", "").split("@")[0]):
        if not text:
            continue
        id = slug_of(text)
        if not id:
            raise RosterError(
                f"{place}: {plain_line(text, 40)!r} has no Latin letter or digit for a folder's name; add a column 'student' "
                f"with an id, as 'k-haru'"
            )
        if id in _RESERVED:
            raise RosterError(f"{place}: {id!r} cannot be a folder's name on Windows; write another id, as '{id}-1'")
        assert is_slug(id)
        return id
    raise RosterError(f"{place}: no id, name or email")


def _student(cells: Mapping[str, str], place: str) -> Student:
    id = _id(cells, place)
    if extra := cells.get("extra time", ""):
        try:
            if extra.casefold() not in NONE_AGAIN:
                read_extra_time(extra)
        except RosterError as error:
            raise RosterError(f"{place}: {error}") from None
    if due := cells.get("due", ""):
        try:
            read_due(due)
        except ManifestError as error:
            raise RosterError(f"{place}: {error}") from None
    shown = _name(cells) or cells.get("student") or cells.get("email", "").split("@")[0]
    return Student(
        id,
        plain_line(shown, 120),
        plain_line(cells.get("email", ""), 200),
        plain_line(cells.get("section", ""), 120),
        slug_of(cells.get("group", "")),
        tuple((name, plain_line(cells[name], 80)) for name in sorted(SETTINGS) if cells.get(name)),
        extra,
        due,
    )


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
    columns, rows = _rows(table_text(data, name, encoding), name)
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
    name``, an ``email``, a ``section`` and a ``group``; what a student needs otherwise than the class (`SETTINGS`, ``extra
    time``, ``due``); others are left alone. Commas, semicolons, tabs or bars stand between them. The id becomes
    the student's folder; without one it is made from the name, without that from the address.

    Parameters
    ----------
    path : Path
        A CSV file.
    encoding : str
        By default UTF-8 or UTF-16, with or without byte order mark; others must be named, and are never guessed.

    Raises
    ------
    RosterError
        The file cannot be opened or read, or two lines give one id; says which lines and what to write.
    """
    return parse_roster(table_bytes(path, "roster"), Path(path).name, encoding)


def with_settings_file(students: Sequence[Student], path: Path, encoding: str = "") -> tuple[Student, ...]:
    """Return the students with what a second table says of some of them: settings, extra time, due time, group.

    Parameters
    ----------
    students : sequence of Student
        The roster.
    path : Path
        A table as `read_roster` reads it; a line names its student by the same id, name or address.
    encoding : str
        As for `read_roster`.

    Raises
    ------
    RosterError
        It cannot be read, or names somebody who is not in the roster.
    """
    known = {student.id: student for student in students}
    for more in read_roster(path, encoding):
        if more.id not in known:
            raise RosterError(f"{Path(path).name!r}: {more.id!r} is not in the roster")
        one = known[more.id]
        known[more.id] = replace(
            one,
            section=more.section or one.section,
            group=more.group or one.group,
            settings=tuple(sorted({**dict(one.settings), **dict(more.settings)}.items())),
            extra_time=more.extra_time or one.extra_time,
            due=more.due or one.due,
        )
    return tuple(known.values())
