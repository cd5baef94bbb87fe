"""marks.csv: RFC 4180, UTF-8, and no cell that a spreadsheet takes for a formula."""

import csv
import io

import pytest

from musictheory_nb.classroom.class_marks import ClassMarks, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.marks_column import COLUMNS
from musictheory_nb.classroom.marks_table import marks_csv
from musictheory_nb.classroom.roster import Student

#: OWASP, "CSV Injection" (Community pages): cells that begin with one of these must not be taken for a formula.
OWASP = ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"]


def a_class(*students: StudentMarks, lesson: str = "read-intervals") -> ClassMarks:
    return ClassMarks(lesson, "Read intervals", "sha256:0", (("first", "Intervals"), ("second", "Intervals")), students)


def read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8"), newline="")))


def test_one_row_each_with_the_figures_in_their_columns():
    exercises = (ExerciseMarks("first", (1.0, 0.5, None, 0.0), 8.0), ExerciseMarks("second", (1.0, 1.0), 1.5))
    marks = StudentMarks(Student("ada-quill", "Ada, “Q” Quill", "ada@x"), exercises, last_answer="2026-03-02T10:00:00Z")
    (row,) = read(marks_csv([a_class(marks)]))
    assert list(row) == [*COLUMNS, "first", "second"]
    # 1.5 of 4 items worth 8, 2 of 2 worth 1.5: 3 + 1.5 of 9.5
    assert (row["student"], row["name"], row["first"], row["second"]) == ("ada-quill", "Ada, “Q” Quill", "3", "1.5")
    assert (row["points"], row["points_possible"], row["percent"]) == ("4.5", "9.5", "47.4")
    assert (row["answered"], row["asked"], row["lesson"]) == ("5", "6", "read-intervals")


@pytest.mark.parametrize("start", OWASP)
@pytest.mark.parametrize("text", ["1+1", "cmd|' /C calc'!A0", 'HYPERLINK("http://x")'])
@pytest.mark.parametrize("blank", ["", " "])
def test_no_cell_begins_as_a_formula(start, text, blank):
    hostile = blank + start + text
    marks = StudentMarks(Student("x", hostile, hostile), problems=(hostile,))
    data = marks_csv([a_class(marks)])
    for row in csv.reader(io.StringIO(data.decode("utf-8"), newline="")):
        for cell in row:
            assert not cell.lstrip(" ").startswith(tuple(OWASP)), cell
    (row,) = read(data)
    assert row["name"] == "'" + hostile  # nothing is lost


def test_several_lessons_share_one_table():
    one = StudentMarks(Student("x", "X"), (ExerciseMarks("first", (1.0,), 2.0),))
    rows = read(marks_csv([a_class(one), a_class(one, lesson="more")]))
    assert [(row["lesson"], row["first"], row["second"]) for row in rows] == [
        ("read-intervals", "2", ""),
        ("more", "2", ""),
    ]
