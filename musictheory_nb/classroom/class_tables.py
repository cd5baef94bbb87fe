"""The class file as tables for a spreadsheet, one CSV file each, and the teacher's own entries read back from them."""

import csv
import io
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.class_file import ClassFile, Row
from musictheory_nb.classroom.class_schema import CHANGE_COLUMNS, TABLES
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.school_table import table_bytes, table_rows, table_text
from musictheory_nb.classroom.spreadsheet_cell import cell_text
from musictheory_nb.errors import ClassFileError

HISTORY: Final = "change"
#: Tables that are read back: what the class file alone holds.
ENTRIES: Final = tuple(name for name, table in TABLES.items() if table.source == "teacher")
#: Columns that no export holds, because whoever has them can work out everybody's questions.
SECRET: Final = (("class_value", "value"), ("assignment", "class_key"))
#: Wrong lines that are told.
MAX_TOLD: Final = 10


def csv_bytes(columns: Sequence[str], rows: Sequence[Mapping[str, Any]]) -> bytes:
    """Return a table as CSV (RFC 4180, UTF-8), no cell of which a spreadsheet takes for a formula."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        cells = ("" if row[name] is None else row[name] for name in columns)
        writer.writerow([cell_text(cell) if isinstance(cell, str) else str(cell) for cell in cells])
    return text.getvalue().encode("utf-8")


def export_tables(file: ClassFile, folder: Path, *, with_seeds: bool = False) -> tuple[Path, ...]:
    """Write each table of the class file as ``NAME.csv``, and the history as ``change.csv``.

    Parameters
    ----------
    file : ClassFile
        Of the class.
    folder : Path
        Made when it is not there; files of these names in it are replaced.
    with_seeds : bool
        Also write class keys and seeds, from which everybody's questions can be worked out.

    Raises
    ------
    ClassFileError, ClassroomError
        The file is damaged, or the disk refuses.
    """
    make_folder(folder)
    written = []
    for name, table in TABLES.items():
        hidden = {column for one, column in SECRET if one == name} | ({"seed"} if name == "copy" else set())
        columns = [column for column in table.columns if with_seeds or column not in hidden]
        path = Path(folder) / f"{name}.csv"
        write_whole(path, csv_bytes(columns, file.rows(name)))
        written.append(path)
    changes = [
        {**{column: getattr(one, "table" if column == "table_name" else column) for column in CHANGE_COLUMNS[:7]}}
        for one in file.history()
    ]
    path = Path(folder) / f"{HISTORY}.csv"
    write_whole(path, csv_bytes(CHANGE_COLUMNS[:7], changes))
    return (*written, path)


def _value(column: str, kind: str, text: str) -> Any:
    if text.startswith("'") and cell_text(text[1:]) == text:  # as `cell_text` writes it
        text = text[1:]
    if kind.startswith("TEXT"):
        return text
    try:
        number = int(text) if kind.startswith("INTEGER") else float(text)
    except ValueError:
        number = math.nan
    if not math.isfinite(number):
        raise ClassFileError(f"{column} {plain_line(text, 30)!r}; allowed: a number")
    return number


def import_entries(file: ClassFile, table: str, path: Path, encoding: str = "") -> int:
    """Read rubric marks, comments, questions or replies from a table as `export_tables` writes it; return what changed.

    Rows are added or changed, none is taken out; the whole table is read or nothing of it.

    Parameters
    ----------
    file : ClassFile
        Of the class.
    table : str
        One of `ENTRIES`.
    path : Path
        The CSV file.
    encoding : str
        As for `read_roster`.

    Raises
    ------
    ClassFileError
        The table is no such one, or lines cannot be read; says which and why.
    RosterError
        It is no table.
    """
    if table not in ENTRIES:
        raise ClassFileError(f"table {table!r}; allowed: {', '.join(ENTRIES)}")
    known, name = TABLES[table], Path(path).name
    rows = table_rows(table_text(table_bytes(path, "table"), name, encoding), name)
    header = [cell.casefold() for cell in rows[0][1]] if rows else []
    needed = [column for column, kind in known.columns.items() if "DEFAULT" not in kind]
    if missing := [column for column in needed if column not in header]:
        raise ClassFileError(f"{name!r}: no column {missing[0]!r}; needed: {', '.join(needed)}")
    if unknown := [column for column in header if column not in known.columns]:
        raise ClassFileError(f"{name!r}: column {unknown[0][:40]!r}; allowed: {', '.join(known.columns)}")
    wrong: list[str] = []
    changed = 0
    with file.changing():
        for number, row in rows[1:]:
            try:
                cells = zip(header, row, strict=False)
                values: Row = dict.fromkeys((column for column in known.key if column not in needed), "")
                values |= {column: _value(column, known.columns[column], cell) for column, cell in cells}
                if absent := [column for column in needed if values.get(column, "") == ""]:
                    raise ClassFileError(f"no {absent[0]}")
                changed += file.put(table, **values)
            except ClassFileError as error:
                wrong.append(f"line {number}: {error}")
        if wrong:
            raise ClassFileError(f"{name!r}: {'; '.join(wrong[:MAX_TOLD])}; nothing was read")
    return changed
