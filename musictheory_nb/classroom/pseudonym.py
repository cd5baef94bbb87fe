"""Marking without names: each student under a pseudonym, in figures and in every line about a hand-in."""

import hashlib
import hmac
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, StudentMarks
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ReportError


def pseudonyms(students: Sequence[str], key: str) -> dict[str, str]:
    """Return a pseudonym for each student id: "Student 01" and on, in an order that the key alone decides.

    Parameters
    ----------
    students : sequence of str
        Ids; their order has no influence.
    key : str
        A secret of the teacher, such as the class key; the same key gives the same pseudonyms to the same class.

    Raises
    ------
    ReportError
        No key: anybody could work the names out.

    Examples
    --------
    >>> sorted(pseudonyms(["ada", "ben", "cy"], "a secret").values())
    ['Student 01', 'Student 02', 'Student 03']
    >>> pseudonyms(["ada"], "")
    Traceback (most recent call last):
    musictheory_nb.errors.ReportError: key '': pseudonyms need a secret, such as the class key
    """
    if not key:
        raise ReportError(f"key {key!r}: pseudonyms need a secret, such as the class key")

    def place(student: str) -> bytes:
        return hmac.new(key.encode("utf-8"), student.encode("utf-8"), hashlib.sha256).digest()

    order = sorted(set(students), key=place)
    width = max(2, len(str(len(order))))
    return {student: f"Student {number:0{width}d}" for number, student in enumerate(order, start=1)}


def pseudonym_id(name: str) -> str:
    """Return a pseudonym as an id, for anchors and file names.

    Examples
    --------
    >>> pseudonym_id("Student 07")
    'student-07'
    """
    return re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")


def _pattern(words: Mapping[str, str]) -> re.Pattern[str]:
    """The longest first, so that no name is left in half; a part of a longer word is no name."""
    parts = "|".join(re.escape(word) for word in sorted(words, key=len, reverse=True))
    return re.compile(rf"(?<!\w)(?:{parts})(?!\w)", re.IGNORECASE) if parts else re.compile(r"(?!)")


class NameCover:
    """Puts pseudonyms in the place of ids, names and addresses in any text.

    Parameters
    ----------
    students : sequence of Student
        The class.
    names : Mapping of str to str
        Pseudonym of each, by id.

    Raises
    ------
    ReportError
        A student without a pseudonym, or two with one.
    """

    def __init__(self, students: Sequence[Student], names: Mapping[str, str]) -> None:
        missing = [one.id for one in students if not names.get(one.id)]
        if missing:
            raise ReportError(f"pseudonyms: none for {', '.join(missing[:5])}")
        ids = [pseudonym_id(names[one.id]) for one in students]
        if len(set(ids)) < len(ids) or "" in ids:
            raise ReportError("pseudonyms: two students have the same one, or one has no letter or digit")
        self._names = dict(names)
        whole = {text.casefold(): names[one.id] for one in students for text in (one.id, one.email, one.name) if text}
        parts = {part.casefold(): names[one.id] for one in students for part in one.name.split() if len(part) > 2}
        self._words = parts | whole
        self._whole, self._any = _pattern(whole), _pattern(self._words)

    def text(self, text: str, *, is_music: bool = False) -> str:
        """Return `text` without ids, names and addresses of the class.

        In words about music a single word stays, even where it is somebody's name ("Major").
        """
        pattern = self._whole if is_music else self._any
        return pattern.sub(lambda match: self._words[match[0].casefold()], text)

    def student(self, student: Student) -> Student:
        """Return the student under the pseudonym, without address."""
        name = self._names[student.id]
        return Student(pseudonym_id(name), name, "")

    def marks(self, one: StudentMarks) -> StudentMarks:
        """Return the marks under the pseudonym."""
        return replace(
            one,
            student=self.student(one.student),
            problems=tuple(map(self.text, one.problems)),
            notes=tuple(map(self.text, one.notes)),
            confusions=tuple(
                Confusion(c.exercise, c.index, self.text(c.right, is_music=True), self.text(c.answered, is_music=True))
                for c in one.confusions
            ),
        )


def pseudonymous(lesson: ClassMarks, names: Mapping[str, str]) -> ClassMarks:
    """Return the marks of a class with pseudonyms in the place of names, ids and addresses, in the order of the pseudonyms.

    Parameters
    ----------
    lesson : ClassMarks
        With names.
    names : Mapping of str to str
        Pseudonym by student id; see `pseudonyms`.

    Raises
    ------
    ReportError
        A student without a pseudonym, or two with one.

    Examples
    --------
    >>> ada = StudentMarks(Student("ada-quill", "Ada Quill", "ada@x"), problems=("a record of ADA-QUILL, by Ada",))
    >>> covered = pseudonymous(ClassMarks("x", "X", "", (), (ada,)), {"ada-quill": "Student 01"})
    >>> covered.students[0].student, covered.students[0].problems
    (Student(id='student-01', name='Student 01', email=''), ('a record of Student 01, by Student 01',))
    """
    cover = NameCover([one.student for one in lesson.students], names)
    students = tuple(sorted(map(cover.marks, lesson.students), key=lambda one: one.student.id))
    return replace(lesson, students=students, problems=tuple(map(cover.text, lesson.problems)))
