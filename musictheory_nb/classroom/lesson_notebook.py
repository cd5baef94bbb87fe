"""A lesson notebook, read without running it: its exercises as data, and the copies made from it."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final

from musictheory_nb.classroom.lesson_calls import LessonCall, lesson_calls
from musictheory_nb.classroom.notebook_file import notebook_bytes, read_notebook, source_text, tags_of, without_outputs
from musictheory_nb.classroom.opening_call import with_attempts
from musictheory_nb.classroom.parameters_cell import TAG, Parameters, read_parameters
from musictheory_nb.errors import ExerciseError, LessonError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise, is_slug, named_excerpts
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.plain_data import JSON, check_plain, strict_json, thawed

#: Largest lesson notebook that is read.
MAX_BYTES: Final = 64 * 1024 * 1024
_HEADING: Final = re.compile(r"^#[ \t]+(.+?)[ \t#]*$", re.MULTILINE)


@dataclass(frozen=True)
class LessonNotebook:
    """A teacher's lesson.

    Parameters
    ----------
    name : str
        File name.
    plan : LessonPlan
        What it asks, as data.
    content : dict
        The notebook in one form (see `notebook_file`), without outputs.
    remarks : tuple of str
        What was put right while reading.
    """

    name: str
    plan: LessonPlan
    content: dict[str, JSON] = field(repr=False)
    remarks: tuple[str, ...] = ()

    def copy_for(self, student: str, seed: int, attempts: int = 1) -> bytes:
        """Return the notebook file of one student: own parameters, nothing run, the source of exercises folded away.

        An exercise's settings may hold what is right (the sections of a piece); folded, it is not read by the way.

        Parameters
        ----------
        student : str
            Slug.
        seed : int
            From 0.
        attempts : int
            How often the copy lets an item be answered; 1 leaves it to the lesson, 0 is no limit.
        """
        parameters = Parameters(self.plan.id, student, seed, self.plan.digest)
        setting = set(self.exercise_sources().values())
        cells = []
        for cell in self.content["cells"]:
            if TAG in tags_of(cell):
                cell = {**cell, "source": parameters.source}
            elif cell["cell_type"] == "code" and source_text(cell) in setting:
                cell = {**cell, "metadata": _folded(cell["metadata"])}
            elif cell["cell_type"] == "code" and attempts != 1:
                cell = {**cell, "source": with_attempts(source_text(cell), attempts)}
            cells.append(cell)
        return notebook_bytes({**self.content, "cells": cells})

    def exercise_sources(self) -> dict[str, str]:
        """Return the source of the cell that sets each exercise, by exercise id."""
        numbered = [(number, source_text(cell)) for number, cell in _code_cells(self.content)]
        sources = dict(numbered)
        calls = lesson_calls(numbered)
        return {call.arguments["id"]: sources[call.cell] for call in calls if call.method == "exercise"}


def _folded(metadata: Mapping[str, JSON]) -> dict[str, JSON]:
    """Return a cell's metadata with its source folded, in the field that nbformat names for it."""
    front_end = metadata.get("jupyter")
    return {**metadata, "jupyter": {**(front_end if isinstance(front_end, dict) else {}), "source_hidden": True}}


def _code_cells(content: Mapping[str, JSON]) -> list[tuple[int, Any]]:
    """Number (from 1, counting all cells) and content of each code cell."""
    return [(number, cell) for number, cell in enumerate(content["cells"], 1) if cell["cell_type"] == "code"]


def _title(content: Mapping[str, JSON], otherwise: str) -> str:
    for cell in content["cells"]:
        if cell["cell_type"] == "markdown" and (match := _HEADING.search(source_text(cell))):
            return unicodedata.normalize("NFC", re.sub(r"[*`]", "", match[1])).strip()
    return otherwise


def _parameters(cells: list[tuple[int, Any]]) -> Parameters:
    tagged = [(number, cell) for number, cell in cells if TAG in tags_of(cell)]
    if len(tagged) != 1:
        found = f"cells {', '.join(str(number) for number, _ in tagged)} have it" if tagged else "no code cell has it"
        raise LessonError(f"exactly one code cell must have the tag {TAG!r}; {found}")
    number, cell = tagged[0]
    if any(source_text(other).strip() for earlier, other in cells if earlier < number):
        raise LessonError(f"cell {number}: the parameters must stand in the first code cell")
    parameters = read_parameters(source_text(cell), f"cell {number}")
    if not is_slug(parameters.lesson):
        raise LessonError(
            f"cell {number}: LESSON {parameters.lesson!r}; allowed: lower-case letters, digits and hyphens, as 'hear-thirds'"
        )
    if parameters.student:
        raise LessonError(
            f"cell {number}: this is the copy of {parameters.student!r}; give the teacher's notebook, in which STUDENT is empty"
        )
    return parameters


