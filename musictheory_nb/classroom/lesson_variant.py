"""A lesson made over for one student: under another name, or with settings such as another clef or instrument.

The calls in the notebook are rewritten where they stand, so that the copy says in plain sight what it asks. What comes out
is a lesson with a digest of its own, read again from its new source: hand-out, marking and re-run need to know nothing
more of it.
"""

import ast
import contextlib
from collections.abc import Mapping
from typing import Final

from musictheory_nb.classroom.lesson_calls import LessonCall, code_tree, lesson_calls
from musictheory_nb.classroom.lesson_notebook import LessonNotebook, parse_lesson
from musictheory_nb.classroom.notebook_file import notebook_bytes, source_text, tags_of
from musictheory_nb.classroom.parameters_cell import TAG, renamed_parameters
from musictheory_nb.classroom.roster import SETTINGS
from musictheory_nb.classroom.source_place import source_place
from musictheory_nb.errors import LessonError
from musictheory_nb.practice.exercise import Exercise, is_slug
from musictheory_nb.practice.family import EVERYWHERE
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.plain_data import JSON, digest, strict_json, thawed
from musictheory_nb.practice.setting import Setting

#: Texts of a table that mean yes or no where a setting is a switch.
_SWITCH: Final[Mapping[str, bool]] = {"yes": True, "true": True, "no": False, "false": False}


def setting_value(setting: Setting, text: str) -> JSON:
    """Return the value that a table's text means for a setting: the text itself, a number, a list, or yes or no.

    Raises
    ------
    LessonError
        The setting allows none of these.

    Examples
    --------
    >>> from musictheory_nb.practice.display_settings import CLEF, PARTIAL
    >>> setting_value(CLEF, "bass"), setting_value(PARTIAL, "no")
    ('bass', False)
    >>> setting_value(CLEF, "violin")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: clef 'violin'; allowed: 'auto', 'treble', ...
    """
    readings: list[JSON] = [text, text.casefold(), _SWITCH.get(text.casefold(), text)]
    with contextlib.suppress(ValueError):  # a plain word is no JSON
        readings.append(strict_json(text))
    for value in readings:
        if setting.check(value):
            return value
    raise LessonError(f"{setting.name} {text!r}; allowed: {setting.allowed}")


def settings_for(exercise: Exercise, wanted: Mapping[str, str]) -> dict[str, JSON]:
    """Return those of the wanted settings that the exercise takes, as values.

    Raises
    ------
    LessonError
        A value is not allowed.
    """
    known = {setting.name: setting for setting in (*exercise.family.settings, *EVERYWHERE)}
    return {name: setting_value(known[name], text) for name, text in wanted.items() if name in known}


def _call_node(source: str, where: str, id: str) -> ast.Call | None:
    tree = code_tree(source, where)
    for node in ast.walk(tree) if tree is not None else ():
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "exercise":
            given = [*node.args[:1], *(word.value for word in node.keywords if word.arg == "id")]
            if given and isinstance(given[0], ast.Constant) and given[0].value == id:
                return node
    return None


def _with_settings(source: str, call: LessonCall, settings: Mapping[str, JSON]) -> str:
    """Return the source of a cell in which the call takes these settings besides its own."""
    id = call.arguments["id"]
    node = _call_node(source, call.where, id)
    if node is None:
        raise LessonError(f"{call.where}: the call that sets {id!r} cannot be found")
    whole = repr({**thawed(call.arguments.get("settings") or {}), **settings})
    given = next((word.value for word in node.keywords if word.arg == "settings"), None)
    if given is not None:
        start = source_place(source, given.lineno, given.col_offset)
        return source[:start] + whole + source[source_place(source, given.end_lineno, given.end_col_offset) :]
    close = source_place(source, node.end_lineno, node.end_col_offset) - 1
    for between in (", ", ""):  # with and without a comma that stands there already
        changed = f"{source[:close]}{between}settings={whole}{source[close:]}"
        try:
            again = _call_node(changed, call.where, id)
        except LessonError:
            continue
        if again is not None and any(word.arg == "settings" for word in again.keywords):
            return changed
    raise LessonError(f"{call.where}: write settings={{}} into the call that sets {id!r}, so that it can be changed")


def asked_digest(plan: LessonPlan) -> str:
    """Return a digest of what a lesson asks, whatever a student's own settings are (`SETTINGS`).

    Two copies of one lesson, one in another clef, have the same; of a lesson before and after it was corrected, they differ.
    """
    data = [one.to_data() for one in plan.exercises]
    for one in data:
        one["settings"] = {name: value for name, value in one["settings"].items() if name not in SETTINGS}
    return digest({"id": plan.id, "exercises": data})


def lesson_variant(
    lesson: LessonNotebook, *, name: str = "", settings: Mapping[str, str] | None = None
) -> LessonNotebook:
    """Return the lesson under another id, or with other settings in all exercises that have them.

    Parameters
    ----------
    lesson : LessonNotebook
        The teacher's.
    name : str
        Slug; the id of the lesson where it stays.
    settings : Mapping of str to str
        Name and value as a table has it.

    Raises
    ------
    LessonError
        The name is no slug, or an exercise does not allow a value; names the exercise.
    """
    wanted: dict[str, dict[str, JSON]] = {}
    for exercise in lesson.plan.exercises:
        try:
            wanted[exercise.id] = settings_for(exercise, settings or {})
        except LessonError as error:
            raise LessonError(f"exercise {exercise.id!r}: {error}") from None
    return with_exercise_settings(lesson, wanted, name=name)


def with_exercise_settings(
    lesson: LessonNotebook, wanted: Mapping[str, Mapping[str, JSON]], *, name: str = ""
) -> LessonNotebook:
    """Return the lesson in which each exercise takes the settings wanted for its id, besides its own.

    Raises
    ------
    LessonError
        The new name is no slug, or an exercise does not allow a value.
    """
    if name and not is_slug(name):
        raise LessonError(f"name {name!r}; allowed: lower-case letters, digits and hyphens, as 'hear-thirds-again'")
    if not any(wanted.values()) and name in ("", lesson.plan.id):
        return lesson
    cells = [dict(cell) for cell in lesson.content["cells"]]
    numbered = [
        (number, source_text(cell))
        for number, cell in enumerate(cells, start=1)
        if cell["cell_type"] == "code" and TAG not in tags_of(cell)
    ]
    # from the last call to the first, so that what was rewritten moves nothing that is still to be
    for call in reversed(lesson_calls(numbered)):
        if call.method == "exercise" and (own := wanted.get(call.arguments["id"])):
            cell = cells[call.cell - 1]
            cell["source"] = _with_settings(source_text(cell), call, own)
    for cell in cells:
        if TAG in tags_of(cell) and name:
            cell["source"] = renamed_parameters(source_text(cell), name)
    return parse_lesson(notebook_bytes({**lesson.content, "cells": cells}), lesson.name)
