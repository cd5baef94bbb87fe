"""An open lesson: what is recorded, restored, refused, and what a preview leaves alone.

Right answers come from the item that is asked; that they deserve a full mark is the definition of one.
"""

import json
import re

import pytest

from musictheory_nb.errors import ExerciseError, RecordError
from musictheory_nb.practice.answer_record import RecordHeader, read_record
from musictheory_nb.practice.embedded_record import ANSWERS_MIME, MARKS_MIME
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.widgets.lesson_session import LessonSession, open_lesson

STUDENT = "ines-orta"
RECORD = "demo.ines-orta.answers.jsonl"


def opened(folder, student: str = STUDENT, seed: int = 7) -> LessonSession:
    return open_lesson("demo", student=student, seed=seed, folder=folder)


def exercise(lesson: LessonSession, id: str = "hear", count: int = 3):
    return lesson.exercise(id, "interval-by-ear", count=count, points=count)


def enter_right(view) -> None:
    for box in view.step_boxes:
        (choice, *_) = view.item.solution[box.step.id]["choice"]
        box.enter("choice", choice)


def test_an_answer_is_on_the_disk_before_the_student_is_told(tmp_path, monkeypatch):
    view = exercise(opened(tmp_path))
    enter_right(view)
    on_disk_when_told = []
    real = view._feedback.tell

    def tell(*told, **how):
        on_disk_when_told.append(len(read_record((tmp_path / RECORD).read_bytes()).answers))
        real(*told, **how)

    monkeypatch.setattr(view._feedback, "tell", tell)
    assert view.check().score == 1
    assert on_disk_when_told == [1]


def test_an_incomplete_answer_is_not_recorded_and_says_what_is_missing(tmp_path):
    view = exercise(opened(tmp_path))
    assert view.check() is None
    assert view._feedback.headline == "Not answered yet."
    assert not (tmp_path / RECORD).exists()


def test_the_end_of_an_exercise_is_said_to_a_screen_reader(tmp_path):
    view = exercise(opened(tmp_path), count=2)
    for _ in range(2):
        assert "are answered" not in view._actions.news
        enter_right(view)
        view.check()
        view._act("next")
    assert view._actions.news == "All 2 questions of this exercise are answered."


def test_an_item_is_answered_once(tmp_path):
    lesson = opened(tmp_path)
    view = exercise(lesson)
    enter_right(view)
    view.check()
    assert view.check() is None
    assert len(lesson.answers) == 1


def test_running_the_cell_again_keeps_what_was_answered(tmp_path):
    lesson = opened(tmp_path)
    first = exercise(lesson)
    enter_right(first)
    first.check()
    again = exercise(lesson)
    assert again.index == 1
    again.show(0)
    assert again._feedback.verdict == "right"
    assert first.comm is None  # the old one is closed


def test_a_restart_restores_every_answer(tmp_path):
    view = exercise(opened(tmp_path))
    for _ in range(2):
        enter_right(view)
        view.check()
        view._act("next")
    lesson = opened(tmp_path)
    view = exercise(lesson)
    assert view.index == 2
    assert lesson.marked().answered == 2


def test_a_notebook_that_came_alone_brings_its_answers_back(tmp_path):
    """Without this, running the hand-in cell of a notebook moved to another computer would store nothing over them."""
    lesson = opened(tmp_path / "school", STUDENT) if (tmp_path / "school").mkdir() is None else None
    view = exercise(lesson)
    enter_right(view)
    view.check()
    bundle = lesson.hand_in().bundle()
    home = tmp_path / "home"
    home.mkdir()
    cell = {"cell_type": "code", "outputs": [{"output_type": "display_data", "data": bundle, "metadata": {}}]}
    (home / "copy of demo.ipynb").write_text(json.dumps({"cells": [cell]}), encoding="utf-8")
    moved = opened(home)
    assert moved.answers == lesson.answers
    assert read_record((home / RECORD).read_bytes()).answers == lesson.answers
    assert exercise(moved).index == 1


def test_a_notebook_of_another_student_is_left_alone(tmp_path):
    header = {"format": 1, "lesson": "demo", "student": "tom-auer", "digest": ""}
    data = {ANSWERS_MIME: {"header": header, "answers": []}}
    cell = {"cell_type": "code", "outputs": [{"data": data}]}
    (tmp_path / "other.ipynb").write_text(json.dumps({"cells": [cell]}), encoding="utf-8")
    assert opened(tmp_path).answers == ()


