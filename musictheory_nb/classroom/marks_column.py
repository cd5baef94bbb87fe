"""The columns that a table of marks may have: what each holds, in one table that check, error text and help read."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks
from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.errors import ReportError


@dataclass(frozen=True, slots=True)
class MarksRow:
    """What a row of the table is made from; `final` is the mark after the policy, or None without one."""

    lesson: ClassMarks
    marks: StudentMarks
    final: FinalMark | None = None

    @property
    def percent(self) -> float:
        """The mark in percent: after the policy where there is one."""
        return self.final.percent if self.final is not None else 100 * self.marks.score


@dataclass(frozen=True, slots=True)
class MarksColumn:
    """One column: its meaning, and its cell (a text, or a number with its decimals)."""

    meaning: str
    cell: Callable[[MarksRow], str | tuple[float, int]]


def _minutes(row: MarksRow) -> str | tuple[float, int]:
    seconds = [exercise.seconds for exercise in row.marks.exercises if exercise.seconds is not None]
    return (sum(seconds) / 60, 1) if seconds else ""


def _final(take: Callable[[FinalMark], str | tuple[float, int]]) -> Callable[[MarksRow], str | tuple[float, int]]:
    return lambda row: "" if row.final is None else take(row.final)


def _passed(final: FinalMark) -> str:
    return "" if final.passed is None else "yes" if final.passed else "no"


#: Name of a column -> what it holds. ``exercises`` stands for one column of points for each exercise, under its id.
COLUMN_TABLE: Final[Mapping[str, MarksColumn]] = MappingProxyType(
    {
        "lesson": MarksColumn("id of the lesson", lambda row: row.lesson.lesson),
        "title": MarksColumn("title of the lesson", lambda row: row.lesson.title),
        "student": MarksColumn("id of the student", lambda row: row.marks.student.id),
        "name": MarksColumn("name of the student", lambda row: row.marks.student.name),
        "email": MarksColumn("address of the student", lambda row: row.marks.student.email),
        "points": MarksColumn("points reached, before any policy", lambda row: (row.marks.points, 2)),
        "points_possible": MarksColumn("points that can be reached, before any policy", lambda row: (row.marks.points_possible, 2)),
        "percent": MarksColumn("percent reached, before any policy", lambda row: (100 * row.marks.score, 1)),
        "answered": MarksColumn("number of items answered", lambda row: str(row.marks.answered)),
        "asked": MarksColumn("number of items", lambda row: str(row.marks.asked)),
        "last_answer": MarksColumn("time of the last answer, UTC", lambda row: row.marks.last_answer),
        "after_due": MarksColumn("number of answers after the due time", lambda row: str(row.marks.after_due)),
        "problems": MarksColumn("what was found in the hand-in", lambda row: " | ".join(row.marks.problems)),
        "exercises": MarksColumn("points of each exercise, a column each", lambda row: ""),
        "final_points": MarksColumn("points after the policy", _final(lambda final: (final.points, 2))),
        "final_points_possible": MarksColumn("points that can be reached by the policy", _final(lambda final: (final.points_possible, 2))),
        "final_percent": MarksColumn("percent after the policy", _final(lambda final: (final.percent, 2))),
        "passed": MarksColumn("whether the pass mark is reached: yes or no", _final(_passed)),
        "effects": MarksColumn("what each rule of the policy did", _final(lambda final: final.words)),
        "handed_in": MarksColumn("whether there is a hand-in: yes or no", lambda row: "yes" if row.marks.handed_in else "no"),
        "minutes": MarksColumn("minutes spent, as far as recorded", _minutes),
        "due": MarksColumn("due time of the class, UTC", lambda row: row.lesson.due.utc if row.lesson.due else ""),
        "notes": MarksColumn("what is good to know of the hand-in", lambda row: " | ".join(row.marks.notes)),
    }
)  # fmt: skip

#: The columns where none are named.
COLUMNS: Final = (
    "lesson",
    "student",
    "name",
    "email",
    "points",
    "points_possible",
    "percent",
    "answered",
    "asked",
    "last_answer",
    "after_due",
    "problems",
)
DEFAULT_COLUMNS: Final = (*COLUMNS, "exercises")
#: The columns where none are named and there is a policy.
POLICY_COLUMNS: Final = (
    *COLUMNS,
    "final_points",
    "final_points_possible",
    "final_percent",
    "passed",
    "effects",
    "exercises",
)


def check_columns(columns: tuple[str, ...], exercises: tuple[str, ...]) -> None:
    """Raise unless every column is in the table or the id of an exercise, and none comes twice.

    Raises
    ------
    ReportError
        Names the column and what is allowed.

    Examples
    --------
    >>> check_columns(("student", "percnt"), ("first",))  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    musictheory_nb.errors.ReportError: column 'percnt'; allowed: lesson, title, ... notes, or an exercise: first; did you mean 'percent'?
    """
    if not columns:
        raise ReportError(f"columns: none are named; allowed: {', '.join(COLUMN_TABLE)}")
    for at, name in enumerate(columns):
        if name not in COLUMN_TABLE and name not in exercises:
            near = get_close_matches(name, [*COLUMN_TABLE, *exercises], n=1)
            advice = f"; did you mean {near[0]!r}?" if near else ""
            told = f", or an exercise: {', '.join(exercises)}" if exercises else ""
            raise ReportError(f"column {plain_line(name, 40)!r}; allowed: {', '.join(COLUMN_TABLE)}{told}{advice}")
        if name in columns[:at]:
            raise ReportError(f"column {name!r} is named twice; write each once")


def cell_of(row: MarksRow, column: str, decimal: str) -> str:
    """Return a cell as text: a column of the table, or the points of an exercise (blank where the student has none of that id)."""
    if column in COLUMN_TABLE:
        cell = COLUMN_TABLE[column].cell(row)
    else:
        marks = row.marks.exercise(column)
        cell = "" if marks is None else (marks.points, 2)
    if isinstance(cell, tuple):
        return number_text(*cell).replace(".", decimal)
    return cell
