"""Answers from paper worksheets: a teacher's table of who wrote what, kept as records beside the class file.

The records lie in ``class.paper``, one for each student and lesson, in the form of every answer record: marking reads them like
a hand-in that needs no proof. Entering a table again changes nothing; another answer to the same question replaces the one
that was entered before.
"""

import hashlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.atomic_file import make_folder, write_whole
from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.paper_value import paper_answer
from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.classroom.roster import slug_of
from musictheory_nb.classroom.school_table import MAX_TITLE_LINES, table_bytes, table_rows, table_text
from musictheory_nb.errors import AnswerError, ExerciseError, ManifestError, RecordError, SubmissionError
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader, read_record, utc_now
from musictheory_nb.practice.record_file import record_name

#: Folder beside the class file. No student's folder has a dot in its name.
PAPER_FOLDER: Final = "class.paper"
#: What a column holds -> the headings by which it is known (lower case, letters and digits only).
COLUMNS: Final[Mapping[str, tuple[str, ...]]] = MappingProxyType(
    {
        "student": ("student", "studentid", "id", "user", "username", "name", "studentname"),
        "exercise": ("exercise", "exerciseid", "task"),
        "question": ("question", "item", "questionnumber", "itemnumber", "no", "number"),
        "answer": ("answer", "response", "answered"),
        "attempt": ("attempt", "try"),
        "time": ("time", "handedin", "date", "when"),
    }
)
NEEDED: Final = ("student", "exercise", "question", "answer")
#: Wrong lines that are told; the rest are counted.
MAX_TOLD: Final = 10


@dataclass(frozen=True, slots=True)
class PaperEntry:
    """What entering a table did: answers that are new, that replaced others, and that were there already."""

    added: int
    changed: int
    kept: int


def paper_lines(folder: Path, lesson: str, student: str) -> tuple[AnswerLine, ...]:
    """Return the answers of a student that were entered from paper.

    Raises
    ------
    RecordError
        The record is damaged: it is the teacher's own, so nothing is passed over.
    """
    path = folder / record_name(lesson, student)
    try:
        data = path.read_bytes()
    except (FileNotFoundError, NotADirectoryError):
        return ()
    except OSError as error:
        raise RecordError(f"'{path}' cannot be opened: {error.strerror}") from None
    reading = read_record(data, path.name)
    if reading.problems:
        raise RecordError(f"{reading.problems[0]}; enter the table of paper answers again")
    return reading.answers


def _columns(rows: list[tuple[int, list[str]]], name: str) -> tuple[dict[str, int], list[tuple[int, list[str]]]]:
    for place, (_, cells) in enumerate(rows[:MAX_TITLE_LINES]):
        headings = [re.sub(r"[^a-z0-9]", "", cell.casefold()) for cell in cells]
        found = {
            what: next(at for at, heading in enumerate(headings) if heading in known)
            for what, known in COLUMNS.items()
            if set(headings) & set(known)
        }
        if all(what in found for what in NEEDED):
            return found, rows[place + 1 :]
    raise SubmissionError(f"{name!r}: no line with the headings {', '.join(NEEDED)}; write them into the first line")


@dataclass(frozen=True)
class _Sheet:
    """What a table of paper answers is read against."""

    assignment: Assignment
    versions: Mapping[str, LessonNotebook]
    copies: Mapping[str, HandedOut]
    now: str

    def line(self, cells: Mapping[str, str], old: Mapping[str, AnswerLine]) -> tuple[str, AnswerLine]:
        """The student and the answer that one line of the table gives."""
        copy = self.copies.get(slug_of(cells["student"]))
        if copy is None:
            raise SubmissionError(f"student {plain_line(cells['student'], 40)!r} got no copy of this lesson")
        plan = self.versions[copy.digest].plan
        exercise = plan.exercise(cells["exercise"].strip())
        index = _number(cells["question"], "question", exercise.count) - 1
        attempt = _number(cells.get("attempt") or "1", "attempt", 1000)
        answer = paper_answer(exercise.item(copy.seed, index), cells["answer"])
        text = f"paper\n{plan.id}\n{copy.student.id}\n{exercise.id}\n{index}\n{attempt}"
        id = hashlib.sha256(text.encode("utf-8")).hexdigest()[:32]
        due = self.assignment.due_of(copy)
        before = old.get(f"{copy.student.id} {id}")
        time = before.time if before is not None else due.utc if due is not None else self.now
        if cells.get("time"):
            time = _time(cells["time"])
        return copy.student.id, AnswerLine(id, exercise.id, exercise.version, index, answer, attempt, time)


