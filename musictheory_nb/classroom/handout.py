"""Handing out: one folder for each student with a copy of the lesson of its own, and the teacher's class file."""

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut, merged_student, new_assignment
from musictheory_nb.classroom.assignment_store import (
    class_key_of,
    load_assignment,
    save_assignment,
    students_of,
    take_over_manifest,
)
from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.class_file import NAME, ClassFile
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.lesson_variant import asked_digest
from musictheory_nb.classroom.marking_task import terms_bytes
from musictheory_nb.classroom.notebook_file import notebook_name
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.sealing import seal_task, sealed_notebook
from musictheory_nb.classroom.worker_pool import Workers, run_all
from musictheory_nb.errors import ClassroomError, ManifestError
from musictheory_nb.practice.family import EVERYWHERE
from musictheory_nb.practice.sealed_exercise import sealed_name

#: Sealed copies are rendered on this computer; from a few on, on all of its cores.
HERE: Final = Workers(chunk=1, few=4)


@dataclass(frozen=True)
class HandOut:
    """What a hand-out did.

    Parameters
    ----------
    assignment : Assignment
        As it is now.
    path : Path
        The class file.
    written : tuple of str
        Students who got a copy now.
    kept : tuple of str
        Students whose notebook was there and was left as it is.
    remarks : tuple of str
        What a teacher should know.
    """

    assignment: Assignment
    path: Path
    written: tuple[str, ...]
    kept: tuple[str, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Terms:
    """On what terms a lesson is handed out; None leaves what was said before.

    Parameters
    ----------
    due : DueTime, optional
        For the class; see `Student.due` and `Student.extra_time` for a student's own.
    attempts : int, optional
        How often an item may be answered: so often copies that are made now let it be answered, and so many answers are
        looked at in marking. 0, the default, is once in a copy and no limit in marking.
    together : bool, optional
        Students of a group, as the roster has them, share one copy, and what one of them hands in counts for all.
    sealed : bool, optional
        Copies hold the questions as pictures and sounds, without seed, key or settings; see `sealing`.
    replaces : str, optional
        Id of the assignment for which this one makes up.
    """

    due: DueTime | None = None
    attempts: int | None = None
    together: bool | None = None
    replaces: str | None = None
    sealed: bool | None = None

    def applied(self, assignment: Assignment) -> Assignment:
        """Return the assignment on these terms."""
        told = {name: getattr(self, name) for name in self.__slots__}
        return replace(assignment, **{name: value for name, value in told.items() if value is not None})


def _check_terms(file: ClassFile, assignment: Assignment, before: Assignment | None) -> None:
    if not 0 <= assignment.attempts <= 1000:
        raise ClassroomError(f"attempts {assignment.attempts}; allowed: 1 to 1000, or 0 for no limit")
    if before is not None and before.copies and before.together != assignment.together:
        raise ClassroomError(
            f"{assignment.lesson!r} was handed out {'to groups' if before.together else 'to each student'}; "
            f"that cannot be changed once there are copies"
        )
    if before is not None and before.copies and before.sealed != assignment.sealed:
        raise ClassroomError(
            f"{assignment.lesson!r} was handed out {'sealed' if before.sealed else 'unsealed'}; that cannot be changed once "
            f"there are copies; hand it out once more under another name: --as NAME"
        )
    made_up = assignment.replaces
    if made_up == assignment.lesson or (made_up and file.row("assignment", id=made_up) is None):
        handed = ", ".join(row["id"] for row in file.rows("assignment") if row["id"] != assignment.lesson) or "nothing"
        raise ClassroomError(f"makes up for {made_up!r}, which was not handed out here; handed out: {handed}")


def _found(
    file: ClassFile, lesson: LessonNotebook, students: Sequence[Student], folder: Path, class_key: str
) -> tuple[Assignment, Assignment | None]:
    """The assignment as it was, or a new one; and as it was, or None."""
    id = lesson.plan.id
    found = load_assignment(file, id) or take_over_manifest(file, folder, id)
    if found is not None:
        return found, found
    orphans = [one.id for one in students if os.path.lexists(folder / one.id / notebook_name(id))]
    if orphans and not class_key:
        raise ManifestError(
            f"'{folder}' holds copies of {id!r} (of {', '.join(orphans[:3])}) but the class file '{NAME}' does not know "
            f"their seeds; put it back, give the class key that it had, or hand out to another folder"
        )
    return new_assignment(lesson, class_key_of(file, class_key)), None


def _written_down(
    file: ClassFile, lesson: LessonNotebook, students: Sequence[Student], folder: Path, terms: Terms, class_key: str
) -> tuple[Assignment, tuple[str, ...]]:
    """Write the assignment into the class file, as one change; return it and what to remark."""
    with file.changing():
        before, was = _found(file, lesson, students, folder, class_key)
        known = students_of(file)
        told = [merged_student(known[one.id], one) if one.id in known else _plain(one) for one in students]
        assignment = terms.applied(before)
        _check_terms(file, assignment, was)
        assignment = assignment.with_copies(lesson, told)
        remarks = _remarks(assignment, before, lesson, told)
        save_assignment(file, assignment)
        present = {one.id for one in told}
        for copy in assignment.copies:
            id = copy.student.id
            row = file.row("student", id=id)
            if row is not None and row["in_roster"] != int(id in present):
                file.put("student", **{**row, "in_roster": int(id in present)})
    return assignment, remarks


def _plain(student: Student) -> Student:
    return merged_student(Student(student.id, student.name), student)


def hand_out(
    lesson: LessonNotebook,
    students: Sequence[Student],
    folder: Path,
    due: DueTime | None = None,
    *,
    terms: Terms | None = None,
    class_key: str = "",
    who: str = "",
    workers: Workers = HERE,
) -> HandOut:
    """Write the class file and a copy for every student who has none.

    A file that is there is never overwritten: handing out twice changes nothing, and a student who is added to the
    roster gets a copy while all others keep theirs. The class file is on the disk before the first copy is, and of two
    hand-outs at once the second goes by what the first has written.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's lesson.
    students : sequence of Student
        The roster.
    folder : Path
        Made when it is not there.
    due : DueTime, optional
        Short for ``terms=Terms(due=due)``.
    terms : Terms, optional
        Replace those that were said before.
    class_key : str
        32 hexadecimal digits, for a new class, by default drawn by the operating system; or those that a class file had that
        is lost: seeds follow from it, so that handing out again makes the file again and leaves all copies as they are.
    who : str
        For the history; by default the name of the account.
    workers : Workers
        Who renders sealed copies.

    Raises
    ------
    ExerciseError
        A sealed copy would be too large.
    ManifestError
        Copies lie there of which the class file does not know the seeds, or a manifest of an earlier hand-out is damaged.
    RosterError
        A student's setting is not allowed by the lesson.
    ClassroomError
        A folder is a link, the terms do not fit, the class file is in use or damaged, or the disk refuses.
    """
    folder = Path(folder)
    make_folder(folder)
    for student in students:
        if (place := folder / student.id).is_symlink():
            raise ClassroomError(f"'{place}' is a link; nothing is written through links")
    terms = terms or Terms()
    with ClassFile.open(folder, make=True, who=who) as file:
        assignment, remarks = _written_down(
            file, lesson, students, folder, replace(terms, due=due or terms.due), class_key
        )
        path = file.path
    versions = assignment.versions(lesson)
    present = {student.id for student in students}
    written: list[str] = []
    kept: list[str] = []
    if assignment.sealed:
        mine = [copy for copy in assignment.copies if copy.student.id in present]
        remarks = (*remarks, *_seal(lesson, assignment, mine, folder, workers))
    for copy in assignment.copies:
        id = copy.student.id
        if id in present:
            make_folder(folder / id)
            version = versions[copy.digest]
            tries = assignment.attempts or 1
            sealed = assignment.sealed
            data = sealed_notebook(version, copy, tries)[0] if sealed else version.copy_for(id, copy.seed, tries)
            is_new = write_whole(folder / id / notebook_name(assignment.lesson), data, keep=True)
            (written if is_new else kept).append(id)
    return HandOut(assignment, path, tuple(written), tuple(kept), remarks)


def _seal(
    lesson: LessonNotebook,
    assignment: Assignment,
    copies: Sequence[HandedOut],
    folder: Path,
    workers: Workers,
) -> tuple[str, ...]:
    """Write the sealed file of each of the copies that has none, and return what to remark."""
    missing = [copy for copy in copies if not (folder / copy.student.id / sealed_name(assignment.lesson)).exists()]
    terms = terms_bytes(lesson, assignment, "")
    for copy, data in zip(missing, run_all(workers, seal_task, terms, missing, len(missing)), strict=True):
        make_folder(folder / copy.student.id)
        write_whole(folder / copy.student.id / sealed_name(assignment.lesson), data, keep=True)
    left_out = sealed_notebook(lesson, copies[0])[1] if copies else 0
    if not left_out:
        return ()
    return (f"{left_out} code cells of the lesson are not in the sealed copies: they might show music or an answer",)


def _some(ids: Sequence[str]) -> str:
    return f"{', '.join(ids[:12])}{' …' if len(ids) > 12 else ''}"


def _remarks(
    assignment: Assignment, before: Assignment, lesson: LessonNotebook, students: Sequence[Student]
) -> tuple[str, ...]:
    remarks = []
    present = {student.id: student for student in students}
    if gone := [copy.student.id for copy in assignment.copies if copy.student.id not in present]:
        remarks.append(f"no longer in the roster, but kept in the class file: {', '.join(gone)}")
    asked = {
        digest: asked_digest(one.plan) for digest, one in assignment.marked_by(assignment.versions(lesson)).items()
    }
    old = [copy.student.id for copy in before.copies if asked[copy.digest] != asked[assignment.digest]]
    if old:
        remarks.append(
            f"the lesson was changed since {len(old)} copies were handed out; they stay as they are and are marked by "
            f"the version handed out: {_some(old)}"
        )
    settings = {setting.name for one in lesson.plan.exercises for setting in (*one.family.settings, *EVERYWHERE)}
    for name in dict.fromkeys(name for one in students for name, _ in one.settings):
        if name not in settings:
            remarks.append(f"no exercise of this lesson has the setting {name!r}; it changes nothing here")
    was = {copy.student.id: copy.student.settings for copy in before.copies}
    if late := [one.id for one in students if one.id in was and was[one.id] != one.settings]:
        remarks.append(f"settings were changed after their copy was handed out; it stays as it is: {_some(late)}")
    moved = [
        copy.student.id
        for copy in before.copies
        if assignment.together and copy.student.id in present and present[copy.student.id].group not in ("", copy.group)
    ]
    if moved:
        remarks.append(f"now in another group, but their copy is that of the first: {_some(moved)}")
    return tuple(remarks)
