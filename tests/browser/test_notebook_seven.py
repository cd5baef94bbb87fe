"""A lesson in Notebook 7: heard, answered by mouse and by keyboard, there again after a restart, and readable when saved.

What a saved notebook tells without a kernel is read from nbconvert's own HTML of it.
"""

import json
import re

import nbconvert
import nbformat
import pytest
from lab_server import lab_server
from notebook_page import WAIT_MS, NotebookPage, write_notebook
from playwright.sync_api import expect
from student_hands import Student

from musictheory_nb.practice.exercise import Exercise

OPEN = "import musictheory_nb as mt; lesson = mt.open_lesson('demo', student='ines-orta', seed=7)"
HEAR = "lesson.exercise('hear', 'interval-by-ear', count=3, settings={'inputs': ['buttons']})"
SHOW = "lesson.listen('B3 F4', 'A tritone')"
CELLS = [OPEN, SHOW, HEAR, "lesson.hand_in()"]
EXERCISE = Exercise("hear", "interval-by-ear", {"inputs": ["buttons"]}, count=3, lesson="demo")


def right(item):
    return {step: {"choice": values["choice"][0]} for step, values in item.solution.items()}


def wrong(item):
    (step,) = item.response.steps
    options = [option.value for option in step.inputs[0].options]
    return {step.id: {"choice": next(one for one in options if one not in item.solution[step.id]["choice"])}}


@pytest.fixture(scope="module")
def saved(chromium, tmp_path_factory):
    """A lesson worked through in Notebook 7 in two sittings, and what was seen on the way."""
    folder = tmp_path_factory.mktemp("seven")
    write_notebook(folder / "demo.ipynb", CELLS)
    write_notebook(folder / "empty.ipynb", ["1"])
    with lab_server(folder, "notebook") as server:
        pages = []

        def opened(name="demo.ipynb"):
            context = chromium.new_context(viewport={"width": 1300, "height": 900})
            context.set_default_timeout(20_000)
            page = NotebookPage(context.new_page(), server).open(name)
            page.run_all()
            pages.append(page)
            return page

        its_own = set(opened("empty.ipynb").console)  # what Notebook 7 itself complains of
        page = opened()
        student = Student(page, 0)
        assert page.page.evaluate("() => heard.starts") == 0
        student.listen()
        page.page.wait_for_function("() => heard.peak() > 0.005")
        count = page.cell_count
        student.answer(EXERCISE.item(7, 0), right(EXERCISE.item(7, 0)), by_keyboard=False)
        student.go_on(by_keyboard=False)
        # the next question takes the focus to its first control
        expect(student.exercise.get_by_role("button", name="Play").first).to_be_focused()
        radios = student.exercise.get_by_role("radio")
        radios.first.focus()
        for press, place in (
            ("ArrowRight", 1),
            ("ArrowDown", 2),
            ("End", 11),
            ("ArrowLeft", 10),
            ("x", 10),
            ("Home", 0),
        ):
            page.page.keyboard.press(press)
            expect(radios.nth(place)).to_be_focused()
        student.answer(EXERCISE.item(7, 1), wrong(EXERCISE.item(7, 1)), by_keyboard=True)
        assert "Not right" in student.verdict
        assert page.cell_count == count  # no key was taken for a command of the notebook
        page.save()
        server.end_sessions()  # the kernel dies
        page = opened()
        student = Student(page, 0)
        assert "2 of 3 answered" in student.progress
        assert "Question 3" in student.progress
        student.answer(EXERCISE.item(7, 2), right(EXERCISE.item(7, 2)), by_keyboard=True)
        expect(page.page.get_by_text("3 of 3 answers are in this notebook").first).to_be_visible(timeout=WAIT_MS)
        page.save()
        page.page.wait_for_function("() => !window.jupyterapp.shell.currentWidget.context.model.dirty")
        assert {told for one in pages for told in one.console} <= its_own
    return folder / "demo.ipynb"


def test_the_lesson_is_answered_and_the_answers_are_in_the_notebook(saved):
    content = json.loads(saved.read_text(encoding="utf-8"))
    assert "answers are in this notebook" in json.dumps(content)
    lines = (saved.parent / "demo.ines-orta.answers.jsonl").read_text(encoding="utf-8").splitlines()
    assert len(lines) == 4


def test_a_view_without_a_kernel_tells_what_was_asked_and_answered(saved):
    notebook = nbformat.read(saved, as_version=4)
    page, _ = nbconvert.HTMLExporter(template_name="lab").from_notebook_node(notebook)
    shown = re.sub(r"<(script|style)\b.*?</\1>", "", page, flags=re.DOTALL)
    (table,) = re.findall(r"<table>.*?</table>", shown, flags=re.DOTALL)
    cells = [
        " ".join(re.sub(r"<[^>]+>", " ", cell).split())
        for cell in re.findall(r"<td>(.*?)</td>", table, flags=re.DOTALL)
    ]
    rows = [cells[at : at + 3] for at in range(0, len(cells), 3)]
    for index, (asked, answered, verdict) in enumerate(rows):
        item = EXERCISE.item(7, index)
        given = wrong(item) if index == 1 else right(item)
        options = {option.value: option.label for option in item.response.steps[0].inputs[0].options}
        assert asked == item.prompt
        assert answered == options[given["interval"]["choice"]]
        assert verdict == ("Not right." if index == 1 else "Right.")
    assert len(rows) == 3
    assert "3 of 3 answers are in this notebook" in shown
    assert "A tritone" in shown
    assert "quarter B3, quarter F4" in shown  # the demonstration, in words
    assert "<svg" in shown
