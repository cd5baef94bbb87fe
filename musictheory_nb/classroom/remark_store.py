"""What a teacher added by hand, read from the class file: rubric marks, comments, questions and replies."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field

from musictheory_nb.classroom.class_file import ClassFile, Row
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.teacher_remark import Comment, Exchange, RubricMark, RubricRow
from musictheory_nb.errors import ReportError
from musictheory_nb.practice.lesson_plan import LessonPlan


@dataclass(frozen=True)
class Remarks:
    """All that was added to one student's work; `problems` are lines about what cannot be used."""

    rubric_marks: tuple[RubricMark, ...] = ()
    comments: tuple[Comment, ...] = ()
    exchanges: tuple[Exchange, ...] = ()
    problems: tuple[str, ...] = ()


NO_REMARKS = Remarks()


@dataclass(frozen=True)
class RemarkStore:
    """The remarks on one assignment, by student id."""

    rubric_rows: Mapping[str, tuple[Row, ...]] = field(default_factory=dict)
    comments: Mapping[str, tuple[Comment, ...]] = field(default_factory=dict)
    exchanges: Mapping[str, tuple[Exchange, ...]] = field(default_factory=dict)

    def of(self, student: str, plan: LessonPlan) -> Remarks:
        """Return the remarks on a student's work.

        Parameters
        ----------
        student : str
            Id.
        plan : LessonPlan
            By which the student is marked: an item is worth its share of the exercise's points.
        """
        marks, problems = _rubric_marks(self.rubric_rows.get(student, ()), plan)
        return Remarks(marks, self.comments.get(student, ()), self.exchanges.get(student, ()), problems)


def _place(row: Row) -> tuple[str, int | None]:
    return row["exercise"], row["item"] - 1 if row["item"] else None


def _grouped(pairs: list[tuple[str, object]]) -> dict[str, tuple[object, ...]]:
    found: defaultdict[str, list[object]] = defaultdict(list)
    for student, one in pairs:
        found[student].append(one)
    return {student: tuple(them) for student, them in found.items()}


def _rubric_marks(rows: tuple[Row, ...], plan: LessonPlan) -> tuple[tuple[RubricMark, ...], tuple[str, ...]]:
    exercises = {one.id: one for one in plan.exercises}
    by_item: defaultdict[tuple[str, int], list[Row]] = defaultdict(list)
    for row in rows:
        by_item[row["exercise"], row["item"]].append(row)
    marks, problems = [], []
    for (id, item), them in sorted(by_item.items()):
        exercise = exercises.get(id)
        if exercise is None or item > exercise.count:
            problems.append(
                f"rubric mark of {plain_line(id, 60)} item {item}: this student has no such item; it is left out"
            )
            continue
        worth = exercise.points / exercise.count
        try:
            marks.append(
                RubricMark(
                    id,
                    item - 1,
                    tuple(RubricRow(row["criterion"], row["points"], 0.0 if len(them) > 1 else worth) for row in them),
                    by=max(them, key=lambda row: row["at"])["who"],
                    time=max(row["at"] for row in them),
                    points_possible=worth,
                )
            )
        except ReportError as error:
            problems.append(f"{error}; it is left out")
    return tuple(marks), tuple(problems)


def load_remarks(file: ClassFile, assignment: str) -> RemarkStore:
    """Return what was added to the work on an assignment.

    Raises
    ------
    ClassFileError
        The file is damaged.
    """
    rubric = [(row["student"], row) for row in file.rows("rubric_mark", assignment=assignment)]
    comments: list[tuple[str, object]] = []
    for row in sorted(file.rows("comment", assignment=assignment), key=lambda row: (row["at"], row["id"])):
        exercise, index = _place(row)
        comments.append((row["student"], Comment(row["text"], exercise, index, row["who"], row["at"])))
    replies: defaultdict[str, list[Row]] = defaultdict(list)
    for row in file.rows("reply"):
        replies[row["question"]].append(row)
    exchanges: list[tuple[str, object]] = []
    for row in sorted(file.rows("question", assignment=assignment), key=lambda row: (row["at"], row["id"])):
        exercise, index = _place(row)
        answers = sorted(replies[row["id"]], key=lambda one: (one["at"], one["id"]))
        reply, at = "\n".join(one["text"] for one in answers), answers[-1]["at"] if answers else ""
        exchanges.append((row["student"], Exchange(row["text"], row["at"], reply, at, exercise, index)))
    return RemarkStore(_grouped(rubric), _grouped(comments), _grouped(exchanges))  # type: ignore[arg-type]
