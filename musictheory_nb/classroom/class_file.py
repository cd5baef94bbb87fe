"""The class file: one SQLite database that holds a class, with the history of who changed what and when.

It lies in the root of the hand-out folder as ``class.sqlite``, beside the students' folders and never inside one.

Decisions, and why:

- A rollback journal, not a write-ahead log. Class folders lie on network drives and in folders that are kept in step
  with another machine; a write-ahead log needs memory that all its users share, which no network drive has, and leaves
  two more files without which the database is not whole. Transactions here take milliseconds, so nobody waits long.
- ``synchronous=EXTRA``: when a change returns, it and the removal of its journal are on the disk.
- Writers take the lock before they read (``BEGIN IMMEDIATE``) and wait up to `PATIENCE_S` for each other: two graders
  at once write one after the other, and neither acts on what the other has just changed.
- Every change goes through `ClassFile.put` and `ClassFile.remove`, which write its history in the same transaction. The
  database refuses to change the history or to take from it; erasing a student blanks its rows.

SQLite is safe on a network drive as far as the drive's locks are (sqlite.org, "How To Corrupt An SQLite Database File",
section 2.1); where two people mark on a drive that does not lock, let them take turns.
"""

import contextlib
import getpass
import json
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Self, TypeAlias

from musictheory_nb.classroom.class_schema import APPLICATION_ID, CHANGE_COLUMNS, MIGRATIONS, TABLES, VERSION
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import ClassFileError
from musictheory_nb.practice.answer_record import utc_now

NAME: Final = "class.sqlite"
#: Seconds to wait for somebody else's change.
PATIENCE_S: Final = 60
#: Characters of a quiet column that the history keeps.
QUIET_LENGTH: Final = 80

Row: TypeAlias = dict[str, Any]

_PRAGMAS: Final = (
    f"PRAGMA busy_timeout = {PATIENCE_S * 1000}",
    "PRAGMA foreign_keys = ON",
    "PRAGMA synchronous = EXTRA",
    "PRAGMA secure_delete = ON",
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
)


@dataclass(frozen=True, slots=True)
class Change:
    """One line of the history: when, who, what (added, changed, removed, erased), which row, and how it was and is."""

    id: int
    at: str
    who: str
    what: str
    table: str
    row_key: str
    student: str
    before: Row | None
    after: Row | None


def class_file_path(place: Path) -> Path:
    """Return where the class file of a hand-out folder lies; a path that names a file is taken as it is.

    Examples
    --------
    >>> class_file_path(Path("term1")).name
    'class.sqlite'
    """
    place = Path(place)
    return place if place.suffix in (".sqlite", ".db") and not place.is_dir() else place / NAME


def user_name() -> str:
    """Return the name under which somebody works on this computer, for the history."""
    try:
        return plain_line(getpass.getuser(), 80)
    except (OSError, KeyError, ImportError):  # an account without a name
        return "somebody"


