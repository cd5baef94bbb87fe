"""The tables of a class file, as its making, its history, its export and its documentation read them.

Version 3. A later version adds an entry to `MIGRATIONS`; a file is brought up to date when it is opened, one version
after the other, each in one transaction.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

#: Written into the header of every class file ("mtnb"), so that no other database is taken for one.
APPLICATION_ID: Final = 0x6D746E62


@dataclass(frozen=True, slots=True)
class Table:
    """One table.

    Parameters
    ----------
    meaning : str
        What it holds, for a teacher.
    columns : Mapping of str to str
        Name and SQL type, with what every value must be.
    key : tuple of str
        Columns that tell one row from another.
    source : str
        Where the rows come from; see `SOURCES`.
    student : str
        The column that says whose a row is; empty where it is nobody's.
    quiet : tuple of str
        Columns too long for the history, which keeps their first characters only.
    """

    meaning: str
    columns: Mapping[str, str]
    key: tuple[str, ...]
    source: str
    student: str = "student"
    quiet: tuple[str, ...] = ()


#: Where the rows of a table come from -> what becomes of them when the class file is lost.
SOURCES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "hand-out": "made again by handing out with the same lesson, roster and class key",
        "hand-in": "worked out again from what was handed in",
        "teacher": "kept in the class file alone: export it, and keep a copy",
    }
)

_STUDENT: Final = "TEXT NOT NULL REFERENCES student(id)"
_ASSIGNMENT: Final = "TEXT NOT NULL REFERENCES assignment(id)"
_TEXT: Final = "TEXT NOT NULL DEFAULT ''"
_WHO: Final = {"who": "TEXT NOT NULL", "at": "TEXT NOT NULL"}
#: A text about an item, an exercise or all of somebody's work.
_ABOUT: Final = {
    "id": "TEXT NOT NULL",
    "assignment": _ASSIGNMENT,
    "student": _STUDENT,
    "exercise": _TEXT,
    "item": "INTEGER NOT NULL DEFAULT 0",
    "text": "TEXT NOT NULL",
    **_WHO,
}

TABLES: Final[Mapping[str, Table]] = MappingProxyType(
    {
        "class_value": Table(
            "what concerns the whole class, such as the key from which seeds are drawn",
            {"name": "TEXT NOT NULL", "value": "TEXT NOT NULL"},
            ("name",),
            "hand-out",
            student="",
        ),
        "student": Table(
            "the roster: who is or was in the class",
            {
                "id": "TEXT NOT NULL",
                "name": "TEXT NOT NULL",
                "email": _TEXT,
                "section": _TEXT,
                "pseudonym": "TEXT NOT NULL UNIQUE",
                "in_roster": "INTEGER NOT NULL CHECK (in_roster IN (0, 1))",
            },
            ("id",),
            "hand-out",
            student="id",
        ),
        "student_setting": Table(
            "what a student needs otherwise than the class: clef, transposition, pitch names, extra time, own due date",
            {"student": _STUDENT, "name": "TEXT NOT NULL", "value": "TEXT NOT NULL"},
            ("student", "name"),
            "hand-out",
        ),
        "lesson": Table(
            "lessons as they were handed out or corrected, whole, under the digest of what they ask",
            {
                "digest": "TEXT NOT NULL",
                "lesson": "TEXT NOT NULL",
                "title": "TEXT NOT NULL",
                "content": "TEXT NOT NULL",
            },
            ("digest",),
            "hand-out",
            student="",
            quiet=("content",),
        ),
        "assignment": Table(
            "what was handed out: the lesson as it is handed out now, when it is due, how often one may answer",
            {
                "id": "TEXT NOT NULL",
                "title": "TEXT NOT NULL",
                "digest": "TEXT NOT NULL REFERENCES lesson(digest)",
                "class_key": "TEXT NOT NULL",
                "due_utc": _TEXT,
                "due_written": _TEXT,
                "attempts": "INTEGER NOT NULL DEFAULT 0 CHECK (attempts >= 0)",
                "together": "INTEGER NOT NULL DEFAULT 0 CHECK (together IN (0, 1))",
                "replaces": _TEXT,
                "sealed": "INTEGER NOT NULL DEFAULT 0 CHECK (sealed IN (0, 1))",
            },
            ("id",),
            "hand-out",
            student="",
            quiet=("class_key",),
        ),
        "copy": Table(
            "who got which copy: its seed, the lesson it was made from, the group it is shared with, its own due time",
            {
                "assignment": _ASSIGNMENT,
                "student": _STUDENT,
                "seed": "INTEGER NOT NULL CHECK (seed >= 0)",
                "digest": "TEXT NOT NULL REFERENCES lesson(digest)",
                "group_name": _TEXT,
                "due_utc": _TEXT,
                "due_written": _TEXT,
                "place": "INTEGER NOT NULL",
            },
            ("assignment", "student"),
            "hand-out",
        ),
        "correction": Table(
            "corrected keys: copies of the first lesson are marked by the second",
            {
                "assignment": _ASSIGNMENT,
                "digest": "TEXT NOT NULL REFERENCES lesson(digest)",
                "corrected": "TEXT NOT NULL REFERENCES lesson(digest)",
                "reason": _TEXT,
            },
            ("assignment", "digest"),
            "hand-out",
            student="",
        ),
        "submission": Table(
            "what was read of each student's hand-in, and what there was to say about it",
            {
                "assignment": _ASSIGNMENT,
                "student": _STUDENT,
                "fingerprint": "TEXT NOT NULL",
                "handed_in": "INTEGER NOT NULL CHECK (handed_in IN (0, 1))",
                "answers": "INTEGER NOT NULL",
                "last_answer": _TEXT,
                "sources": "TEXT NOT NULL DEFAULT '[]'",
                "problems": "TEXT NOT NULL DEFAULT '[]'",
                "notes": "TEXT NOT NULL DEFAULT '[]'",
            },
            ("assignment", "student"),
            "hand-in",
            quiet=("sources", "problems", "notes"),
        ),
        "mark": Table(
            "marks worked out from the answers, and from what (so that only what changed is marked again); percent by the policy",
            {
                "assignment": _ASSIGNMENT,
                "student": _STUDENT,
                "fingerprint": "TEXT NOT NULL",
                "points": "REAL NOT NULL",
                "points_possible": "REAL NOT NULL",
                "data": "TEXT NOT NULL DEFAULT '{}'",
                "final_percent": "REAL",
            },
            ("assignment", "student"),
            "hand-in",
            quiet=("data",),
        ),
        "rubric_mark": Table(
            "a teacher's marks, as for free responses: exercise, item from 1, and points",
            {
                "assignment": _ASSIGNMENT,
                "student": _STUDENT,
                "exercise": "TEXT NOT NULL",
                "item": "INTEGER NOT NULL CHECK (item >= 1)",
                "criterion": _TEXT,
                "points": "REAL NOT NULL",
                **_WHO,
            },
            ("assignment", "student", "exercise", "item", "criterion"),
            "teacher",
        ),
        "comment": Table(
            "a teacher's comments: on an item (from 1), on an exercise (item 0), or on all (no exercise)",
            _ABOUT,
            ("id",),
            "teacher",
        ),
        "question": Table(
            "a student's questions about a mark",
            _ABOUT,
            ("id",),
            "teacher",
        ),
        "reply": Table(
            "replies to a student's questions",
            {
                "id": "TEXT NOT NULL",
                "question": "TEXT NOT NULL REFERENCES question(id)",
                "student": _STUDENT,
                "text": "TEXT NOT NULL",
                **_WHO,
            },
            ("id",),
            "teacher",
        ),
    }
)

#: The history: written by every change of the tables above, in the same transaction.
CHANGE_COLUMNS: Final = ("id", "at", "who", "what", "table_name", "row_key", "student", "before", "after")
CHANGE: Final = (
    """CREATE TABLE change (
        id INTEGER PRIMARY KEY AUTOINCREMENT, at TEXT NOT NULL, who TEXT NOT NULL,
        what TEXT NOT NULL CHECK (what IN ('added', 'changed', 'removed', 'erased')),
        table_name TEXT NOT NULL, row_key TEXT NOT NULL, student TEXT NOT NULL, before TEXT, after TEXT)""",
    "CREATE INDEX change_of_student ON change (student) WHERE student <> ''",
    """CREATE TRIGGER change_is_never_removed BEFORE DELETE ON change
    BEGIN SELECT RAISE(ABORT, 'the history is never taken out'); END""",
    # The one thing that may be done to a row of the history: blank it, when the data of a student is erased.
    """CREATE TRIGGER change_is_never_rewritten BEFORE UPDATE ON change WHEN NOT (
        NEW.id = OLD.id AND NEW.at = OLD.at AND NEW.who = OLD.who AND NEW.table_name = OLD.table_name
        AND NEW.what = 'erased' AND NEW.row_key = '' AND NEW.student = '' AND NEW.before IS NULL AND NEW.after IS NULL)
    BEGIN SELECT RAISE(ABORT, 'the history is never rewritten'); END""",
)


#: Columns that came later, by the version that has them.
_ADDED: Final = MappingProxyType({2: (("mark", "final_percent"),), 3: (("assignment", "sealed"),)})


def _table_sql(name: str, table: Table) -> str:
    later = {column for added in _ADDED.values() for one, column in added if one == name}
    columns = ", ".join(f'"{column}" {kind}' for column, kind in table.columns.items() if column not in later)
    key = ", ".join(f'"{column}"' for column in table.key)
    return f'CREATE TABLE "{name}" ({columns}, PRIMARY KEY ({key})) WITHOUT ROWID'


#: Version that a file has -> the statements that make the next one of it.
MIGRATIONS: Final[Mapping[int, tuple[str, ...]]] = MappingProxyType(
    {
        0: (
            *(_table_sql(name, table) for name, table in TABLES.items()),
            *(
                f'CREATE INDEX "{name}_of_student" ON "{name}" (student)'
                for name, table in TABLES.items()
                if table.student == "student" and table.key[0] != "student"
            ),
            *CHANGE,
        ),
        **{
            version - 1: tuple(
                f'ALTER TABLE "{name}" ADD COLUMN "{column}" {TABLES[name].columns[column]}' for name, column in added
            )
            for version, added in _ADDED.items()
        },
    }
)
#: The version that this package reads and writes.
VERSION: Final = len(MIGRATIONS)