def _excerpt(call: LessonCall, known: Mapping[str, Excerpt]) -> tuple[str, Excerpt]:
    name, data = call.arguments["name"], call.arguments["data"]
    if not isinstance(name, str) or not isinstance(data, str):
        raise LessonError(f"{call.where}: name and data are texts in quotes")
    if name in known:
        raise LessonError(f"{call.where}: the music {name!r} stands in the lesson twice; give each its own name")
    try:
        excerpt = Excerpt.from_data(strict_json(data))
    except ValueError as error:
        raise LessonError(f"{call.where}: the music of {name!r} cannot be read: {error}") from None
    expected = call.arguments.get("digest", "")
    if expected and expected != excerpt.digest:
        raise LessonError(
            f"{call.where}: the music of {name!r} is not what was frozen into the lesson; freeze it anew from the score"
        )
    return name, excerpt


def _exercise(call: LessonCall, lesson: str, excerpts: Mapping[str, Excerpt]) -> Exercise:
    arguments = dict(call.arguments)
    try:
        settings = thawed(arguments.pop("settings", None) or {})
        check_plain(settings)
        music = named_excerpts(settings, excerpts) if isinstance(settings, dict) else {}
        exercise = Exercise(**arguments, settings=settings, lesson=lesson, excerpts=music)
        exercise.item(seed=0, index=0)
    except ValueError as error:  # ExerciseError is one
        raise LessonError(f"{call.where}: {error}") from None
    return exercise


def parse_lesson(data: bytes, name: str) -> LessonNotebook:
    """Read a lesson from the bytes of its notebook; see `read_lesson`.

    Raises
    ------
    LessonError
        As for `read_lesson`.

    Examples
    --------
    >>> parse_lesson(b'{"nbformat": 4, "cells": []}', "empty.ipynb")
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: 'empty.ipynb': exactly one code cell must have the tag 'parameters'; no code cell has it
    """
    file = read_notebook(data, name)
    cells = _code_cells(file.content)
    try:
        parameters = _parameters(cells)
        excerpts: dict[str, Excerpt] = {}
        exercises: list[Exercise] = []
        handed_in = ""
        for call in lesson_calls([(number, source_text(cell)) for number, cell in cells if TAG not in tags_of(cell)]):
            if handed_in:
                raise LessonError(f"{call.where} stands after the hand-in cell; {handed_in} must be the last one")
            if call.method == "excerpt":
                key, excerpt = _excerpt(call, excerpts)
                excerpts[key] = excerpt
            elif call.method == "exercise":
                exercises.append(_exercise(call, parameters.lesson, excerpts))
            else:
                handed_in = call.where
        if not exercises:
            raise LessonError("it sets no exercise")
        if not handed_in:
            raise LessonError("the last code cell must be lesson.hand_in(), or a saved notebook holds no answers")
        plan = LessonPlan(parameters.lesson, _title(file.content, parameters.lesson), tuple(exercises))
    except (LessonError, ExerciseError) as error:
        raise LessonError(f"{name!r}: {error}") from None
    return LessonNotebook(name, plan, without_outputs(file.content), file.remarks)


def read_lesson(path: Path) -> LessonNotebook:
    """Read a teacher's lesson notebook without running it.

    Parameters
    ----------
    path : Path
        An ``.ipynb`` file.

    Raises
    ------
    LessonError
        The file cannot be opened, or is no lesson: says in which cell and line, and what to write instead.

    Examples
    --------
    >>> read_lesson(Path("no-such-lesson.ipynb"))
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: lesson 'no-such-lesson.ipynb' cannot be opened: No such file or directory
    """
    try:
        with Path(path).open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise LessonError(f"lesson '{path}' cannot be opened: {error.strerror}") from None
    if len(data) > MAX_BYTES:
        raise LessonError(f"lesson '{path}' has more than {MAX_BYTES} bytes")
    return parse_lesson(data, Path(path).name)
