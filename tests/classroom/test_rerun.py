"""The teacher's notebook is run again in a clean folder, and whatever goes wrong there is told and never a mark."""

import pytest
from nbformat.v4 import new_code_cell

from musictheory_nb.classroom import rerun as module
from musictheory_nb.classroom.class_marks import ClassMarks
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.rerun import Rerun, check_agreement, rerun_all, with_rerun
from musictheory_nb.errors import RerunError
from musictheory_nb.practice.marking import mark_lesson

# A cell of the teacher's that fails unless the folder is clean and nothing in it can be imported.
CLEAN = """
import os, sys
assert os.listdir() == ["read-intervals.ada-quill.answers.jsonl"], os.listdir()
assert os.environ["PYTHONSAFEPATH"] == "1"
assert os.getcwd() not in sys.path and "" not in sys.path, sys.path
import music21
assert "site-packages" in music21.__file__, music21.__file__
"""


@pytest.fixture
def worked(classroom):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, False, True]))
    (classroom.home("ada-quill") / "music21.py").write_text("raise SystemExit('was imported')", encoding="utf-8")
    return classroom


def rerun_of(classroom, lesson, right=(True, False, True)) -> Rerun:
    copy = classroom.copy("ada-quill")
    answers = tuple(classroom.lines("ada-quill", right))
    return Rerun(lesson, copy, answers, mark_lesson(lesson.plan, copy.seed, answers))


@pytest.fixture
def lesson_with(cells_of, save, tmp_path):
    """Return a function that adds a cell to the teacher's lesson."""

    def make(source: str, name: str = "changed.ipynb"):
        cells = cells_of()
        cells.insert(3, new_code_cell(source))
        return read_lesson(save(tmp_path / name, cells))

    return make


def test_same_marks_in_a_clean_folder(worked, lesson_with):
    told = []
    results = rerun_all([rerun_of(worked, lesson_with(CLEAN))], each=told.append)
    assert results[0].problems == ()
    assert told == list(results)
    check_agreement(results)


def test_other_marks_are_told_item_by_item(worked):
    honest = rerun_of(worked, worked.lesson)
    raised = rerun_of(worked, worked.lesson, (True, True, True))
    (result,) = rerun_all([Rerun(honest.lesson, honest.copy, honest.answers, raised.marked)])
    assert result.problems == ("first item 2: marked 1.0, in the notebook 0.0",)
    with pytest.raises(RerunError, match=r"disagrees for 1 of 1 students: ada-quill: first item 2: marked 1\.0"):
        check_agreement([result])
    marks = ClassMarks("x", "X", "", (), tuple(worked.marks().values()))
    after = with_rerun(marks, [result])
    assert after.students[0].problems[-1] == "re-run: first item 2: marked 1.0, in the notebook 0.0"
    assert after.students[0].points == marks.students[0].points


def test_a_notebook_that_cannot_finish_is_told_and_is_no_mark(worked, lesson_with, monkeypatch):
    """Case F11 of the published collection: loops, asks for input, exits."""
    monkeypatch.setattr(module, "CELL_TIMEOUT_S", 8)
    sources = {
        "while True: pass": "did not finish",
        "import os; os._exit(1)": "kernel",
        "input('name?')": "a cell of the notebook failed: StdinNotImplementedError",
        "1 / 0": "a cell of the notebook failed: ZeroDivisionError: division by zero",
        "def hidden(opened): opened.exercise('third', 'interval-by-ear', count=1)\nhidden(lesson)": "has the exercises",
    }
    lessons = [lesson_with(source, f"{number}.ipynb") for number, source in enumerate(sources)]
    results = rerun_all([rerun_of(worked, lesson) for lesson in lessons])
    for result, message in zip(results, sources.values(), strict=True):
        assert message in result.problems[0], result.problems
    with pytest.raises(RerunError, match="disagrees for 5 of 5 students"):
        check_agreement(results)
