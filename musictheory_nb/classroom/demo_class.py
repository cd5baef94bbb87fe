"""An invented class of twelve that does its homework: hand-out, answers and all, without a screen."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.assignment import Assignment, HandedOut
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.invented_answer import right_answer, wrong_answer
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.notebook_file import notebook_bytes, notebook_name, read_notebook, source_text
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ClassroomError
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.embedded_record import ANSWERS_MIME, MARKS_MIME, embedded_answers, marks_data
from musictheory_nb.practice.marking import mark_lesson
from musictheory_nb.practice.record_file import RecordFile


@dataclass(frozen=True, slots=True)
class Invented:
    """One invented student.

    Parameters
    ----------
    id, name : str
        As in a roster.
    strength : float
        Probability that an item is answered rightly; the draw is hashed, so that every demonstration is the same.
    share : float
        How much of each lesson is answered before the student stops, 0 to 1.
    habit : str
        What is special about the hand-in; see `HABITS`.
    """

    id: str
    name: str
    strength: float
    share: float = 1.0
    habit: str = "both"


#: What a student hands in.
HABITS: Final[Mapping[str, str]] = {
    "both": "the notebook as handed out, and the record beside it",
    "notebook": "the notebook alone, saved with its answers; no record",
    "torn": "a record whose last line was cut off while it was written",
    "meddler": "a changed seed in the notebook, and a module named music21 beside it",
    "nothing": "nothing at all",
}

CLASS: Final[tuple[Invented, ...]] = (
    Invented("amina-folau", "Amina Folau", 0.95),
    Invented("bram-oyelaran", "Bram Oyelaran", 0.85),
    Invented("chidi-vanterpool", "Chidi Vanterpool", 0.55, habit="meddler"),
    Invented("dalia-kvist", "Dalia Kvist", 0.70),
    Invented("edda-marchetti-holm", "Edda Marchetti-Holm", 0.80, habit="notebook"),
    Invented("faisal-brandauer", "Faisal Brandauer", 0.40),
    Invented("greta-nakashima", "Greta Nakashima", 0.65, share=0.6),
    Invented("hugo-tavares-lind", "Hugo Tavares Lind", 0.75, habit="torn"),
    Invented("ines-orta", "Inés Orta", 0.90),
    Invented("jun-abernathy", "Jun Abernathy", 0.50, share=0.3),
    Invented("kofi-sorensen", "Kofi Sørensen", 0.30),
    Invented("lumi-castellanos", "Lumi Castellanos", 0.60, habit="nothing"),
)
#: Folder of the class in the folder of the demonstration.
HOME: Final = "class"
#: Fixed, so that every demonstration is the same. A real class has a key that nobody can guess.
CLASS_KEY: Final = "0123456789abcdef" * 2
#: When the first answer of the invented homework is given, and the seconds between answers.
FIRST_ANSWER: Final = datetime(2026, 3, 2, 16, 0, 0, tzinfo=UTC)
BETWEEN_S: Final = 25

#: A file such as nobody should hand in; it is never run.
STRAY_MODULE: Final = 'raise SystemExit("A module that lies beside a notebook was imported. It must never be.")\n'
CHANGED_SEED: Final = 1


def answers_of(student: Invented, lesson: LessonNotebook, copy: HandedOut, day: int = 0) -> tuple[AnswerLine, ...]:
    """Return the answers that an invented student gives, in order."""
    plan = lesson.plan
    wanted = round(plan.count * student.share)
    lines: list[AnswerLine] = []
    for exercise in plan.exercises:
        for index in range(exercise.count):
            if len(lines) == wanted:
                return tuple(lines)
            draw = Draw(plan.id, f"{exercise.id}.{student.id}", 1, copy.seed, index)
            item = exercise.item(copy.seed, index)
            answer = right_answer(exercise, item)
            if draw.integer(1000) >= round(1000 * student.strength):
                answer = wrong_answer(exercise, item, answer, draw)
            moment = FIRST_ANSWER + timedelta(days=day, seconds=BETWEEN_S * len(lines) + draw.integer(BETWEEN_S))
            lines.append(
                AnswerLine(
                    id="".join(f"{draw.integer(16):x}" for _ in range(32)),
                    exercise=exercise.id,
                    version=exercise.version,
                    index=index,
                    answer=answer,
                    attempt=1,
                    time=moment.isoformat(timespec="milliseconds").replace("+00:00", "Z"),
                    heard=1 + draw.integer(3),
                    ms=4000 + draw.integer(18_000),
                )
            )
    return tuple(lines)


def saved_notebook(notebook: bytes, lesson: LessonNotebook, copy: HandedOut, answers: Sequence[AnswerLine]) -> bytes:
    """Return the notebook as it is saved after the hand-in cell has been run."""
    content = read_notebook(notebook, "copy").content
    header = RecordHeader(lesson.plan.id, copy.student.id, copy.digest)
    marked = mark_lesson(lesson.plan, copy.seed, answers)
    text = f"{marked.answered} of {lesson.plan.count} answers are in this notebook."
    data = {"text/plain": text, ANSWERS_MIME: embedded_answers(header, answers), MARKS_MIME: marks_data(marked)}
    cell = next(cell for cell in reversed(content["cells"]) if "hand_in" in source_text(cell))
    cell["outputs"] = [{"output_type": "display_data", "data": data, "metadata": {}}]
    return notebook_bytes(content)


def do_homework(student: Invented, lesson: LessonNotebook, copy: HandedOut, folder: Path, day: int = 0) -> int:
    """Leave in the student's folder what the student hands in, and return the number of answers."""
    home = folder / copy.student.id
    if student.habit == "nothing":
        (home / notebook_name(lesson.plan.id)).unlink()
        return 0
    answers = answers_of(student, lesson, copy, day)
    notebook = home / notebook_name(lesson.plan.id)
    record = RecordFile(home, RecordHeader(lesson.plan.id, copy.student.id, copy.digest))
    if student.habit == "notebook":
        notebook.write_bytes(saved_notebook(notebook.read_bytes(), lesson, copy, answers))
        return len(answers)
    for answer in answers:
        record.append(answer)
    if student.habit == "torn":
        whole = record.path.read_bytes()
        record.path.write_bytes(whole[: -len(answers[-1].line()) // 2])
    if student.habit == "meddler":
        notebook.write_bytes(lesson.copy_for(copy.student.id, CHANGED_SEED))
        (home / "music21.py").write_text(STRAY_MODULE, encoding="utf-8")
    return len(answers)


def demo_homework(
    lessons: Sequence[LessonNotebook], folder: Path, each: Callable[[str], None] = lambda line: None
) -> tuple[Assignment, ...]:
    """Hand out each lesson to the invented class and leave its homework in `folder`.

    Parameters
    ----------
    lessons : sequence of LessonNotebook
        In the order in which they are worked on, a week apart.
    folder : Path
        New or empty; the class's folders go under ``class/`` in it.
    each : callable
        Is called with a line about each lesson.

    Raises
    ------
    ClassroomError
        The folder holds a class already, or the disk refuses.
    """
    if folder.exists() and any(folder.iterdir()):
        raise ClassroomError(f"'{folder}' is not empty; name a new folder")
    home = folder / HOME
    students = tuple(Student(one.id, one.name, f"{one.id}@school.example") for one in CLASS)
    assignments = []
    for week, lesson in enumerate(lessons):
        handed = hand_out(lesson, students, home, class_key=CLASS_KEY)
        copies = {copy.student.id: copy for copy in handed.assignment.copies}
        count = sum(do_homework(one, lesson, copies[one.id], home, 7 * week) for one in CLASS)
        assignments.append(handed.assignment)
        each(f"{lesson.plan.title}: {len(students)} copies handed out, {count} answers given")
    return tuple(assignments)
