"""marks.csv: one row for each student and lesson, safe to open in a spreadsheet."""

import csv
import io
from collections.abc import Sequence
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks

#: Columns before the points of the exercises, which follow under the exercises' ids.
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
#: A cell that begins with one of these is a formula to a spreadsheet (the full-width forms to one set to East Asian text).
FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")


def number_text(value: float, decimals: int = 2) -> str:
    """Return a number without trailing zeros.

    Examples
    --------
    >>> number_text(7.5), number_text(8.0), number_text(2 / 3)
    ('7.5', '8', '0.67')
    """
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def cell_text(value: str) -> str:
    """Return a text as a spreadsheet cell that is never taken for a formula.

    Examples
    --------
    >>> cell_text("=1+1"), cell_text(" @x"), cell_text("Inés")
    ("'=1+1", "' @x", 'Inés')
    """
    risky = value.lstrip(" ").startswith(FORMULA_STARTS) or value.lstrip().startswith(FORMULA_STARTS)
    return f"'{value}" if risky else value


def _row(lesson: str, one: StudentMarks, exercises: Sequence[str]) -> list[str]:
    points = {marks.id: number_text(marks.points) for marks in one.exercises}
    return [
        lesson,
        one.student.id,
        one.student.name,
        one.student.email,
        number_text(one.points),
        number_text(one.points_possible),
        number_text(100 * one.score, 1),
        str(one.answered),
        str(one.asked),
        one.last_answer,
        str(one.after_due),
        " | ".join(one.problems),
        *(points.get(id, "") for id in exercises),
    ]


def marks_csv(lessons: Sequence[ClassMarks]) -> bytes:
    """Return the table of one lesson, or of several, as a CSV file (RFC 4180, UTF-8).

    Notes
    -----
    Text that a spreadsheet would take for a formula is preceded by an apostrophe, as the OWASP notes on CSV injection
    advise; the columns are `COLUMNS`, then one for each exercise, blank where a lesson has none of that id.
    """
    exercises = list(dict.fromkeys(id for lesson in lessons for id, _ in lesson.exercises))
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow([*COLUMNS, *exercises])
    for lesson in lessons:
        for one in lesson.students:
            writer.writerow([cell_text(cell) for cell in _row(lesson.lesson, one, exercises)])
    return text.getvalue().encode("utf-8")
