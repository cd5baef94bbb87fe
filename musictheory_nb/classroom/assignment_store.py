"""Assignments in the class file, and those of hand-outs made before there was one."""

import hashlib
import json
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut, new_class_key
from musictheory_nb.classroom.class_file import ClassFile, Row, class_file_path
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.manifest import load_manifest, manifest_path
from musictheory_nb.classroom.roster import SETTINGS, Student
from musictheory_nb.errors import ClassFileError, ClassroomError, ManifestError
from musictheory_nb.practice.plain_data import JSON, canonical_json

EXTRA_TIME: Final = "extra time"
#: Letters and digits of a pseudonym: none that is taken for another, no vowel that would make a word.
_LETTERS: Final = "bcdfghjkmnpqrstvwxz23456789"
_PSEUDONYM_LENGTH: Final = 10


_KEY: Final = re.compile(r"[0-9a-f]{32}")


def pseudonym_of(class_key: str, student: str) -> str:
    """Return the name under which a student is marked without being known.

    Notes
    -----
    SHA-256 (FIPS 180-4) over class key and student: the same each time, and nobody without the key can tell whose it is.

    Examples
    --------
    >>> one, other = pseudonym_of("00" * 16, "ines-orta"), pseudonym_of("01" * 16, "ines-orta")
    >>> len(one), one.count("-"), one == other
    (13, 2, False)
    """
    number = int.from_bytes(hashlib.sha256(canonical_json([class_key, "pseudonym", student]).encode("ascii")).digest())
    letters = ""
    for _ in range(_PSEUDONYM_LENGTH):
        number, place = divmod(number, len(_LETTERS))
        letters += _LETTERS[place]
    return f"p-{letters[:5]}-{letters[5:]}"


def class_key_of(file: ClassFile, otherwise: str = "") -> str:
    """Return the key of the class; a class without one gets it now.

    Raises
    ------
    ClassroomError
        `otherwise` is no key, or the class has another one.
    ClassFileError
        The file cannot be written.
    """
    if otherwise and not _KEY.fullmatch(otherwise):
        raise ClassroomError(
            f"class key {otherwise[:40]!r}; allowed: 32 hexadecimal digits, as `class key` prints them"
        )
    with file.changing():
        row = file.row("class_value", name="class_key")
        if row is not None:
            if otherwise not in ("", row["value"]):
                raise ClassroomError(f"class key {otherwise!r}: the class file '{file.path}' has another one")
            return str(row["value"])
        key = otherwise or new_class_key()
        file.put("class_value", name="class_key", value=key)
    return key


def _due(row: Row) -> DueTime | None:
    return DueTime(row["due_utc"], row["due_written"]) if row["due_utc"] else None


def _due_columns(due: DueTime | None) -> dict[str, str]:
    return {"due_utc": "", "due_written": ""} if due is None else {"due_utc": due.utc, "due_written": due.written}


def students_of(file: ClassFile) -> dict[str, Student]:
    """Return everybody who is or was in the class, by id, with what is known of them.

    Raises
    ------
    ClassFileError
        The file is damaged.
    """
    settings: dict[str, dict[str, str]] = {}
    for row in file.rows("student_setting"):
        settings.setdefault(row["student"], {})[row["name"]] = row["value"]
    found = {}
    for row in file.rows("student"):
        own = settings.get(row["id"], {})
        found[row["id"]] = Student(
            row["id"],
            row["name"],
            row["email"],
            row["section"],
            settings=tuple(sorted((name, value) for name, value in own.items() if name in SETTINGS)),
            extra_time=own.get(EXTRA_TIME, ""),
        )
    return found


def load_assignment(file: ClassFile, lesson: str) -> Assignment | None:
    """Return the assignment of a lesson; None when it was not handed out.

    Raises
    ------
    ClassFileError
        The file is damaged.
    """
    row = file.row("assignment", id=lesson)
    if row is None:
        return None
    students = students_of(file)
    rows = sorted(file.rows("copy", assignment=lesson), key=lambda one: one["place"])
    bare = Assignment(lesson, row["title"], row["digest"], row["class_key"], sealed=bool(row["sealed"]))
    copies = tuple(
        HandedOut(
            students[one["student"]],
            one["seed"],
            one["digest"],
            one["group_name"],
            _due(one),
            bare.ticket_for(f"group {one['group_name']}" if one["group_name"] else one["student"]),
        )
        for one in rows
    )
    corrections = {one["digest"]: one["corrected"] for one in file.rows("correction", assignment=lesson)}
    used = {copy.digest for copy in copies} | {row["digest"]} | set(corrections.values())
    lessons = {digest: _content(file, digest) for digest in sorted(used)}
    return replace(
        bare,
        due=_due(row),
        copies=copies,
        lessons=MappingProxyType(lessons),
        attempts=row["attempts"],
        together=bool(row["together"]),
        replaces=row["replaces"],
        corrections=MappingProxyType(corrections),
    )


