"""Every lesson keeps to the outline that lessons have here, and can be handed out."""

import ast
import re
import statistics
from pathlib import Path

import nbformat
import pytest

from musictheory_nb.classroom.lesson_notebook import read_lesson

FOLDER = Path(__file__).parents[2] / "lessons"
LESSONS = sorted(FOLDER.glob("*.ipynb"))
LIVE = "application/vnd.jupyter.widget-view+json"

pytestmark = pytest.mark.parametrize("path", LESSONS, ids=lambda path: path.stem)


def cells(path: Path, kind: str) -> list[nbformat.NotebookNode]:
    return [cell for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == kind]


def text(path: Path) -> str:
    return "\n".join(cell.source for cell in cells(path, "markdown"))


def tagged(path: Path, tag: str) -> list[nbformat.NotebookNode]:
    return [cell for cell in cells(path, "code") if tag in cell.metadata.get("tags", [])]


def test_name_begins_with_its_number_and_a_verb(path):
    assert re.fullmatch(r"\d\d_[a-z]+(_[a-z]+)+\.ipynb", path.name)
    assert not list(FOLDER.glob("*Untitled*"))


def test_it_opens_with_objectives_time_and_prerequisites(path):
    opening = cells(path, "markdown")[0].source
    assert re.match(r"# [A-Z]", opening)
    assert "By the end you can" in opening
    assert re.search(r"\*\*Time:\*\* \d+ minutes", opening)
    assert "**You need:**" in opening


def test_each_objective_names_exercises_that_are_there_and_each_exercise_is_named(path):
    opening = cells(path, "markdown")[0].source
    ids = {exercise.id for exercise in read_lesson(path).plan.exercises}
    named = set(re.findall(r"`([a-z0-9-]+)`", opening))
    assert named <= ids
    assert ids <= set(re.findall(r"`([a-z0-9-]+)`", text(path)))
    assert len(re.findall(r"^\d\. ", opening, re.MULTILINE)) >= 2


def test_it_cautions_asks_for_predictions_has_a_bug_hunt_and_names_sources(path):
    whole = text(path)
    assert "volume low" in whole
    assert "health professional" in whole
    assert whole.count("**Predict.**") >= 3
    assert whole.count("**Compare.**") == whole.count("**Predict.**")
    for heading in ("## A worked example", "## Your turn, with help", "## On your own", "## Find the mistake"):
        assert heading in whole
    assert "## Look back" in whole
    assert "## Sources" in whole


def test_parameters_come_first_and_are_those_of_a_preview(path):
    code = cells(path, "code")
    assert code[0] is not None
    assert code[0].metadata.tags == ["parameters"]
    assert 'STUDENT = ""' in code[0].source
    assert code[1].metadata.tags == ["setup"]
    assert code[-1].metadata.tags == ["hand-in"]
    assert len(tagged(path, "exercise")) == len(read_lesson(path).plan.exercises)


def test_outputs_are_stored_as_readers_without_a_kernel_need_them(path):
    code = cells(path, "code")
    assert [cell.execution_count for cell in code] == list(range(1, len(code) + 1))
    kinds = {mime for cell in code for output in cell.outputs for mime in output.get("data", {})}
    assert "text/html" in kinds
    assert LIVE not in kinds
    for cell in tagged(path, "exercise"):
        assert any("Run this cell" in output.get("data", {}).get("text/plain", "") for output in cell.outputs)


def test_every_picture_has_a_text_twin(path):
    drawings = [
        output.data
        for cell in cells(path, "code")
        for output in cell.outputs
        if "<svg" in output.get("data", {}).get("text/html", "")
    ]
    assert drawings
    for data in drawings:
        assert "Measure " in data["text/plain"]
        assert 'role="img"' in data["text/html"]
        assert "<details><summary>In words" in data["text/html"]


def test_code_cells_are_short(path):
    shown = [
        len(cell.source.splitlines())
        for cell in cells(path, "code")
        if not cell.metadata.get("jupyter", {}).get("source_hidden")
    ]
    assert statistics.median(shown) < 5
    assert max(shown) <= 20


def test_every_item_can_be_made_for_any_student(path):
    for exercise in read_lesson(path).plan.exercises:
        for seed in (0, 1, 2**53):
            for index in range(exercise.count):
                assert exercise.item(seed, index).explain


def test_no_cell_uses_what_only_a_later_one_makes(path):
    code = [cell for cell in cells(path, "code") if "excerpt" not in cell.metadata.get("tags", [])]
    names = [[node for node in ast.walk(ast.parse(cell.source)) if isinstance(node, ast.Name)] for cell in code]
    stored = [{node.id for node in row if isinstance(node.ctx, ast.Store)} for row in names]
    made: set[str] = set()
    for at, row in enumerate(names):
        later = set().union(*stored[at + 1 :]) - made - stored[at]
        assert not later & {node.id for node in row if isinstance(node.ctx, ast.Load)}, code[at].source
        made |= stored[at]


def test_what_is_shown_is_told_in_words(path):
    shown = [
        "".join(output["data"]["text/html"])
        for cell in cells(path, "code")
        for output in cell.outputs
        if "<svg" in "".join(output.get("data", {}).get("text/html", ""))
    ]
    assert shown
    for page in shown:
        outer = re.search(r"<svg[^>]*>", page)[0]
        assert 'role="img"' in outer or "aria-hidden" in outer, outer
        assert "aria-label" in outer or "aria-hidden" in outer, outer


def test_sources_name_every_excerpt(path):
    sources = text(path).partition("## Sources")[2]
    excerpts = tagged(path, "excerpt")
    assert not excerpts or "public domain" in sources or "written for this course" in sources
