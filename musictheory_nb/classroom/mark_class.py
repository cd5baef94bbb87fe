"""Marking a class: the class file says who and from which seed, the teacher's notebook what, the folders only what was answered."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.class_file import class_file_path
from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks, exercise_marks
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.hand_in import Submissions, gather_submissions
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.lesson_variant import asked_digest
from musictheory_nb.classroom.manifest import manifest_path
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.submission import Submission
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import MarkedLesson, mark_lesson

#: Lines about one student's answers, or about the class's folder; the rest are counted.
MAX_LINES: Final = 25


@dataclass(frozen=True)
class Version:
    """A version of the lesson as marking needs it: its plan, and the source of each exercise's cell."""

    plan: LessonPlan
    cells: Mapping[str, str]


@dataclass(frozen=True)
class MarkedStudent:
    """The figures of one student, and what a re-run needs: the submission and the marks in full."""

    marks: StudentMarks
    submission: Submission
    marked: MarkedLesson | None


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
    return {digest: Version(plans[digest], one.exercise_sources()) for digest, one in notebooks.items()}


def mark_student(
    submissions: Submissions, version: Version, copy: HandedOut, due: DueTime | None = None
) -> MarkedStudent:
    """Return the marks of one student; never raises for anything that was handed in.

    Parameters
    ----------
    submissions : Submissions
        What the class handed in.
    version : Version
        The lesson by which the student's copy is marked, and its cells as handed out.
    copy : HandedOut
        The student's copy.
    due : DueTime, optional
        Later answers are counted, and count.
    """
    submission = Submission()
    try:
        submission = submissions.of(copy, version.cells)
        marked = mark_lesson(version.plan, copy.seed, submission.answers)
        figures = [exercise_marks(one) for one in marked.exercises]
    except Exception as error:
        # Whatever breaks here is a fault of ours. It must not cost the rest of the class their marks; it is shown,
        # and `failed` makes the command end with an error.
        words = f"NOT MARKED, by a fault of this package, please report it: {type(error).__name__}: {error}"
        problems = (*submission.problems, plain_line(words))
        return MarkedStudent(StudentMarks(copy.student, problems=problems, failed=True), submission, None)
    counted = [item.line for one in marked.exercises for item in one.items if item.line is not None]
    late = sum(line.time > due.utc for line in counted) if due is not None else 0
    marks = StudentMarks(
        student=copy.student,
        exercises=tuple(one for one, _ in figures),
        confusions=tuple(confusion for _, found in figures for confusion in found),
        handed_in=submission.handed_in,
        last_answer=max((line.time for line in counted), default=""),
        after_due=late,
        problems=(*submission.problems, *_cut(marked.unread)),
        notes=(*submission.notes, *_cut(marked.notes)),
    )
    return MarkedStudent(marks, submission, marked)


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
    problems = list(submissions.problems)
    versions = marking_versions(lesson, assignment)
    students = []
    for copy in assignment.copies:
        marked = mark_student(submissions, versions[copy.digest], copy, assignment.due_of(copy))
        each(marked, copy)
        students.append(marked.marks)
    asked = {digest: asked_digest(one.plan) for digest, one in versions.items()}
    now = asked_digest(lesson.plan)
    if older := sum(asked[copy.digest] != now for copy in assignment.copies):
        problems.append(
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
        tuple(problems),
    )
