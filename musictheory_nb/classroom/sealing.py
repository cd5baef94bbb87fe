"""Sealing a copy: its items are drawn and rendered here, with the teacher, and go out as pictures, sounds and words alone."""

from typing import Any, Final

from musictheory_nb.classroom.assignment import HandedOut
from musictheory_nb.classroom.lesson_notebook import LessonNotebook
from musictheory_nb.classroom.marking_task import opened_terms
from musictheory_nb.classroom.notebook_file import notebook_bytes, source_text, tags_of
from musictheory_nb.classroom.opening_call import with_attempts
from musictheory_nb.classroom.parameters_cell import TAG, Parameters
from musictheory_nb.classroom.sealed_cell import sealed_source
from musictheory_nb.errors import LessonError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.stored_media import stored_notation, stored_sound
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.sealed_exercise import SealedExercise, SealedItem, SealedLesson
from musictheory_nb.practice.twin import twins_in, twins_of, twins_used

OPENING: Final = (
    "import musictheory_nb as mt\nlesson = mt.open_sealed(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)"
)


def sealed_item(item: Item, twin: str = "") -> SealedItem:
    """Return an item without key, solution and explanation, and with its media as they sound and look.

    Parameters
    ----------
    item : Item
        As it is drawn.
    twin : str
        What the setting `twin.TWIN` says. What it grants goes along: notation of what sounds, words for what is written;
        whoever has these can have an answer worked out from them. Nothing is offered.
    """
    granted = twins_in(twin)
    asked = item.shown("asked")
    shown = [(one, "sight" in granted) for one in asked if one.kind == "notation"]
    if "hearing" in granted:
        shown += [(one, False) for one in item.twin if one.kind == "notation"]
    notation = []
    for at, (request, is_told) in enumerate(shown):
        words = (item.twin_text or engrave(request).text) if is_told else None
        notation.append(stored_notation(request, name=f"{item.exercise}-{item.index}-{at}", text=words))
    sounds = tuple(stored_sound(one) for one in asked if one.kind == "sound")
    used = twins_used([sense for sense in twins_of(item) if sense in granted])
    return SealedItem(item.prompt, item.response, sounds, tuple(notation), used)


def sealed_exercise(exercise: Exercise, seed: int) -> SealedExercise:
    """Return an exercise with all its items sealed."""
    items = tuple(sealed_item(exercise.item(seed, index), exercise.twin) for index in range(exercise.count))
    return SealedExercise(exercise.id, exercise.family.title, exercise.version, items, exercise.lesson)


def sealed_lesson(plan: LessonPlan, student: str, seed: int) -> SealedLesson:
    """Return the sealed copy of a student."""
    return SealedLesson(plan.id, student, tuple(sealed_exercise(one, seed) for one in plan.exercises))


def seal_task(data: bytes, copy: HandedOut) -> bytes:
    """Return the sealed file of one student; `data` is from `marking_task.terms_bytes`.

    Raises
    ------
    ExerciseError
        It would be too large.
    """
    plan = opened_terms(data).versions[copy.digest].plan
    return sealed_lesson(plan, copy.student.id, copy.seed).to_bytes()


def _cell(kind: str, id: str, source: str, metadata: dict[str, JSON]) -> dict[str, JSON]:
    cell: dict[str, Any] = {"cell_type": kind, "id": id, "metadata": metadata, "source": source}
    return cell | ({"outputs": [], "execution_count": None} if kind == "code" else {})


def sealed_notebook(lesson: LessonNotebook, copy: HandedOut, attempts: int = 1) -> tuple[bytes, int]:
    """Return the notebook of a sealed copy, and how many code cells of the lesson were left out of it.

    In it are the teacher's text, the parameters, the opening of the sealed file, one cell for each exercise, and the hand-in.
    Every other code cell is left out: it might show the music of a question, or its answer.

    Raises
    ------
    LessonError
        An exercise of the lesson is set in no cell of its own.
    """
    sources = lesson.exercise_sources()
    by_source: dict[str, list[str]] = {}
    for id, source in sources.items():
        by_source.setdefault(source, []).append(id)
    opening = OPENING if attempts == 1 else with_attempts(OPENING, attempts)
    parameters = Parameters(lesson.plan.id, copy.student.id, copy.shown_seed, copy.shown_digest)
    cells: list[dict[str, JSON]] = []
    left_out = 0
    for number, cell in enumerate(lesson.content["cells"]):
        id = str(cell.get("id") or f"cell-{number}")
        source = source_text(cell)
        if cell["cell_type"] == "markdown":
            cells.append(dict(cell))
        elif cell["cell_type"] != "code":
            continue
        elif TAG in tags_of(cell):
            cells.append(_cell("code", id, parameters.source, {"tags": [TAG]}))
            cells.append(_cell("code", "open-sealed", opening, {"tags": ["setup"]}))
        elif source in by_source:
            for at, exercise in enumerate(by_source.pop(source)):
                cells.append(_cell("code", f"{id}-{at}"[:64], sealed_source(exercise), {"tags": ["exercise"]}))
        elif "hand_in" not in source and "open_lesson" not in source:
            left_out += 1
    if by_source:
        raise LessonError(
            f"{lesson.name!r}: exercises {', '.join(map(str, by_source.values()))} stand in no cell that can be sealed"
        )
    cells.append(_cell("code", "hand-in", "lesson.hand_in()", {"tags": ["hand-in"]}))
    metadata = {
        name: value for name, value in lesson.content["metadata"].items() if name in ("kernelspec", "language_info")
    }
    return notebook_bytes({**lesson.content, "metadata": metadata, "cells": cells}), left_out
