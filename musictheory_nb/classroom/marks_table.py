"""marks.csv: one row for each student and lesson, as a school's system wants it, safe to open in a spreadsheet."""

import csv
import io
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks
from musictheory_nb.classroom.marks_column import (
    COLUMN_TABLE,
    DEFAULT_COLUMNS,
    POLICY_COLUMNS,
    MarksRow,
    cell_of,
    check_columns,
)
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.spreadsheet_cell import cell_text
from musictheory_nb.errors import ReportError

#: Word for a separator -> the character.
SEPARATORS: Final = MappingProxyType({"comma": ",", "semicolon": ";", "tab": "\t"})
#: Word for what stands before the decimals -> the character.
DECIMALS: Final = MappingProxyType({"point": ".", "comma": ","})
#: Name of an encoding -> (Python's name, what it is for).
ENCODINGS: Final = MappingProxyType(
    {
        "utf-8": ("utf-8", "most systems"),
        "utf-8-bom": ("utf-8-sig", "spreadsheets that take a file without a byte order mark for an old one"),
        "utf-16": ("utf-16", "old spreadsheets, with tabs"),
        "cp1252": ("cp1252", "old systems in Western Europe and America"),
        "latin-2": ("iso8859-2", "old systems in Central Europe"),
    }
)
#: Order of the rows of a lesson -> key.
ORDERS: Final[Mapping[str, Callable[[MarksRow], object]]] = MappingProxyType(
    {
        "roster": lambda row: 0,
        "name": lambda row: (row.marks.student.name.casefold(), row.marks.student.id),
        "student": lambda row: row.marks.student.id,
        "percent": lambda row: (-row.percent, row.marks.student.id),
    }
)
NO_FINALS: Final[Mapping[str, Sequence[FinalMark]]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class MarksFormat:
    """How the table is written.

    Parameters
    ----------
    columns : tuple of str
        Names in `COLUMN_TABLE` or ids of exercises, in order; none means the usual ones.
    order : str
        Order of the rows: one of `ORDERS`.
    separator, decimal, encoding : str
        One of `SEPARATORS`, `DECIMALS` and `ENCODINGS`.

    Raises
    ------
    ReportError
        A word that is not in its table, or a decimal comma between commas.

    Examples
    --------
    >>> MarksFormat(("student", "percent"), separator="semicolon", decimal="comma").separator
    'semicolon'
    >>> MarksFormat(decimal="comma")
    Traceback (most recent call last):
    musictheory_nb.errors.ReportError: decimal 'comma' with separator 'comma': write the separator 'semicolon' or 'tab'
    """

    columns: tuple[str, ...] = ()
    order: str = "roster"
    separator: str = "comma"
    decimal: str = "point"
    encoding: str = "utf-8"

    def __post_init__(self) -> None:
        for name, table in (
            ("order", ORDERS),
            ("separator", SEPARATORS),
            ("decimal", DECIMALS),
            ("encoding", ENCODINGS),
        ):
            given = getattr(self, name)
            if given not in table:
                raise ReportError(f"{name} {given!r}; allowed: {', '.join(table)}")
        if self.decimal == "comma" and self.separator == "comma":
            raise ReportError("decimal 'comma' with separator 'comma': write the separator 'semicolon' or 'tab'")


USUAL: Final = MarksFormat()


def _columns(wanted: tuple[str, ...], exercises: tuple[str, ...], with_policy: bool) -> list[str]:
    columns = wanted or (POLICY_COLUMNS if with_policy else DEFAULT_COLUMNS)
    check_columns(columns, exercises)
    named = [name for name in columns if name != "exercises"]
    found: list[str] = []
    for name in columns:
        # an exercise that bears the name of a column, or has a column of its own, has none among the others
        found += (
            [id for id in exercises if id not in named and id not in COLUMN_TABLE] if name == "exercises" else [name]
        )
    return found


def marks_csv(
    lessons: Sequence[ClassMarks],
    finals: Mapping[str, Sequence[FinalMark]] = NO_FINALS,
    form: MarksFormat = USUAL,
) -> bytes:
    """Return the table of one lesson, or of several, as a CSV file (RFC 4180).

    Parameters
    ----------
    lessons : sequence of ClassMarks
        In the order of the table.
    finals : Mapping of str to sequence of FinalMark
        Marks after the policy, by lesson id.
    form : MarksFormat
        Columns, order, separator, decimal sign, encoding.

    Raises
    ------
    ReportError
        A column that is not known, or a letter that the encoding has not (the message names the student).

    Notes
    -----
    No cell can be taken for a formula; see `cell_text`.
    """
    exercises = tuple(dict.fromkeys(id for lesson in lessons for id, _ in lesson.exercises))
    columns = _columns(form.columns, exercises, bool(finals))
    decimal = DECIMALS[form.decimal]
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n", delimiter=SEPARATORS[form.separator])
    writer.writerow(columns)
    codec, _ = ENCODINGS[form.encoding]
    for lesson in lessons:
        by_student = {final.student: final for final in finals.get(lesson.lesson, ())}
        rows = [MarksRow(lesson, one, by_student.get(one.student.id)) for one in lesson.students]
        for row in sorted(rows, key=ORDERS[form.order]):  # type: ignore[arg-type]
            cells = [cell_text(cell_of(row, column, decimal)) for column in columns]
            _check_letters(cells, row, form.encoding, codec)
            writer.writerow(cells)
    return text.getvalue().encode(codec)


def _check_letters(cells: Sequence[str], row: MarksRow, encoding: str, codec: str) -> None:
    for cell in cells:
        try:
            cell.encode(codec)
        except UnicodeEncodeError as error:
            raise ReportError(
                f"encoding {encoding!r} has no {cell[error.start]!r}, which stands in the row of {row.marks.student.id!r}; "
                f"write the encoding 'utf-8' or 'utf-8-bom'"
            ) from None
