"""Marking a class: the class file says who and from which seed, the teacher's notebook what, the folders only what was answered."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.attempt_rule import AttemptChoice, AttemptRule, answers_that_count
from musictheory_nb.classroom.class_file import class_file_path
from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks, exercise_marks
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.hand_in import Submissions, gather_submissions
from musictheory_nb.classroom.late_rule import LateRule, is_closed
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.lesson_variant import asked_digest
from musictheory_nb.classroom.manifest import manifest_path
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.sealed_cell import sealed_sources
from musictheory_nb.classroom.submission import Submission, read_submission
from musictheory_nb.classroom.time_span import NO_TIME, TimeSpan
from musictheory_nb.errors import RecordError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import MarkedLesson, mark_lesson

#: Lines about one student's answers, or about the class's folder; the rest are counted.
MAX_LINES: Final = 25
#: How far the clock of a student's computer may be ahead of the grader's before a line tells it.
CLOCK_ERROR: Final = timedelta(minutes=15)

NOTHING_READ: Final = Submission()
FIRST_COUNTS: Final = AttemptRule()


@dataclass(frozen=True)
class Version:
    """A version of the lesson as marking needs it: its plan, and the source of each exercise's cell."""

    plan: LessonPlan
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Counting:
    """Which of a student's answers count: of several to one item, and of late ones, with the student's extra time."""

    attempts: AttemptRule = FIRST_COUNTS
    closes: TimeSpan = NO_TIME
    extra: TimeSpan = NO_TIME


#: Every answer counts, and of several to one item the first.
ALL_COUNT: Final = Counting()


@dataclass(frozen=True)
class MarkedStudent:
    """The figures of one student, and what a re-run and a page need: the submission, and the marks in full.

    Parameters
    ----------
    marks : StudentMarks
        The figures.
    submission : Submission
        What was read.
    marked : MarkedLesson or None
        The marks in full; None where marking broke off.
    counted : tuple of AnswerLine
        The answers from which the marks were made: all, or by a policy one an item.
    choices : tuple of AttemptChoice
        Items with several answers, and which counts.
    """

    marks: StudentMarks
    submission: Submission
    marked: MarkedLesson | None
    counted: tuple[AnswerLine, ...] = ()
    choices: tuple[AttemptChoice, ...] = ()


def _cut(lines: tuple[str, ...]) -> tuple[str, ...]:
    shown = tuple(plain_line(line) for line in lines[:MAX_LINES])
    return shown if len(lines) <= MAX_LINES else (*shown, f"and {len(lines) - MAX_LINES} more lines of this kind")


def marking_versions(lesson: LessonNotebook, assignment: Assignment) -> dict[str, Version]:
    """Return how copies of each version are marked: by that lesson or the one that corrects it, with the cells as handed out.

    Raises
    ------
    ManifestError
        A version of the lesson kept in the class file was changed.
    """
    notebooks = assignment.versions(lesson)
    plans = {digest: one.plan for digest, one in assignment.marked_by(notebooks).items()}
    return {
        digest: Version(plans[digest], sealed_sources(one.plan) if assignment.sealed else one.exercise_sources())
        for digest, one in notebooks.items()
    }


def not_marked(copy: HandedOut, error: Exception, submission: Submission = NOTHING_READ) -> MarkedStudent:
    """Return what stands for the marks of a student where something of ours broke.

    It must not cost the rest of the class their marks; it is shown, and `failed` makes the command end with an error.
    """
    words = f"NOT MARKED, by a fault of this package, please report it: {type(error).__name__}: {error}"
    problems = (*submission.problems, plain_line(words))
    return MarkedStudent(StudentMarks(copy.student, problems=problems, failed=True), submission, None)


#: Year before which nobody can have answered.
EARLIEST: Final = "2020"


def future_limit(now: datetime) -> str:
    """Return the time after which an answer is dated in the future, as records write it; clocks may be `CLOCK_ERROR` off.

    Examples
    --------
    >>> from datetime import UTC
    >>> future_limit(datetime(2026, 3, 2, 12, 0, tzinfo=UTC))
    '2026-03-02T12:15:00.000Z'
    """
    return (now + CLOCK_ERROR).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _counted(
    version: Version, copy: HandedOut, answers: tuple[AnswerLine, ...], due: DueTime | None, counting: Counting
) -> tuple[tuple[AnswerLine, ...], tuple[AttemptChoice, ...]]:
    """The answers that count; where that is the first of each item, `mark_lesson` takes it by itself."""
    if counting.attempts == FIRST_COUNTS and not counting.closes:
        return answers, ()
    rule = LateRule(closes=counting.closes)

    def is_open(time: str) -> bool:
        return due is None or not is_closed(rule, due, time, counting.extra)

    return answers_that_count(version.plan, copy.seed, answers, counting.attempts, is_open)


def _lines_on_times(submission: Submission, limit: str, left_out: int) -> tuple[str, ...]:
    future = sum(line.time > limit for line in submission.answers) if limit else 0
    told = [f"{future} answers say that they were given in the future, after {limit[:16]} UTC"] if future else []
    if past := sum(line.time < EARLIEST for line in submission.answers):
        told.append(f"{past} answers say that they were given before {EARLIEST}; the computer's clock was wrong")
    return (*told, *([f"{left_out} answers came after closing, and count nothing"] if left_out else []))


