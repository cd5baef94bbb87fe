"""What a teacher adds by hand: rubric marks, comments, and replies to students' questions about a mark."""

import hashlib
import math
from collections.abc import Sequence
from typing import Final

from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.errors import ClassFileError
from musictheory_nb.practice.answer_record import utc_now
from musictheory_nb.practice.plain_data import canonical_json

#: Longest comment, question or reply, in characters.
MAX_TEXT: Final = 10_000


def _checked(text: str) -> str:
    if not text.strip() or len(text) > MAX_TEXT:
        raise ClassFileError(f"text of {len(text)} characters; allowed: 1 to {MAX_TEXT}")
    return text.strip()


def _new_id(*parts: object) -> str:
    """An id that the same entry at the same moment has again, and no other."""
    return hashlib.sha256(canonical_json([*map(str, parts)]).encode("ascii")).hexdigest()[:24]


def put_rubric_mark(
    file: ClassFile, assignment: str, student: str, exercise: str, item: int, points: float, *, criterion: str = ""
) -> bool:
    """Write a teacher's mark for an item (from 1), or for one criterion of it; return whether it changed anything.

    Raises
    ------
    ClassFileError
        The points are no number, or there is no such assignment or student.
    """
    if isinstance(points, bool) or not math.isfinite(points):
        raise ClassFileError(f"points {points!r}; allowed: a number")
    key = {"assignment": assignment, "student": student, "exercise": exercise, "item": item, "criterion": criterion}
    with file.changing():
        known = file.row("rubric_mark", **key)
        if known is not None and known["points"] == points:
            return False
        return file.put("rubric_mark", **key, points=float(points), who=file.who, at=utc_now())


def add_comment(file: ClassFile, assignment: str, student: str, text: str, *, exercise: str = "", item: int = 0) -> str:
    """Keep a comment on an item (from 1), on an exercise, or on all of a student's work; return its id.

    Raises
    ------
    ClassFileError
        There is no text, or no such assignment or student.
    """
    return _add(file, "comment", assignment, student, text, exercise, item)


def ask_about_mark(
    file: ClassFile, assignment: str, student: str, text: str, *, exercise: str = "", item: int = 0
) -> str:
    """Keep a student's question about a mark; return its id.

    Raises
    ------
    ClassFileError
        There is no text, or no such assignment or student.
    """
    return _add(file, "question", assignment, student, text, exercise, item)


def _add(file: ClassFile, table: str, assignment: str, student: str, text: str, exercise: str, item: int) -> str:
    text, now = _checked(text), utc_now()
    id = _new_id(table, assignment, student, exercise, item, text, now)
    place = {"assignment": assignment, "student": student, "exercise": exercise, "item": item}
    file.put(table, id=id, **place, text=text, who=file.who, at=now)
    return id


def reply_to(file: ClassFile, question: str, text: str) -> str:
    """Keep a reply to a student's question; return its id.

    Raises
    ------
    ClassFileError
        There is no text, or no such question.
    """
    asked, now = file.row("question", id=question), utc_now()
    if asked is None:
        raise ClassFileError(f"question {question!r} is not in '{file.path.as_posix()}'")
    text = _checked(text)
    id = _new_id("reply", question, text, now)
    file.put("reply", id=id, question=question, student=asked["student"], text=text, who=file.who, at=now)
    return id


def open_questions(file: ClassFile, assignment: str = "") -> Sequence[dict[str, object]]:
    """Return the questions without a reply, oldest first: all, or those about one assignment.

    Raises
    ------
    ClassFileError
        The file is damaged.
    """
    answered = {row["question"] for row in file.rows("reply")}
    wanted = file.rows("question", **({"assignment": assignment} if assignment else {}))
    return sorted((row for row in wanted if row["id"] not in answered), key=lambda row: (row["at"], row["id"]))