class ClassFile:
    """An open class file; made by `ClassFile.open`, and closed by ``with`` or `close`."""

    def __init__(self, path: Path, connection: sqlite3.Connection, who: str) -> None:
        self.path = path
        self.who = who
        self._connection = connection
        self._depth = 0

    @classmethod
    def open(cls, place: Path, *, make: bool = False, who: str = "") -> Self:
        """Open the class file of a folder.

        Parameters
        ----------
        place : Path
            The hand-out folder, or the file itself.
        make : bool
            Make it where there is none.
        who : str
            For the history; by default the name of the account.

        Raises
        ------
        ClassFileError
            It is not there, cannot be opened, is damaged, a link, no class file, or written by a later version.

        Examples
        --------
        >>> ClassFile.open(Path("nowhere"))
        Traceback (most recent call last):
        musictheory_nb.errors.ClassFileError: class file 'nowhere/class.sqlite': there is none; it is made by: musictheory-nb handout
        """
        path = class_file_path(place)
        if path.is_symlink():
            raise ClassFileError(f"class file '{path.as_posix()}' is a link; name the file itself")
        if not make and not path.is_file():
            raise ClassFileError(
                f"class file '{path.as_posix()}': there is none; it is made by: musictheory-nb handout"
            )
        with _told(path):
            connection = sqlite3.connect(path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False)
        file = cls(path, connection, plain_line(who, 80) or user_name())
        try:
            with _told(path):
                file._prepare(make)
        except BaseException:
            connection.close()
            raise
        return file

    def _prepare(self, make: bool) -> None:
        for pragma in _PRAGMAS:
            self._connection.execute(pragma)
        self._connection.row_factory = sqlite3.Row
        if self.version == VERSION and self._pragma("application_id") == APPLICATION_ID:
            return
        if self.version == 0 and not make and not self._pragma("application_id"):
            raise ClassFileError(
                f"class file '{self.path.as_posix()}' holds nothing yet; hand out again: musictheory-nb handout"
            )
        with self.changing():
            self._migrate()

    def _pragma(self, name: str) -> int:
        return int(self._connection.execute(f"PRAGMA {name}").fetchone()[0])

    @property
    def version(self) -> int:
        """Version of the tables in the file."""
        return self._pragma("user_version")

    def _migrate(self) -> None:
        """Bring the tables up to date; a kill leaves the version before or the one after."""
        version, application = self.version, self._pragma("application_id")
        tables = self._connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]
        if application != APPLICATION_ID and (version or tables):
            raise ClassFileError(f"'{self.path.as_posix()}' is a database, and not a class file; name another one")
        if version > VERSION:
            raise ClassFileError(
                f"class file '{self.path.as_posix()}' is of version {version}; this package reads up to {VERSION}: "
                f"bring the package up to date"
            )
        for before in range(version, VERSION):
            for statement in MIGRATIONS[before]:
                self._connection.execute(statement)
        self._connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        self._connection.execute(f"PRAGMA user_version = {VERSION}")

    def close(self) -> None:
        """Close the file."""
        self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextlib.contextmanager
    def changing(self) -> Iterator[None]:
        """Do what follows as one change: all of it or nothing, and nobody else's in between. May be nested.

        Raises
        ------
        ClassFileError
            Somebody else has been writing for `PATIENCE_S`, a value breaks a rule of its table, or the disk refuses.
        """
        with _told(self.path):
            if self._depth == 0:
                self._connection.execute("BEGIN IMMEDIATE")
            self._depth += 1
            try:
                yield
                if self._depth == 1:
                    self._connection.execute("COMMIT")
            except BaseException:
                if self._depth == 1 and self._connection.in_transaction:
                    self._connection.execute("ROLLBACK")
                raise
            finally:
                self._depth -= 1

    def rows(self, table: str, **where: object) -> list[Row]:
        """Return the rows of a table in the order of its key, those whose columns have these values.

        Raises
        ------
        ClassFileError
            There is no such table or column, or the file is damaged.
        """
        known = _table(table)
        _check_columns(table, where)
        condition = " AND ".join(f'"{column}" = ?' for column in where)
        order = ", ".join(f'"{column}"' for column in known.key)
        sql = f'SELECT * FROM "{table}"{" WHERE " + condition if condition else ""} ORDER BY {order}'
        with _told(self.path):
            return [dict(row) for row in self._connection.execute(sql, tuple(where.values()))]

    def row(self, table: str, **key: object) -> Row | None:
        """Return the first row with these values, or None."""
        found = self.rows(table, **key)
        return found[0] if found else None

    def put(self, table: str, **values: object) -> bool:
        """Add a row or change the one with the same key; return whether anything changed.

        Parameters
        ----------
        table : str
            One of `TABLES`.
        values
            Columns; those left out keep their value, or take their default in a new row.

        Raises
        ------
        ClassFileError
            A value breaks a rule of the table; see `changing`.
        """
        known = _table(table)
        _check_columns(table, values)
        if missing := [column for column in known.key if column not in values]:
            raise ClassFileError(f"table {table!r}: no {missing[0]!r}; rows are named by {', '.join(known.key)}")
        key = {column: values[column] for column in known.key}
        with self.changing():
            before = self.row(table, **key)
            if before is not None and all(before[column] == value for column, value in values.items()):
                return False
            if before is None:
                names = ", ".join(f'"{column}"' for column in values)
                marks = ", ".join("?" for _ in values)
                self._connection.execute(f'INSERT INTO "{table}" ({names}) VALUES ({marks})', tuple(values.values()))
            else:
                others = {column: value for column, value in values.items() if column not in key}
                names = ", ".join(f'"{column}" = ?' for column in others)
                condition = " AND ".join(f'"{column}" = ?' for column in key)
                self._connection.execute(
                    f'UPDATE "{table}" SET {names} WHERE {condition}', (*others.values(), *key.values())
                )
            self._note(table, key, before, self.row(table, **key))
        return True

    def remove(self, table: str, **key: object) -> bool:
        """Take out the row with this key; return whether there was one. The history keeps how it was.

        Raises
        ------
        ClassFileError
            Other rows need it.
        """
        if set(key) != set(_table(table).key):
            raise ClassFileError(f"table {table!r}: rows are named by {', '.join(_table(table).key)}")
        with self.changing():
            before = self.row(table, **key)
            if before is None:
                return False
            condition = " AND ".join(f'"{column}" = ?' for column in key)
            self._connection.execute(f'DELETE FROM "{table}" WHERE {condition}', tuple(key.values()))
            self._note(table, key, before, None)
        return True

    def _note(self, table: str, key: Mapping[str, object], before: Row | None, after: Row | None) -> None:
        known = TABLES[table]
        row = after or before or {}
        what = "added" if before is None else "removed" if after is None else "changed"
        values = (
            utc_now(),
            self.who,
            what,
            table,
            json.dumps([key[column] for column in known.key], ensure_ascii=False),
            row.get(known.student, "") if known.student else "",
            _shortened(before, known.quiet),
            _shortened(after, known.quiet),
        )
        names = ", ".join(CHANGE_COLUMNS[1:])
        self._connection.execute(f"INSERT INTO change ({names}) VALUES (?, ?, ?, ?, ?, ?, ?, ?)", values)

    def history(self, table: str = "", student: str = "") -> tuple[Change, ...]:
        """Return the changes, oldest first: all, or those of a table, of a student, or of both."""
        wanted = {name: value for name, value in (("table_name", table), ("student", student)) if value}
        condition = " AND ".join(f"{name} = ?" for name in wanted)
        sql = f"SELECT * FROM change{' WHERE ' + condition if condition else ''} ORDER BY id"
        with _told(self.path):
            rows = self._connection.execute(sql, tuple(wanted.values())).fetchall()
        return tuple(
            Change(**_named(row), before=_read_back(row["before"]), after=_read_back(row["after"])) for row in rows
        )

    def blank_history(self, student: str) -> int:
        """Blank what the history holds of a student, and return the number of lines: when and who stays, what goes."""
        with self.changing():
            done = self._connection.execute(
                "UPDATE change SET what = 'erased', row_key = '', student = '', before = NULL, after = NULL "
                "WHERE student = ?",
                (student,),
            )
        return done.rowcount

    def tidy(self) -> None:
        """Write the file anew, so that nothing that was taken out is left in unused places of it."""
        with _told(self.path):
            self._connection.execute("VACUUM")

    def check(self) -> tuple[str, ...]:
        """Return a line for each fault of the file; none when it is whole.

        What is looked at: the pages and indexes of the database, that every row that another one names is there, and that
        no line is missing from the history.
        """
        try:
            told = [str(row[0]) for row in self._connection.execute("PRAGMA integrity_check(20)")]
            faults = [] if told == ["ok"] else told
            for row in self._connection.execute("PRAGMA foreign_key_check"):
                faults.append(f"table {row[0]!r}: a row names one of {row[2]!r} that is not there")
            lines, last = self._connection.execute("SELECT count(*), coalesce(max(id), 0) FROM change").fetchone()
            if lines != last:
                faults.append(f"{last - lines} lines are missing from the history")
        except sqlite3.Error as error:
            faults = [f"the database cannot be read: {error}"]
        return tuple(plain_line(line) for line in faults)