def mark_work(
    arguments: Mapping[str, Any],
    version: Version,
    due: DueTime | None = None,
    *,
    counting: Counting = ALL_COUNT,
    limit: str = "",
) -> MarkedStudent:
    """Return the marks of one student; never raises for anything that was handed in.

    Parameters
    ----------
    arguments : Mapping
        As `Submissions.arguments` gives them.
    version : Version
        The lesson by which the student's copy is marked, and its cells as handed out.
    due : DueTime, optional
        Later answers are counted, and count, unless it closes.
    counting : Counting
        Which answers count.
    limit : str
        Answers dated later than this get a line; see `future_limit`.
    """
    copy: HandedOut = arguments["copy"]
    submission = NOTHING_READ
    try:
        submission = read_submission(cells=version.cells, **arguments)
        counted, choices = _counted(version, copy, submission.answers, due, counting)
        marked = mark_lesson(version.plan, copy.seed, counted)
        figures = [exercise_marks(one) for one in marked.exercises]
    except Exception as error:
        return not_marked(copy, error, submission)
    lines = [item.line for one in marked.exercises for item in one.items if item.line is not None]
    repeated = sum(choice.attempts - 1 for choice in choices)
    left_out = len(submission.answers) - len(counted) - repeated
    notes = list(marked.notes)
    if choices:
        notes.append(
            f"{len(choices)} items were answered more than once; of each the {counting.attempts.counts} answer counts"
        )
    marks = StudentMarks(
        student=copy.student,
        exercises=tuple(one for one, _ in figures),
        confusions=tuple(confusion for _, found in figures for confusion in found),
        handed_in=submission.handed_in,
        last_answer=max((line.time for line in lines), default=""),
        after_due=sum(line.time > due.utc for line in lines) if due is not None else 0,
        problems=(*submission.problems, *_lines_on_times(submission, limit, left_out), *_cut(marked.unread)),
        notes=(*submission.notes, *_cut(tuple(notes))),
    )
    return MarkedStudent(marks, submission, marked, counted, choices)


def mark_student(
    submissions: Submissions, version: Version, copy: HandedOut, due: DueTime | None = None
) -> MarkedStudent:
    """Return the marks of one student without any policy; see `mark_work`."""
    try:
        arguments = submissions.arguments(copy)
    except RecordError as error:  # what the teacher entered from paper is damaged
        return not_marked(copy, error)
    return mark_work(arguments, version, due)


def put_together(
    lesson: LessonNotebook,
    assignment: Assignment,
    versions: Mapping[str, Version],
    students: Sequence[StudentMarks],
    problems: Sequence[str] = (),
) -> ClassMarks:
    """Return the marks of a class from those of its students, in the order of the copies."""
    told = list(problems)
    asked = {digest: asked_digest(one.plan) for digest, one in versions.items()}
    now = asked_digest(lesson.plan)
    if older := sum(asked[copy.digest] != now for copy in assignment.copies):
        told.append(
            f"the lesson was changed since it was handed out to {older} of {len(students)} students; "
            f"they are marked by the version that they got"
        )
    digests = dict.fromkeys(copy.digest for copy in assignment.copies)
    used = [lesson.plan, *(versions[digest].plan for digest in digests)]
    exercises = {exercise.id: exercise.family.title for plan in used for exercise in plan.exercises}
    return ClassMarks(
        lesson.plan.id,
        lesson.plan.title,
        lesson.plan.digest,
        tuple(exercises.items()),
        tuple(students),
        assignment.due,
        tuple(told),
    )


def mark_class(
    lesson: LessonNotebook,
    assignment: Assignment,
    folder: Path,
    *,
    own: Sequence[Path] = (),
    beside: Path | None = None,
    each: Callable[[MarkedStudent, HandedOut], None] = lambda marked, copy: None,
) -> ClassMarks:
    """Return the marks of every student who got a copy.

    Marks are worked out from the recorded answers alone, by the exercises of the lesson that was handed out (or by the
    one that corrects its key) and the seeds of the class file. One submission that cannot be read is one line; the others
    are marked.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's present notebook.
    assignment : Assignment
        Of this lesson.
    folder : Path
        What was handed in; see `gather_submissions`.
    own : sequence of Path
        What is the teacher's in that folder: the class file that was read, the folder of the marks.
    beside : Path, optional
        The folder of the class file, where it is another.
    each : callable
        Is called with each student's marks in full as soon as they are there.

    Raises
    ------
    ManifestError
        A version of the lesson kept in the class file was changed.
    ClassroomError
        The class's folder cannot be opened.
    """
    own = own or [class_file_path(folder), manifest_path(folder, assignment.lesson)]
    submissions = gather_submissions(folder, assignment, own=own, beside=beside)
    versions = marking_versions(lesson, assignment)
    students = []
    for copy in assignment.copies:
        marked = mark_student(submissions, versions[copy.digest], copy, assignment.due_of(copy))
        each(marked, copy)
        students.append(marked.marks)
    return put_together(lesson, assignment, versions, students, submissions.problems)
