"""What the files of a marking show: names as they are, or a pseudonym for each student everywhere."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from musictheory_nb.classroom.assignment import Assignment
from musictheory_nb.classroom.assignment_store import pseudonym_of
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.class_marks import ClassMarks
from musictheory_nb.classroom.likeness_hint import LikenessHint
from musictheory_nb.classroom.marking_run import MarkedAssignment, MarkingOrder
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.pseudonym import NameCover, pseudonymous
from musictheory_nb.classroom.remark_store import Remarks
from musictheory_nb.classroom.roster import Student

_SLUG = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")


@dataclass(frozen=True)
class ShownMarks:
    """What is shown.

    Parameters
    ----------
    marks, finals, hints
        As in `MarkedAssignment`.
    students : Mapping of str to Student
        How each student is called, by the real id.
    remarks : Mapping of str to Remarks
        By the real id.
    """

    marks: ClassMarks
    finals: tuple[FinalMark, ...]
    hints: tuple[LikenessHint, ...]
    students: Mapping[str, Student]
    remarks: Mapping[str, Remarks]


def with_names(marked: MarkedAssignment) -> ShownMarks:
    """Return the marks as they are."""
    students = {one.student.id: one.student for one in marked.marks.students}
    return ShownMarks(marked.marks, marked.finals, marked.hints, students, marked.remarks)


def pseudonyms_of(order: MarkingOrder) -> dict[str, str]:
    """Return the pseudonym of each student: that of the class file, which stays the same from lesson to lesson.

    Raises
    ------
    ClassFileError
        The class file is damaged.
    """
    assignment: Assignment = order.assignment
    known: dict[str, str] = {}
    if order.has_class_file:
        with ClassFile.open(order.path) as file:
            known = {row["id"]: row["pseudonym"] for row in file.rows("student")}
    ids = [copy.student.id for copy in assignment.copies]
    return {id: known.get(id) or pseudonym_of(assignment.class_key, id) for id in ids}


def without_names(marked: MarkedAssignment, names: Mapping[str, str]) -> ShownMarks:
    """Return the marks with pseudonyms in the place of names, ids and addresses, in the order of the pseudonyms.

    Parameters
    ----------
    marked : MarkedAssignment
        With names.
    names : Mapping of str to str
        Pseudonym of each, by id.

    Raises
    ------
    ReportError
        A student without a pseudonym, or two with one.
    """
    cover = NameCover([one.student for one in marked.marks.students], names)
    students = {one.student.id: cover.student(one.student) for one in marked.marks.students}
    finals = [
        replace(
            final,
            student=students[final.student].id,
            effects=tuple(replace(effect, words=cover.text(effect.words)) for effect in final.effects),
        )
        for final in marked.finals
    ]
    hints = [replace(hint, students=tuple(sorted(students[id].id for id in hint.students))) for hint in marked.hints]
    return ShownMarks(
        pseudonymous(marked.marks, names),
        tuple(sorted(finals, key=lambda final: final.student)),
        tuple(hints),
        students,
        {id: _covered(remarks, cover) for id, remarks in marked.remarks.items()},
    )


def _covered(remarks: Remarks, cover: NameCover) -> Remarks:
    return replace(
        remarks,
        comments=tuple(replace(one, text=cover.text(one.text)) for one in remarks.comments),
        exchanges=tuple(
            replace(one, question=cover.text(one.question), reply=cover.text(one.reply)) for one in remarks.exchanges
        ),
    )


def without_others(line: str, own: str, ids: frozenset[str]) -> str:
    """Return a line about a hand-in as the student may read it: without the ids of others.

    Examples
    --------
    >>> without_others("x holds answers that say they are of 'ben-otu'", "ada-quill", frozenset({"ada-quill", "ben-otu"}))
    "x holds answers that say they are of 'somebody else'"
    """
    return _SLUG.sub(lambda match: "somebody else" if match[0] in ids and match[0] != own else match[0], line)
