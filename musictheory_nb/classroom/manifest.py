"""The teacher's manifest of one hand-out: who got which seed and which version of the lesson. The grader believes it.

Format 1, UTF-8 JSON: ``format``, ``lesson``, ``title``, ``digest`` (of the lesson as it is handed out now),
``class_key``, ``due`` (``utc`` and as ``written``, or null), ``students`` in the order of the roster (``id``, ``name``,
``email``, ``seed``, ``digest`` of the student's copy), and ``lessons``: for each digest of which there are copies, the
lesson notebook as it was then. A lesson that is corrected later keeps old copies gradable: each student is marked by the
version handed out.
"""

import hashlib
import json
import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.atomic_file import write_whole
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, parse_lesson
from musictheory_nb.classroom.notebook_file import notebook_bytes
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ManifestError
from musictheory_nb.practice.exercise import is_slug
from musictheory_nb.practice.plain_data import JSON, canonical_json, strict_json

FORMAT: Final = 1
#: Largest manifest that is read, in bytes.
MAX_BYTES: Final = 256 * 1024 * 1024
#: Seeds are below this (and so the same number in every JSON reader).
SEED_LIMIT: Final = 1 << 48

_KEY: Final = re.compile(r"[0-9a-f]{32,64}")
_DIGEST: Final = re.compile(r"sha256:[0-9a-f]{64}")
_UTC: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", re.ASCII)


@dataclass(frozen=True, slots=True)
class HandedOut:
    """One copy: whose it is, its seed, and the digest of the lesson it was made from."""

    student: Student
    seed: int
    digest: str


@dataclass(frozen=True)
class Manifest:
    """One lesson handed out to one class; see the module for the fields."""

    lesson: str
    title: str
    digest: str
    class_key: str = field(repr=False)
    due: DueTime | None = None
    copies: tuple[HandedOut, ...] = ()
    lessons: Mapping[str, Mapping[str, JSON]] = field(default_factory=lambda: MappingProxyType({}), repr=False)

    def seed_for(self, student: str) -> int:
        """Return the seed that a new student gets.

        Notes
        -----
        The first 48 bits of SHA-256 (FIPS 180-4) over class key, student and lesson: nobody without the key can tell one
        student's seed from another's, and the same student always gets the same.
        """
        text = canonical_json([self.class_key, student, self.lesson])
        return int.from_bytes(hashlib.sha256(text.encode("ascii")).digest()[:6], "big")

    def versions(self, teacher: LessonNotebook) -> dict[str, LessonNotebook]:
        """Return each version of the lesson that was handed out, by digest: the teacher's notebook, or as kept here.

        Raises
        ------
        ManifestError
            A version that is kept has not the digest under which it stands.
        """
        found = {teacher.plan.digest: teacher}
        for digest, content in self.lessons.items():
            if digest not in found:
                kept = parse_lesson(notebook_bytes(dict(content)), f"{self.lesson}, as handed out before")
                if kept.plan.digest != digest:
                    raise ManifestError(
                        f"the lesson {self.lesson!r} kept in the manifest under {digest[:19]}… was changed"
                    )
                found[digest] = kept
        return found

    def with_copies(self, teacher: LessonNotebook, students: tuple[Student, ...]) -> "Manifest":
        """Return the manifest after handing out `teacher` to `students`: new ones are added, nobody is taken out.

        Who has a copy keeps its seed and its version of the lesson; a name or address is brought up to date.
        """
        known = {copy.student.id: copy for copy in self.copies}
        for student in students:
            if student.id in known:
                known[student.id] = replace(known[student.id], student=student)
            else:
                known[student.id] = HandedOut(student, self.seed_for(student.id), teacher.plan.digest)
        lessons = dict(self.lessons)
        lessons.setdefault(teacher.plan.digest, teacher.content)
        used = {copy.digest for copy in known.values()} | {teacher.plan.digest}
        return replace(
            self,
            title=teacher.plan.title,
            digest=teacher.plan.digest,
            copies=tuple(known.values()),
            lessons=MappingProxyType({digest: content for digest, content in lessons.items() if digest in used}),
        )

    def to_data(self) -> dict[str, JSON]:
        """Return the manifest as JSON values."""
        return {
            "format": FORMAT,
            "lesson": self.lesson,
            "title": self.title,
            "digest": self.digest,
            "class_key": self.class_key,
            "due": None if self.due is None else {"utc": self.due.utc, "written": self.due.written},
            "students": [
                {
                    "id": copy.student.id,
                    "name": copy.student.name,
                    "email": copy.student.email,
                    "seed": copy.seed,
                    "digest": copy.digest,
                }
                for copy in self.copies
            ],
            "lessons": {digest: dict(content) for digest, content in self.lessons.items()},
        }


def new_manifest(teacher: LessonNotebook, class_key: str = "") -> Manifest:
    """Return the manifest of a lesson that nobody has yet, by default with a class key drawn by the operating system."""
    key = class_key or secrets.token_hex(16)
    return Manifest(teacher.plan.id, teacher.plan.title, teacher.plan.digest, key)


