"""A faulty key is corrected once: copies that were handed out stay as they are, and are marked by the corrected lesson.

What may change is what is right and what it is worth; what was asked may not, or answers would be marked to another question.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.assignment_store import load_assignment, save_lessons
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.lesson_variant import with_exercise_settings
from musictheory_nb.classroom.roster import SETTINGS
from musictheory_nb.errors import ClassFileError, LessonError
from musictheory_nb.practice.exercise import Exercise


@dataclass(frozen=True)
class Correction:
    """What a correction did: the assignment as it is now, and how many copies are marked by another key than before."""

    assignment: Assignment
    copies: int


def _kept_settings(old: LessonNotebook, corrected: LessonNotebook) -> LessonNotebook:
    """The corrected lesson, in the clef and the words in which the old copies ask."""
    known = {exercise.id for exercise in corrected.plan.exercises}
    wanted = {
        exercise.id: {name: value for name, value in exercise.settings.items() if name in SETTINGS}
        for exercise in old.plan.exercises
        if exercise.id in known
    }
    return with_exercise_settings(corrected, wanted)


def _check_same_question(old: Exercise, new: Exercise, copies: Sequence[HandedOut]) -> None:
    if (old.kind, old.version, old.count) != (new.kind, new.version, new.count):
        raise LessonError(
            f"exercise {old.id!r} asks {new.count} of {new.kind!r} now, and {old.count} of {old.kind!r} in the copies; a "
            f"correction may change what is right, not what is asked"
        )
    for copy in copies:
        for index in range(old.count):
            before, after = old.item(copy.seed, index), new.item(copy.seed, index)
            if (before.prompt, before.media, before.response) != (after.prompt, after.media, after.response):
                raise LessonError(
                    f"exercise {old.id!r} item {index + 1} of {copy.student.id!r} would ask something else; a correction may "
                    f"change what is right, not what is asked"
                )


def corrected_assignment(assignment: Assignment, corrected: LessonNotebook) -> Correction:
    """Return the assignment in which every copy is marked by the corrected lesson.

    Parameters
    ----------
    assignment : Assignment
        As handed out.
    corrected : LessonNotebook
        The same lesson with another key.

    Raises
    ------
    LessonError
        An exercise is gone, or would ask something else of somebody.
    ManifestError
        A version of the lesson kept in the class file was changed.
    """
    versions = assignment.versions()
    lessons, corrections, touched = dict(assignment.lessons), dict(assignment.corrections), 0
    for digest in dict.fromkeys(copy.digest for copy in assignment.copies):
        old = versions[digest]
        new = _kept_settings(old, corrected)
        copies = [copy for copy in assignment.copies if copy.digest == digest]
        exercises = {exercise.id: exercise for exercise in new.plan.exercises}
        for exercise in old.plan.exercises:
            if exercise.id not in exercises:
                raise LessonError(
                    f"exercise {exercise.id!r} is gone from {corrected.name!r}; leave it in, and drop it in the policy"
                )
            if exercise != exercises[exercise.id]:
                _check_same_question(exercise, exercises[exercise.id], copies)
        if corrections.get(digest, digest) != new.plan.digest:
            touched += len(copies)
        lessons[new.plan.digest] = new.content
        if new.plan.digest == digest:
            corrections.pop(digest, None)
        else:
            corrections[digest] = new.plan.digest
    lessons.setdefault(corrected.plan.digest, corrected.content)
    now = replace(
        assignment,
        title=corrected.plan.title,
        digest=corrected.plan.digest,
        lessons=MappingProxyType(lessons),
        corrections=MappingProxyType(corrections),
    )
    return Correction(now, touched)


def correct_key(file: ClassFile, corrected: LessonNotebook, reason: str = "") -> Correction:
    """Write down that all copies of a lesson are marked by a corrected one; new copies are made from it.

    Parameters
    ----------
    file : ClassFile
        Of the class.
    corrected : LessonNotebook
        The same lesson with another key.
    reason : str
        For the history.

    Raises
    ------
    ClassFileError
        The lesson was not handed out, or the file cannot be written.
    LessonError
        As for `corrected_assignment`; nothing is changed.
    """
    with file.changing():
        before = load_assignment(file, corrected.plan.id)
        if before is None:
            raise ClassFileError(f"{corrected.plan.id!r} was not handed out in '{file.path.as_posix()}'")
        done = corrected_assignment(before, corrected)
        now = done.assignment
        save_lessons(file, now)
        row = file.row("assignment", id=now.lesson) or {}
        file.put("assignment", **{**row, "title": now.title, "digest": now.digest})
        for digest in before.corrections:
            if digest not in now.corrections:
                file.remove("correction", assignment=now.lesson, digest=digest)
        for digest, other in now.corrections.items():
            if before.corrections.get(digest) != other:
                file.put("correction", assignment=now.lesson, digest=digest, corrected=other, reason=reason)
    return done