def _table(name: str) -> Any:
    if name not in TABLES:
        raise ClassFileError(f"table {name!r}; allowed: {', '.join(TABLES)}")
    return TABLES[name]


def _check_columns(table: str, values: Mapping[str, object]) -> None:
    columns = TABLES[table].columns
    if unknown := [name for name in values if name not in columns]:
        raise ClassFileError(f"table {table!r}: column {unknown[0]!r}; allowed: {', '.join(columns)}")


def _named(row: sqlite3.Row) -> Row:
    """The fields of a change that are kept as they are."""
    return {"table" if name == "table_name" else name: row[name] for name in CHANGE_COLUMNS[:7]}


def _read_back(text: str | None) -> Row | None:
    return None if text is None else json.loads(text)


def _shortened(row: Row | None, quiet: tuple[str, ...]) -> str | None:
    if row is None:
        return None
    shown = {
        name: value[:QUIET_LENGTH] + "…"
        if name in quiet and isinstance(value, str) and len(value) > QUIET_LENGTH
        else value
        for name, value in row.items()
    }
    return json.dumps(shown, ensure_ascii=False)


@contextlib.contextmanager
def _told(path: Path) -> Iterator[None]:
    """Tell what SQLite says in the words of this package."""
    try:
        yield
    except sqlite3.Error as error:
        name = getattr(error, "sqlite_errorname", "")
        shown = path.as_posix()
        if name.startswith(("SQLITE_BUSY", "SQLITE_LOCKED")):
            words = f"class file '{shown}' has been written by somebody else for {PATIENCE_S} s; try again"
        elif name.startswith("SQLITE_NOTADB"):
            words = f"'{shown}' is not a class file; put back the one that the hand-out wrote"
        elif name.startswith("SQLITE_CORRUPT"):
            words = f"class file '{shown}' is damaged ({error}); put back a copy, or hand out again to make it anew"
        elif name.startswith("SQLITE_CONSTRAINT"):
            words = f"class file '{shown}': {error}; nothing was changed"
        else:
            words = f"class file '{shown}' cannot be used: {error}"
        raise ClassFileError(words) from None
