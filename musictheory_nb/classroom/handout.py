"""Handing out: one folder for each student with a copy of the lesson of its own, and the teacher's manifest."""

import os
from dataclasses import dataclass, replace
from pathlib import Path

from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.manifest import Manifest, load_manifest, manifest_path, new_manifest, save_manifest
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ClassroomError, ManifestError


@dataclass(frozen=True)
class HandOut:
    """What a hand-out did.

    Parameters
    ----------
    manifest : Manifest
        As it is now.
    path : Path
        Where the manifest lies.
    written : tuple of str
        Students who got a copy now.
    kept : tuple of str
        Students whose notebook was there and was left as it is.
    remarks : tuple of str
        What a teacher should know.
    """

    manifest: Manifest
    path: Path
    written: tuple[str, ...]
    kept: tuple[str, ...]
    remarks: tuple[str, ...] = ()


def notebook_name(lesson: str) -> str:
    """Return the file name of every student's copy."""
    return f"{lesson}.ipynb"


def _manifest(lesson: LessonNotebook, students: tuple[Student, ...], folder: Path, class_key: str) -> Manifest:
    path = manifest_path(folder, lesson.plan.id)
    if os.path.lexists(path):
        manifest = load_manifest(path)
        if manifest.lesson != lesson.plan.id:
            raise ManifestError(f"'{path}' is the manifest of {manifest.lesson!r}, not of {lesson.plan.id!r}")
        return manifest
    orphans = [one.id for one in students if os.path.lexists(folder / one.id / notebook_name(lesson.plan.id))]
    if orphans:
        raise ManifestError(
            f"'{folder}' holds copies of {lesson.plan.id!r} (of {', '.join(orphans[:3])}) but not the manifest "
            f"'{path.name}' with their seeds; put it back, or hand out to another folder"
        )
    return new_manifest(lesson, class_key)


def hand_out(
    lesson: LessonNotebook,
    students: tuple[Student, ...],
    folder: Path,
    due: DueTime | None = None,
    *,
    class_key: str = "",
) -> HandOut:
    """Write the manifest and a copy for every student who has none.

    A file that is there is never overwritten: handing out twice changes nothing, and a student who is added to the
    roster gets a copy while all others keep theirs. The manifest is on the disk before the first copy is.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's lesson.
    students : tuple of Student
        The roster.
    folder : Path
        Made when it is not there.
    due : DueTime, optional
        Replaces the one in the manifest.
    class_key : str
        32 hexadecimal digits for a new manifest; by default drawn by the operating system.

    Raises
    ------
    ManifestError
        The manifest is damaged, of another lesson, or missing where copies lie.
    ClassroomError
        A folder is a link, or the disk refuses.
    """
    folder = Path(folder)
    make_folder(folder)
    before = _manifest(lesson, students, folder, class_key)
    manifest = before.with_copies(lesson, students)
    if due is not None:
        manifest = replace(manifest, due=due)
    for student in students:
        if (place := folder / student.id).is_symlink():
            raise ClassroomError(f"'{place}' is a link; nothing is written through links")
    path = manifest_path(folder, lesson.plan.id)
    save_manifest(manifest, path)
    versions = manifest.versions(lesson)
    present = {student.id for student in students}
    written: list[str] = []
    kept: list[str] = []
    for copy in manifest.copies:
        id = copy.student.id
        if id in present:
            make_folder(folder / id)
            data = versions[copy.digest].copy_for(id, copy.seed)
            is_new = write_whole(folder / id / notebook_name(lesson.plan.id), data, keep=True)
            (written if is_new else kept).append(id)
    return HandOut(manifest, path, tuple(written), tuple(kept), _remarks(manifest, students))


def _remarks(manifest: Manifest, students: tuple[Student, ...]) -> tuple[str, ...]:
    remarks = []
    present = {student.id for student in students}
    if gone := [copy.student.id for copy in manifest.copies if copy.student.id not in present]:
        remarks.append(f"no longer in the roster, but kept in the manifest: {', '.join(gone)}")
    if old := [copy.student.id for copy in manifest.copies if copy.digest != manifest.digest]:
        remarks.append(
            f"the lesson was changed since {len(old)} copies were handed out; they stay as they are and are marked by "
            f"the version handed out: {', '.join(old[:12])}{' …' if len(old) > 12 else ''}"
        )
    return tuple(remarks)
