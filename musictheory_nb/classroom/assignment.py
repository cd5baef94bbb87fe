"""What was handed out to a class: who got which seed and which version of the lesson. The grader believes it.

A lesson that is corrected later keeps old copies gradable: each student is marked by the version handed out, which is
kept whole. Where its key was faulty, a correction says by which lesson copies of it are marked instead.
"""

import hashlib
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.due_time import DueTime, read_due
from musictheory_nb.classroom.extra_time import later_due, read_extra_time
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, parse_lesson
from musictheory_nb.classroom.lesson_variant import lesson_variant
from musictheory_nb.classroom.notebook_file import notebook_bytes
from musictheory_nb.classroom.roster import NONE_AGAIN, Student
from musictheory_nb.errors import LessonError, ManifestError, RosterError
from musictheory_nb.practice.plain_data import JSON, canonical_json

#: Seeds are below this (and so the same number in every JSON reader).
SEED_LIMIT: Final = 1 << 48

_NOTHING: Final[Mapping[str, JSON]] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class HandedOut:
    """One copy.

    Parameters
    ----------
    student : Student
        Whose it is, with the settings that are known of the student now.
    seed : int
        From which its items are drawn; members of a group share it.
    digest : str
        Of the lesson that it was made from.
    group : str
        With whom it is worked on; empty for work of one's own.
    due : DueTime or None
        The student's own, where it is not the class's.
    ticket : int or None
        What a sealed copy names in the place of its seed; None for a copy that is not sealed.
    """

    student: Student
    seed: int
    digest: str
    group: str = ""
    due: DueTime | None = None
    ticket: int | None = None

    @property
    def shown_seed(self) -> int:
        """The number by which the copy itself says whose it is: its seed, or where it is sealed its ticket."""
        return self.seed if self.ticket is None else self.ticket

    @property
    def shown_digest(self) -> str:
        """The digest that the copy itself names; a sealed one names none, from which something might be worked out."""
        return self.digest if self.ticket is None else ""


def new_class_key() -> str:
    """Return a key from which nobody can tell one student's seed from another's, drawn by the operating system."""
    return secrets.token_hex(16)


def merged_student(known: Student, told: Student) -> Student:
    """Return what is known of a student after a roster told more: a blank says nothing, a dash takes away.

    Examples
    --------
    >>> bass = Student("ada", "Ada", settings=(("clef", "bass"), ("names", "german")))
    >>> merged_student(bass, Student("ada", "Ada Quill", settings=(("clef", "-"),))).settings
    (('names', 'german'),)
    """
    settings = {**dict(known.settings), **dict(told.settings)}
    extra = told.extra_time or known.extra_time
    return replace(
        told,
        email=told.email or known.email,
        section=told.section or known.section,
        settings=tuple((name, value) for name, value in sorted(settings.items()) if value not in NONE_AGAIN),
        extra_time="" if extra in NONE_AGAIN else extra,
    )