def manifest_path(folder: Path, lesson: str) -> Path:
    """Return where the manifest of `lesson` lies in `folder`.

    Examples
    --------
    >>> manifest_path(Path("class"), "hear-the-tritone").name
    'hear-the-tritone.manifest.json'
    """
    return Path(folder) / f"{lesson}.manifest.json"


def manifest_bytes(manifest: Manifest) -> bytes:
    """Return the file of a manifest."""
    return (json.dumps(manifest.to_data(), ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def save_manifest(manifest: Manifest, path: Path) -> bool:
    """Write a manifest in one step, unless the file holds it already; return whether it was written.

    Raises
    ------
    ClassroomError
        The disk refuses.
    """
    data = manifest_bytes(manifest)
    try:
        if path.read_bytes() == data:
            return False
    except OSError:
        pass  # not there yet; whatever else is wrong, writing will say so
    return write_whole(path, data)


_FIELDS: Final[Mapping[str, Callable[[JSON], bool]]] = {
    "format": lambda v: v == FORMAT and type(v) is int,
    "lesson": is_slug,
    "title": lambda v: isinstance(v, str),
    "digest": lambda v: isinstance(v, str) and _DIGEST.fullmatch(v) is not None,
    "class_key": lambda v: isinstance(v, str) and _KEY.fullmatch(v) is not None,
    "due": lambda v: v is None or _is_due(v),
    "students": lambda v: isinstance(v, list),
    "lessons": lambda v: isinstance(v, dict) and all(isinstance(content, dict) for content in v.values()),
}
_COPY: Final[Mapping[str, Callable[[JSON], bool]]] = {
    "id": is_slug,
    "name": lambda v: isinstance(v, str),
    "email": lambda v: isinstance(v, str),
    "seed": lambda v: type(v) is int and 0 <= v < SEED_LIMIT,
    "digest": lambda v: isinstance(v, str) and _DIGEST.fullmatch(v) is not None,
}


def _is_due(value: JSON) -> bool:
    return (
        isinstance(value, dict)
        and set(value) == {"utc", "written"}
        and all(isinstance(text, str) for text in value.values())
        and _UTC.fullmatch(value["utc"]) is not None
    )


def manifest_from_data(data: JSON, name: str) -> Manifest:
    """Return the manifest that `data` (JSON values) is.

    Raises
    ------
    ManifestError
        A field is missing, unknown or wrong, or a student stands in it twice.

    Examples
    --------
    >>> manifest_from_data({"format": 2}, "demo.manifest.json")
    Traceback (most recent call last):
    musictheory_nb.errors.ManifestError: 'demo.manifest.json': its fields are format; allowed: exactly format, lesson, title, digest, class_key, due, students, lessons
    """
    if not isinstance(data, dict) or set(data) != set(_FIELDS):
        found = ", ".join(map(str, data)) if isinstance(data, dict) else "none"
        raise ManifestError(f"{name!r}: its fields are {found[:80]}; allowed: exactly {', '.join(_FIELDS)}")
    for field_name, check in _FIELDS.items():
        if not check(data[field_name]):
            raise ManifestError(f"{name!r}: {field_name} {str(data[field_name])[:60]!r} is not what a hand-out writes")
    copies: dict[str, HandedOut] = {}
    for number, row in enumerate(data["students"], start=1):
        if not isinstance(row, dict) or set(row) != set(_COPY) or not all(_COPY[key](row[key]) for key in _COPY):
            raise ManifestError(f"{name!r}: student {number} is not what a hand-out writes")
        if row["id"] in copies:
            raise ManifestError(f"{name!r}: student {row['id']!r} stands in it twice")
        if row["digest"] not in data["lessons"]:
            raise ManifestError(f"{name!r}: the lesson that {row['id']!r} got is not kept in it")
        copies[row["id"]] = HandedOut(Student(row["id"], row["name"], row["email"]), row["seed"], row["digest"])
    due = None if data["due"] is None else DueTime(data["due"]["utc"], data["due"]["written"])
    return Manifest(
        data["lesson"],
        data["title"],
        data["digest"],
        data["class_key"],
        due,
        tuple(copies.values()),
        MappingProxyType(data["lessons"]),
    )


def load_manifest(path: Path) -> Manifest:
    """Read a manifest.

    Raises
    ------
    ManifestError
        It is not there, cannot be opened, or is damaged.

    Examples
    --------
    >>> load_manifest(Path("nowhere.manifest.json"))
    Traceback (most recent call last):
    musictheory_nb.errors.ManifestError: manifest 'nowhere.manifest.json' cannot be opened: No such file or directory; it is written by: musictheory-nb handout
    """
    try:
        with Path(path).open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise ManifestError(
            f"manifest '{path}' cannot be opened: {error.strerror}; it is written by: musictheory-nb handout"
        ) from None
    if len(data) > MAX_BYTES:
        raise ManifestError(f"manifest '{path}' has more than {MAX_BYTES} bytes")
    try:
        parsed = strict_json(data.decode("utf-8-sig"))
    except ValueError as error:
        raise ManifestError(f"'{Path(path).name}': {error}; put back the file that the hand-out wrote") from None
    return manifest_from_data(parsed, Path(path).name)