def _content(file: ClassFile, digest: str) -> Mapping[str, JSON]:
    row = file.row("lesson", digest=digest)
    if row is None:
        raise ClassFileError(f"class file '{file.path.as_posix()}': the lesson {digest[:19]}… is not in it")
    content: Mapping[str, JSON] = json.loads(row["content"])
    return content


def save_lessons(file: ClassFile, assignment: Assignment) -> None:
    """Keep the versions of an assignment's lesson whole; one that is there is never changed.

    Raises
    ------
    ClassFileError
        The file cannot be written.
    """
    for digest, content in assignment.lessons.items():
        if file.row("lesson", digest=digest) is None:
            text = json.dumps(dict(content), ensure_ascii=False)
            file.put("lesson", digest=digest, lesson=assignment.lesson, title=assignment.title, content=text)


def _save_student(file: ClassFile, student: Student, known: Student | None, class_key: str) -> None:
    if known == student:
        return
    file.put(
        "student",
        id=student.id,
        name=student.name,
        email=student.email,
        section=student.section,
        pseudonym=pseudonym_of(class_key, student.id),
        in_roster=1,
    )
    before = dict(known.settings) | {EXTRA_TIME: known.extra_time} if known else {}
    after = dict(student.settings) | {EXTRA_TIME: student.extra_time}
    for name in {**before, **after}:
        if after.get(name):
            file.put("student_setting", student=student.id, name=name, value=after[name])
        elif before.get(name):
            file.remove("student_setting", student=student.id, name=name)


def save_assignment(file: ClassFile, assignment: Assignment) -> None:
    """Write an assignment, its lessons and its students, as one change.

    Raises
    ------
    ClassFileError
        The file cannot be written.
    """
    with file.changing():
        class_key = class_key_of(file, assignment.class_key)
        known = students_of(file)
        save_lessons(file, assignment)
        file.put(
            "assignment",
            id=assignment.lesson,
            title=assignment.title,
            digest=assignment.digest,
            class_key=assignment.class_key,
            attempts=assignment.attempts,
            together=int(assignment.together),
            replaces=assignment.replaces,
            sealed=int(assignment.sealed),
            **_due_columns(assignment.due),
        )
        for place, copy in enumerate(assignment.copies):
            id = copy.student.id
            _save_student(file, copy.student, known.get(id), class_key)
            file.put(
                "copy",
                assignment=assignment.lesson,
                student=id,
                seed=copy.seed,
                digest=copy.digest,
                group_name=copy.group,
                place=place,
                **_due_columns(copy.due),
            )
        for digest, corrected in assignment.corrections.items():
            file.put("correction", assignment=assignment.lesson, digest=digest, corrected=corrected)


def take_over_manifest(file: ClassFile, folder: Path, lesson: str) -> Assignment | None:
    """Return the assignment in a manifest of an earlier hand-out, after writing it into the class file; None without one.

    Raises
    ------
    ManifestError
        The manifest is damaged or of another lesson.
    """
    path = manifest_path(folder, lesson)
    if not path.is_file():
        return None
    found = load_manifest(path)
    _check_lesson(found, lesson, path)
    save_assignment(file, found)
    return found


def _check_lesson(found: Assignment, lesson: str, path: Path) -> None:
    if found.lesson != lesson:
        raise ManifestError(f"'{path}' is the manifest of the lesson {found.lesson!r}, not of {lesson!r}")


def find_assignment(lesson: str, place: Path) -> tuple[Assignment, Path]:
    """Return the assignment of a lesson and the file it is in: the class file, or a manifest of an earlier hand-out.

    Parameters
    ----------
    lesson : str
        Its id.
    place : Path
        A folder with the class file or manifests, or one of these files.

    Raises
    ------
    ManifestError, ClassFileError
        The lesson was not handed out there, or the file is damaged.

    Examples
    --------
    >>> find_assignment("demo", Path("nowhere"))
    Traceback (most recent call last):
    musictheory_nb.errors.ClassFileError: class file 'nowhere/class.sqlite': there is none; it is made by: musictheory-nb handout
    """
    place = Path(place)
    manifest = manifest_path(place, lesson) if place.is_dir() else place if place.suffix == ".json" else None
    path = class_file_path(place)
    if path.is_file() and place.suffix != ".json":
        with ClassFile.open(path) as file:
            found = load_assignment(file, lesson)
            handed = ", ".join(row["id"] for row in file.rows("assignment")) or "nothing"
        if found is not None:
            return found, path
        if manifest is None or not manifest.is_file():
            raise ClassFileError(f"class file '{path.as_posix()}': {lesson!r} was not handed out; handed out: {handed}")
    if manifest is not None and (place.suffix == ".json" or manifest.is_file()):
        found = load_manifest(manifest)
        _check_lesson(found, lesson, manifest)
        return found, manifest
    raise ClassFileError(f"class file '{path.as_posix()}': there is none; it is made by: musictheory-nb handout")