def test_a_record_that_names_somebody_else_is_refused(tmp_path):
    (tmp_path / RECORD).write_text(RecordHeader("demo", "tom-auer").line(), encoding="utf-8")
    with pytest.raises(RecordError, match="tom-auer"):
        opened(tmp_path)


def test_a_torn_record_is_read_and_told_in_the_last_cell(tmp_path):
    view = exercise(opened(tmp_path))
    enter_right(view)
    view.check()
    whole = (tmp_path / RECORD).read_bytes()
    (tmp_path / RECORD).write_bytes(whole + whole.splitlines(keepends=True)[1][:30])
    lesson = opened(tmp_path)
    exercise(lesson)
    assert "last line is incomplete" in lesson.hand_in().bundle()["text/plain"]
    assert lesson.marked().answered == 1


def test_a_preview_writes_nothing_and_stores_nothing(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    lesson = open_lesson("demo", seed=7)
    view = exercise(lesson)
    enter_right(view)
    assert view.check().score == 1
    assert list(tmp_path.iterdir()) == []
    bundle = lesson.hand_in().bundle()
    assert set(bundle) == {"text/plain", "text/html"}
    assert "would hand in 3 answers" in bundle["text/plain"]


def test_the_last_cell_counts_and_carries(tmp_path):
    lesson = opened(tmp_path)
    view = exercise(lesson)
    enter_right(view)
    view.check()
    bundle = lesson.hand_in().bundle()
    assert bundle["text/plain"].startswith("1 of 3 answers are in this notebook.")
    assert [row["index"] for row in bundle[ANSWERS_MIME]["answers"]] == [0]
    assert bundle[MARKS_MIME] == {"hear": [1.0, None, None]}


def test_two_windows_on_one_lesson_lose_nothing(tmp_path):
    one, other = opened(tmp_path), opened(tmp_path)
    first, second = exercise(one), exercise(other)
    second.show(1)
    for view in (first, second):
        enter_right(view)
        view.check()
    assert opened(tmp_path).answers[-1].index == 1
    assert len(opened(tmp_path).answers) == 2


def test_a_failing_disk_is_shown_and_raised_and_the_item_stays_open(tmp_path, monkeypatch):
    lesson = opened(tmp_path)
    view = exercise(lesson)
    enter_right(view)

    def refuse(_line):
        raise RecordError("the record cannot be written: No space left on device")

    monkeypatch.setattr(lesson._file, "append", refuse)
    with pytest.raises(RecordError):
        view._actions.press("check")
    assert "No space left" in view._actions.problem
    assert view._feedback.headline == ""
    monkeypatch.undo()
    view._actions.press("check")
    assert lesson.marked().answered == 1


def test_music_that_is_not_what_was_frozen_is_refused(tmp_path):
    data = Excerpt.melody(["B3", "F4"]).to_data()
    lesson = opened(tmp_path)
    with pytest.raises(ExerciseError, match="not what was frozen"):
        lesson.excerpt("two", json.dumps(data), digest="sha256:" + "0" * 64)
    lesson.excerpt("two", json.dumps(data), digest=Excerpt.from_data(data).digest)
    assert lesson.music("two").notes[0].pitches == ("B3",)
    with pytest.raises(ExerciseError, match="this lesson has: two"):
        lesson.music("three")


@pytest.mark.parametrize(
    ("parameters", "said"),
    [
        ({"lesson": "My lesson"}, "My lesson"),
        ({"student": "Inés"}, "Inés"),
        ({"seed": -1}, "-1"),
        ({"seed": "7"}, "'7'"),
        ({"seed": True}, "True"),
    ],
)
def test_a_parameter_that_cannot_be_is_refused_and_quoted(tmp_path, parameters, said):
    with pytest.raises(ExerciseError, match=said):
        open_lesson(**{"lesson": "demo", "folder": tmp_path, **parameters})


def test_the_stand_in_tells_what_was_answered(tmp_path):
    view = exercise(opened(tmp_path))
    assert view._bundle()["text/plain"] == (
        "Intervals by ear: 3 questions. Run this cell (Shift+Enter) to answer them."
    )
    enter_right(view)
    view.check()
    told = view._bundle()
    assert "1 of 3 questions answered" in told["text/plain"]
    assert "Right." in told["text/html"]


def test_an_answer_given_in_a_view_from_before_the_lesson_was_opened_again_is_counted_and_carried(tmp_path):
    """The set-up cell run again in the middle: what the exercise on the screen records must not be missing at the end."""
    old = exercise(opened(tmp_path))
    lesson = opened(tmp_path)
    enter_right(old)
    old.check()
    bundle = lesson.hand_in().bundle()
    assert [row["index"] for row in bundle[ANSWERS_MIME]["answers"]] == [0]
    assert bundle["text/plain"].startswith("1 answer is in this notebook.")
    assert "have not been run since the lesson was opened: hear." in bundle["text/plain"]
    again = exercise(lesson)
    assert again.index == 1
    assert lesson.hand_in().bundle()["text/plain"].startswith("1 of 3 answers are in this notebook.")


def test_an_item_answered_in_another_window_is_not_answered_twice(tmp_path):
    one, other = opened(tmp_path), opened(tmp_path)
    first, second = exercise(one), exercise(other)
    enter_right(first)
    first.check()
    right = {box.step.id: box.value for box in first.step_boxes}
    for box in second.step_boxes:
        options = [option.value for option in box.step.inputs[0].options]
        box.enter(
            "choice", next(value for value in options if value not in second.item.solution[box.step.id]["choice"])
        )
    assert second.check() is None
    assert second._feedback.verdict == "right"
    assert "in another window" in " ".join(second._feedback.lines)
    assert {box.step.id: box.value for box in second.step_boxes} == right
    assert len(opened(tmp_path).answers) == 1
    assert other.answers == one.answers


def test_a_record_that_was_taken_away_while_the_lesson_is_open_is_written_again(tmp_path):
    lesson = opened(tmp_path)
    view = exercise(lesson)
    enter_right(view)
    view.check()
    (tmp_path / RECORD).unlink()
    view._act("next")
    enter_right(view)
    view.check()
    assert read_record((tmp_path / RECORD).read_bytes()).answers == lesson.answers
    assert len(lesson.answers) == 2


def test_the_last_cell_run_first_promises_nothing(tmp_path):
    told = opened(tmp_path).hand_in().bundle()["text/plain"]
    assert told.startswith("No answers are in this notebook.")
    assert "Run All Cells" in told
    assert "All answered" not in told


def test_all_answered_names_the_exercises_that_it_speaks_of(tmp_path):
    """Cells run out of order: an exercise whose cell has not been run cannot be counted, and is seen to be missing."""
    lesson = opened(tmp_path)
    view = exercise(lesson, count=1)
    enter_right(view)
    view.check()
    assert "All answered, in every exercise whose cell has been run: hear." in lesson.hand_in().bundle()["text/plain"]


def test_an_answer_that_was_edited_into_nonsense_may_be_given_again_as_the_grader_reads_it(tmp_path):
    """Marking counts the earliest answer that can be read: the exercise on the screen must not lock the student out."""
    lesson = opened(tmp_path)
    view = exercise(lesson)
    enter_right(view)
    view.check()
    path = tmp_path / RECORD
    path.write_text(
        re.sub(r'"answer":\{[^}]*\}\}', '"answer":{"x":{"y":1}}', path.read_text(encoding="utf-8")), encoding="utf-8"
    )
    lesson = opened(tmp_path)
    view = exercise(lesson)
    assert view.index == 0
    assert view._feedback.headline == ""
    enter_right(view)
    assert view.check().score == 1
    assert lesson.marked().answered == 1


def test_after_marking_only_the_way_that_was_taken_is_shown(tmp_path):
    view = opened(tmp_path).exercise("write", "interval-writing", count=1, settings={"fingerboard": "guitar"})
    (box,) = view.step_boxes
    assert {child.layout.display for child in box.children} == {None}
    box.enter("symbol", "Cb")
    view.check()
    shown = [child for child in box.children if child.layout.display != "none"]
    assert [type(child).__name__ for child in shown] == ["HTML", "SymbolField"]
