"""A small lesson, a class of three, and answers whose marks are known from outside: intervals as music21 reads them."""

import json
import sys
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import music21
import nbformat
import pytest
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, read_lesson
from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.classroom.roster import Student
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.embedded_record import ANSWERS_MIME, embedded_answers
from musictheory_nb.practice.record_file import RecordFile

# What stands beside this file for tests only is in no package; pytest's importlib mode adds no path by itself.
sys.path.insert(0, str(Path(__file__).parent))

INTERVALS = ["m3", "M3", "P4", "A4", "P5"]
SETTINGS = {
    "intervals": INTERVALS,
    "present": "notation",
    "directions": ["up", "down"],
    "inputs": ["buttons"],
    "partial": False,
}
PARAMETERS = 'LESSON = "read-intervals"\nSTUDENT = ""  # empty: a preview that writes nothing\nSEED = 1\nDIGEST = ""'
SETUP = (
    "from musictheory_nb.widgets.lesson_session import open_lesson\n"
    "lesson = open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)"
)
FIRST = f'lesson.exercise("first", "interval-by-ear", count=4, points=8, settings={SETTINGS!r})'
SECOND = f"lesson.exercise('second', 'interval-by-ear', count=2, points=1.5, settings={SETTINGS!r})"
CLASS = (
    Student("ada-quill", "Ada Quill", "ada@school.example"),
    Student("ben-otu", "Ben Otu"),
    Student("cy-lark", "Cy Lark"),
)


def code(source: str, *tags: str) -> dict:
    return new_code_cell(source, metadata={"tags": list(tags)})


def lesson_cells(*exercises: str) -> list[dict]:
    return [
        new_markdown_cell("# Read intervals\n\nBy the end you can name five intervals."),
        code(PARAMETERS, "parameters"),
        code(SETUP, "setup"),
        *(code(source, "exercise") for source in exercises or (FIRST, SECOND)),
        code("lesson.hand_in()", "hand-in"),
    ]


def save_notebook(path: Path, cells: Sequence[dict]) -> Path:
    path.write_text(nbformat.writes(new_notebook(cells=list(cells))), encoding="utf-8")
    return path


@pytest.fixture
def cells_of() -> Callable[..., list[dict]]:
    return lesson_cells


@pytest.fixture
def save() -> Callable[[Path, Sequence[dict]], Path]:
    return save_notebook


def interval_read_by_music21(item) -> str:
    """The interval of an item's two notes, by music21 from their spelling."""
    notes = item.media[0].excerpt.notes
    pitches = [music21.pitch.Pitch(note.pitches[0].replace("b", "-")) for note in notes]
    return music21.interval.Interval(*map(music21.note.Note, pitches)).name


@dataclass
class Classroom:
    """A class to which the lesson was handed out."""

    path: Path
    lesson: LessonNotebook
    folder: Path
    assignment: Assignment

    def copy(self, student: str) -> HandedOut:
        return next(copy for copy in self.assignment.copies if copy.student.id == student)

    def home(self, student: str) -> Path:
        return self.folder / student

    def notebook(self, student: str) -> Path:
        return self.home(student) / "read-intervals.ipynb"

    def header(self, student: str) -> RecordHeader:
        return RecordHeader("read-intervals", student, self.copy(student).digest)

    def lines(self, student: str, right: Iterable[bool], exercise: str = "first", start: int = 0) -> list[AnswerLine]:
        """Answers to items 0, 1 …: the interval that music21 reads, or another one."""
        found = []
        for index, is_right in enumerate(right):
            item = self.lesson.plan.exercise(exercise).item(self.copy(student).seed, index)
            name = interval_read_by_music21(item)
            wrong = next(other for other in INTERVALS if other != name)
            answer = {"interval": {"choice": name if is_right else wrong}}
            id = f"{start + index:02x}{sum(map(ord, student + exercise)):030x}"
            time = f"2026-03-02T10:00:{start + index:02d}.000Z"
            found.append(AnswerLine(id, exercise, 1, index, answer, 1, time))
        return found

    def record(self, student: str, lines: Iterable[AnswerLine]) -> Path:
        record = RecordFile(self.home(student), self.header(student))
        for line in lines:
            record.append(line)
        return record.path

    def embed(self, student: str, lines: Iterable[AnswerLine], header: RecordHeader | None = None) -> None:
        """Put answers into the output of the hand-in cell, as a saved notebook has them."""
        content = json.loads(self.notebook(student).read_text(encoding="utf-8"))
        data = {"text/plain": "answers", ANSWERS_MIME: embedded_answers(header or self.header(student), lines)}
        content["cells"][-1]["outputs"].append(new_output("display_data", data))
        self.notebook(student).write_text(json.dumps(content), encoding="utf-8")

    def edit_notebook(self, student: str, change: Callable[[dict], object]) -> None:
        content = json.loads(self.notebook(student).read_text(encoding="utf-8"))
        change(content)
        self.notebook(student).write_text(json.dumps(content), encoding="utf-8")

    def marks(self):
        """Marks of all students, by id."""
        return {one.student.id: one for one in mark_class(self.lesson, self.assignment, self.folder).students}


@pytest.fixture
def lesson_path(tmp_path) -> Path:
    return save_notebook(tmp_path / "01_read_intervals.ipynb", lesson_cells())


@pytest.fixture
def classroom(tmp_path, lesson_path) -> Classroom:
    lesson = read_lesson(lesson_path)
    done = hand_out(lesson, CLASS, tmp_path / "term1")
    return Classroom(lesson_path, lesson, tmp_path / "term1", done.assignment)