def _number(text: str, what: str, most: int) -> int:
    match = re.fullmatch(r"\D{0,12}?(\d{1,4})\.?", text.strip())
    number = int(match[1]) if match else 0
    if not 1 <= number <= most:
        raise SubmissionError(f"{what} {plain_line(text, 20)!r}; allowed: 1 to {most}")
    return number


def _time(text: str) -> str:
    try:
        return read_due(text).utc
    except ManifestError:
        pass
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        moment = None
    if moment is None or moment.tzinfo is None:
        raise SubmissionError(f"time {plain_line(text, 40)!r}; write date, time and zone, as '2026-11-01 10:30 +01:00'")
    return read_due(f"{moment.strftime('%Y-%m-%d %H:%M')} {moment.strftime('%z')}").utc


def read_paper_table(
    path: Path, assignment: Assignment, folder: Path, encoding: str = ""
) -> dict[str, dict[str, AnswerLine]]:
    """Return the answers in a table, by student and answer id.

    Parameters
    ----------
    path : Path
        A table with the columns student, exercise, question (from 1) and answer, and perhaps attempt and time.
    assignment : Assignment
        What was handed out.
    folder : Path
        Where answers from paper are kept: one that was entered before keeps its time.
    encoding : str
        As for `read_roster`.

    Raises
    ------
    SubmissionError
        Lines cannot be read; says which and why, and nothing is taken from the rest.
    RosterError
        It is no table.
    """
    name = Path(path).name
    columns, rows = _columns(table_rows(table_text(table_bytes(path, "table"), name, encoding), name), name)
    versions = assignment.marked_by(assignment.versions())
    copies = {copy.student.id: copy for copy in assignment.copies}
    old = {
        f"{id} {line.id}": line
        for id in {slug_of(row[columns["student"]]) for _, row in rows if len(row) > columns["student"]} & set(copies)
        for line in paper_lines(folder, assignment.lesson, id)
    }
    sheet = _Sheet(assignment, versions, copies, utc_now())
    found: dict[str, dict[str, AnswerLine]] = {}
    lines: dict[str, int] = {}
    wrong: list[str] = []
    for number, row in rows:
        cells = {what: row[place] if place < len(row) else "" for what, place in columns.items()}
        try:
            if missing := [what for what in NEEDED if not cells[what]]:
                if missing == ["answer"]:  # a question that was left blank on the sheet
                    continue
                raise SubmissionError(f"no {missing[0]}")
            student, line = sheet.line(cells, old)
            before = found.setdefault(student, {}).setdefault(line.id, line)
            first = lines.setdefault(f"{student} {line.id}", number)
            if before.answer != line.answer:
                raise SubmissionError(f"another answer to the question of line {first}")
        except (SubmissionError, AnswerError, ExerciseError) as error:
            wrong.append(f"line {number}: {error}")
    if wrong:
        more = f"; and {len(wrong) - MAX_TOLD} more lines" if len(wrong) > MAX_TOLD else ""
        raise SubmissionError(f"{name!r}: {'; '.join(wrong[:MAX_TOLD])}{more}")
    return found


def enter_paper(path: Path, assignment: Assignment, folder: Path, encoding: str = "") -> PaperEntry:
    """Keep the answers of a table; those of other questions and students that were entered before stay.

    Parameters
    ----------
    path, assignment, encoding
        As for `read_paper_table`.
    folder : Path
        The folder of the class file.

    Raises
    ------
    SubmissionError, RosterError
        As for `read_paper_table`; nothing is written.
    ClassroomError
        The disk refuses.
    """
    home = Path(folder) / PAPER_FOLDER
    table = read_paper_table(path, assignment, home, encoding)
    added = changed = kept = 0
    for student, new in table.items():
        before = {line.id: line for line in paper_lines(home, assignment.lesson, student)}
        added += sum(id not in before for id in new)
        changed += sum(id in before and before[id] != line for id, line in new.items())
        kept += sum(before.get(id) == line for id, line in new.items())
        whole = sorted({**before, **new}.values(), key=lambda line: line.order)
        if before == {line.id: line for line in whole}:
            continue
        make_folder(home)
        copy = assignment.copy_of(student)
        header = RecordHeader(assignment.lesson, student, copy.digest if copy else "")
        data = "".join([header.line(), *(line.line() for line in whole)]).encode("utf-8")
        write_whole(home / record_name(assignment.lesson, student), data)
    return PaperEntry(added, changed, kept)