@dataclass(frozen=True)
class Assignment:
    """One lesson handed out to one class.

    Parameters
    ----------
    lesson, title, digest : str
        Of the lesson as it is handed out now; the id of the lesson is also that of the assignment.
    class_key : str
        From which seeds are drawn.
    due : DueTime or None
        For the class; see `due_of`.
    copies : tuple of HandedOut
        In the order of the roster.
    lessons : Mapping of str to Mapping
        For each digest of which there are copies or corrections, the lesson notebook as it was then.
    attempts : int
        How often an item may be answered; 0 for no limit.
    together : bool
        Whether students of a group share one copy.
    sealed : bool
        Whether copies hold questions as stored bytes, without seed and key.
    replaces : str
        The assignment whose marks this one makes up for; empty for none.
    corrections : Mapping of str to str
        Digest of copies -> digest of the lesson by which they are marked.
    """

    lesson: str
    title: str
    digest: str
    class_key: str = field(repr=False)
    due: DueTime | None = None
    copies: tuple[HandedOut, ...] = ()
    lessons: Mapping[str, Mapping[str, JSON]] = field(default_factory=lambda: _NOTHING, repr=False)
    attempts: int = 0
    together: bool = False
    replaces: str = ""
    sealed: bool = False
    corrections: Mapping[str, str] = field(default_factory=lambda: MappingProxyType({}), repr=False)

    def seed_for(self, owner: str) -> int:
        """Return the seed that a new student or group gets.

        Notes
        -----
        The first 48 bits of SHA-256 (FIPS 180-4) over class key, student and lesson: nobody without the key can tell one
        student's seed from another's, and the same student always gets the same.
        """
        text = canonical_json([self.class_key, owner, self.lesson])
        return int.from_bytes(hashlib.sha256(text.encode("ascii")).digest()[:6], "big")

    def ticket_for(self, owner: str) -> int | None:
        """Return what a sealed copy names in the place of its seed, from which the seed cannot be worked out."""
        if not self.sealed:
            return None
        text = canonical_json([self.class_key, owner, self.lesson, "ticket"])
        return int.from_bytes(hashlib.sha256(text.encode("ascii")).digest()[:6], "big")

    def copy_of(self, student: str) -> HandedOut | None:
        """Return the copy of a student; None without one."""
        return next((copy for copy in self.copies if copy.student.id == student), None)

    def due_of(self, copy: HandedOut) -> DueTime | None:
        """Return when that copy is due; None for no time."""
        return copy.due or self.due

    def members(self, copy: HandedOut) -> tuple[HandedOut, ...]:
        """Return the copies that are one piece of work: of all members of the group, or the student's alone."""
        if not copy.group:
            return (copy,)
        return tuple(one for one in self.copies if one.group == copy.group)

    def versions(self, teacher: LessonNotebook | None = None) -> dict[str, LessonNotebook]:
        """Return each version of the lesson that is kept, by digest; that of `teacher` without reading it again.

        Raises
        ------
        ManifestError
            A version that is kept has not the digest under which it stands.
        """
        found = {} if teacher is None else {teacher.plan.digest: teacher}
        for digest, content in self.lessons.items():
            if digest not in found:
                kept = parse_lesson(notebook_bytes(dict(content)), f"{self.lesson}, as handed out before")
                if kept.plan.digest != digest:
                    raise ManifestError(
                        f"the lesson {self.lesson!r} kept in the class file under {digest[:19]}… was changed"
                    )
                found[digest] = kept
        return found

    def marked_by(self, versions: Mapping[str, LessonNotebook]) -> dict[str, LessonNotebook]:
        """Return the lesson by which copies of each version are marked: itself, or the corrected one."""
        return {digest: versions[self.corrections.get(digest, digest)] for digest in versions}

    def with_copies(self, teacher: LessonNotebook, students: Sequence[Student]) -> "Assignment":
        """Return the assignment after handing out `teacher` to `students`: new ones are added, nobody is taken out.

        Who has a copy keeps its seed, its group and its version of the lesson; what is known of the student is brought
        up to date, and so is when the copy is due.

        Raises
        ------
        RosterError
            A setting of a student is not allowed by the lesson, or the extra time goes past every calendar.
        """
        known = {copy.student.id: copy for copy in self.copies}
        lessons = dict(self.lessons)
        made: dict[tuple[tuple[str, str], ...], LessonNotebook] = {(): teacher}
        for student in students:
            if student.id in known:
                copy = known[student.id]
                known[student.id] = replace(copy, student=student)
                continue
            if student.settings not in made:
                made[student.settings] = _made_over(teacher, student)
            version = made[student.settings]
            lessons.setdefault(version.plan.digest, version.content)
            group = student.group if self.together else ""
            owner = f"group {group}" if group else student.id
            ticket = self.ticket_for(owner)
            known[student.id] = HandedOut(student, self.seed_for(owner), version.plan.digest, group, ticket=ticket)
        lessons.setdefault(teacher.plan.digest, teacher.content)
        before = {copy.student.id: copy.student for copy in self.copies}
        copies = tuple(_as_kept(copy, self._own_due(copy, before.get(id))) for id, copy in known.items())
        used = {copy.digest for copy in copies} | {teacher.plan.digest} | set(self.corrections.values())
        return replace(
            self,
            title=teacher.plan.title,
            digest=teacher.plan.digest,
            copies=copies,
            lessons=MappingProxyType({digest: content for digest, content in lessons.items() if digest in used}),
        )

    def _own_due(self, copy: HandedOut, before: Student | None) -> DueTime | None:
        """When a copy is due, where the roster tells it now or told it before."""
        student = copy.student
        if student.due:
            return None if student.due in NONE_AGAIN else read_due(student.due)
        if student.extra_time:
            return None if self.due is None else later_due(self.due, read_extra_time(student.extra_time))
        return None if before is not None and before.extra_time else copy.due


def _as_kept(copy: HandedOut, due: DueTime | None) -> HandedOut:
    """A copy whose group and due time stand with it, and no longer with the student."""
    return replace(copy, student=replace(copy.student, group="", due=""), due=due)


def _made_over(teacher: LessonNotebook, student: Student) -> LessonNotebook:
    try:
        return lesson_variant(teacher, settings=dict(student.settings))
    except LessonError as error:
        raise RosterError(f"{student.id!r}: {error}") from None


def new_assignment(teacher: LessonNotebook, class_key: str = "") -> Assignment:
    """Return the assignment of a lesson that nobody has yet, by default with a new class key."""
    return Assignment(teacher.plan.id, teacher.plan.title, teacher.plan.digest, class_key or new_class_key())
