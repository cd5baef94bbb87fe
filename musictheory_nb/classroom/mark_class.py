"""Marking a class: the manifest says who and from which seed, the teacher's notebook what, the folders only what was answered."""

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks, exercise_marks
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.manifest import HandedOut, Manifest, load_manifest, manifest_path
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.submission import Submission, read_submission
from musictheory_nb.errors import ClassroomError, ManifestError
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


def mark_student(folder: Path, version: Version, copy: HandedOut, due: DueTime | None = None) -> MarkedStudent:
    """Return the marks of one student; never raises for anything that was handed in.

    Parameters
    ----------
    folder : Path
        The class's folder.
    version : Version
        The lesson that was handed out to the student.
    copy : HandedOut
        The student's line of the manifest.
    due : DueTime, optional
        Later answers are counted, and count.
    """
    submission = Submission()
    try:
        submission = read_submission(folder, version.plan.id, copy, version.cells)
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


def _strangers(folder: Path, manifest: Manifest, own: Sequence[Path]) -> tuple[str, ...]:
    """Lines about what lies in the class's folder and belongs to nobody."""
    known = {copy.student.id for copy in manifest.copies}
    told = []
    try:
        with os.scandir(folder) as entries:
            for entry in sorted(entries, key=lambda one: one.name):
                if entry.name in known or entry.name.startswith("."):
                    continue
                if entry.is_symlink():
                    told.append(f"{entry.name} is a link; it was not followed")
                elif any(path.exists() and path.samefile(entry.path) for path in own):
                    continue
                elif entry.is_dir(follow_symlinks=False):
                    told.append(f"the folder {entry.name} is of no student in the manifest; it was not marked")
                elif entry.name == manifest_path(folder, manifest.lesson).name:
                    told.append(f"{entry.name} lies among the submissions; it was not believed")
    except OSError as error:
        raise ClassroomError(f"folder '{folder}' cannot be opened: {error.strerror}") from None
    return _cut(tuple(told))


def find_manifest(lesson: LessonNotebook, folder: Path, given: Path | None = None) -> tuple[Manifest, Path]:
    """Return the manifest of a lesson and where it lies.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's lesson.
    folder : Path
        The class's folder, in which the hand-out put it.
    given : Path, optional
        The manifest, or a folder with manifests, where it lies elsewhere.

    Raises
    ------
    ManifestError
        It is not there, damaged, or of another lesson.
    """
    path = manifest_path(folder, lesson.plan.id) if given is None else Path(given)
    if path.is_dir():
        path = manifest_path(path, lesson.plan.id)
    manifest = load_manifest(path)
    if manifest.lesson != lesson.plan.id:
        raise ManifestError(f"'{path}' is the manifest of the lesson {manifest.lesson!r}, not of {lesson.plan.id!r}")
    return manifest, path


def mark_class(
    lesson: LessonNotebook,
    manifest: Manifest,
    folder: Path,
    *,
    own: Sequence[Path] = (),
    each: Callable[[MarkedStudent, HandedOut], None] = lambda marked, copy: None,
) -> ClassMarks:
    """Return the marks of every student in the manifest.

    Marks are worked out from the recorded answers alone, by the exercises of the lesson that was handed out and the
    seeds of the manifest. One submission that cannot be read is one line; the others are marked.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's present notebook.
    manifest : Manifest
        Of this lesson.
    folder : Path
        One folder for each student in it.
    own : sequence of Path
        What is the teacher's in the class's folder: the manifest that was read, the folder of the marks.
    each : callable
        Is called with each student's marks in full as soon as they are there.

    Raises
    ------
    ManifestError
        A version of the lesson kept in the manifest was changed.
    ClassroomError
        The class's folder cannot be opened.
    """
    problems = list(_strangers(folder, manifest, own or [manifest_path(folder, manifest.lesson)]))
    notebooks = manifest.versions(lesson)
    versions = {digest: Version(one.plan, one.exercise_sources()) for digest, one in notebooks.items()}
    students = []
    for copy in manifest.copies:
        marked = mark_student(folder, versions[copy.digest], copy, manifest.due)
        each(marked, copy)
        students.append(marked.marks)
    if older := sum(copy.digest != lesson.plan.digest for copy in manifest.copies):
        problems.append(
            f"the lesson was changed since it was handed out to {older} of {len(students)} students; "
            f"they are marked by the version that they got"
        )
    used = [lesson.plan, *(versions[digest].plan for digest in dict.fromkeys(copy.digest for copy in manifest.copies))]
    exercises = {exercise.id: exercise.family.title for plan in used for exercise in plan.exercises}
    return ClassMarks(
        lesson.plan.id,
        lesson.plan.title,
        lesson.plan.digest,
        tuple(exercises.items()),
        tuple(students),
        manifest.due,
        tuple(problems),
    )
