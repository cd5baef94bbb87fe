"""What a teacher adds by hand: rubric marks of free responses, comments, and answers to a student's question."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from musictheory_nb.classroom.class_marks import StudentMarks
from musictheory_nb.errors import ReportError


@dataclass(frozen=True, slots=True)
class RubricRow:
    """One criterion: the points given, of how many (0 where only the whole item says), and a remark."""

    criterion: str
    points: float
    points_possible: float = 0.0
    remark: str = ""


@dataclass(frozen=True, slots=True)
class RubricMark:
    """A teacher's mark of one item (from 0), row by row.

    `points_possible` is what the item is worth; 0 takes the sum of what its rows are.

    Raises
    ------
    ReportError
        No rows, none with points, or points outside what a row or the item can give.
    """

    exercise: str
    index: int
    rows: tuple[RubricRow, ...]
    by: str = ""
    time: str = ""
    points_possible: float = 0.0

    def __post_init__(self) -> None:
        name = f"rubric mark of {self.exercise!r} item {self.index + 1}"
        if not self.rows or self.most <= 0:
            raise ReportError(f"{name}: no row gives points")
        for row in self.rows:
            most = row.points_possible or self.most
            if not 0 <= row.points <= most:
                raise ReportError(f"{name}, {row.criterion[:40]!r}: {row.points!r} points; allowed: 0 to {most!r}")
        if self.points > self.most * (1 + 1e-9):
            raise ReportError(f"{name}: {self.points!r} points in all; the item is worth {self.most!r}")

    @property
    def points(self) -> float:
        """Points given."""
        return sum(row.points for row in self.rows)

    @property
    def most(self) -> float:
        """Points that can be given."""
        return self.points_possible or sum(row.points_possible for row in self.rows)

    @property
    def score(self) -> float:
        """Share of the points given, 0 to 1."""
        return min(1.0, self.points / self.most)


@dataclass(frozen=True, slots=True)
class Comment:
    """A teacher's comment: on the whole work, on an exercise, or on one item (from 0) of it."""

    text: str
    exercise: str = ""
    index: int | None = None
    by: str = ""
    time: str = ""


@dataclass(frozen=True, slots=True)
class Exchange:
    """A student's question about a mark, and the teacher's reply; empty while there is none."""

    question: str
    asked: str = ""
    reply: str = ""
    replied: str = ""
    exercise: str = ""
    index: int | None = None


def with_rubric_marks(one: StudentMarks, rubric_marks: Iterable[RubricMark]) -> StudentMarks:
    """Return the marks with the teacher's in the place of what was marked by itself; a later one stands.

    Marks for exercises or items that the student's version of the lesson has not are left out.

    Examples
    --------
    >>> from musictheory_nb.classroom.class_marks import ExerciseMarks
    >>> from musictheory_nb.classroom.roster import Student
    >>> ada = StudentMarks(Student("ada", "Ada"), (ExerciseMarks("essay", (0.0,), 10.0),))
    >>> given = RubricMark("essay", 0, (RubricRow("argument", 3, 4), RubricRow("terms", 3, 4)))
    >>> with_rubric_marks(ada, [given]).points
    7.5
    >>> RubricMark("essay", 0, (RubricRow("argument", 5, 4),))
    Traceback (most recent call last):
    musictheory_nb.errors.ReportError: rubric mark of 'essay' item 1, 'argument': 5 points; allowed: 0 to 4
    """
    given = {(mark.exercise, mark.index): mark.score for mark in sorted(rubric_marks, key=lambda mark: mark.time)}
    exercises = tuple(
        replace(
            marks,
            scores=tuple(given.get((marks.id, at), score) for at, score in enumerate(marks.scores)),
            awaits=tuple(at for at in marks.awaits if (marks.id, at) not in given),
        )
        for marks in one.exercises
    )
    return replace(one, exercises=exercises)
