"""Sealed copies: what goes out with them, what does not, and that they are marked as any other work.

That an answer is right is what music21 reads off the notes of the teacher's item (`conftest.Classroom.lines`).
"""

import importlib
import json
import random
import re
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from nbformat.v4 import new_code_cell

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.handout import Terms, hand_out
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
from musictheory_nb.classroom.rerun_task import rerun_class
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.sealing import sealed_exercise, sealed_item
from musictheory_nb.classroom.worker_pool import Workers
from musictheory_nb.errors import ClassroomError, ExerciseError
from musictheory_nb.practice.answer_record import RecordHeader
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES
from musictheory_nb.practice.record_file import RecordFile
from musictheory_nb.practice.sealed_exercise import SealedExercise, SealedLesson
from musictheory_nb.widgets.sealed_session import open_sealed

#: The samples of every family, with what may not be told before the answer.
PRACTICE = Path(__file__).parents[1] / "practice"
#: All that a sealed item holds, at any depth.
KEPT = {
    "prompt",
    "response",
    "sounds",
    "notation",
    "label",
    "wav",
    "measures",
    "starts_s",
    "first",
    "last",
    "svg",
    "text",
    "twin",
    "hearings",
}
SEALED = Terms(sealed=True)
CLASS = (Student("ada-quill", "Ada Quill"), Student("ben-otu", "Ben Otu"), Student("cy-lark", "Cy Lark"))


@pytest.fixture(scope="module")
def family_sample():
    sys.path.insert(0, str(PRACTICE))
    return importlib.import_module("family_sample")


@pytest.fixture
def sealed(classroom, tmp_path):
    """The class, to which the lesson was handed out sealed."""
    classroom.folder = tmp_path / "sealed"
    classroom.assignment = hand_out(classroom.lesson, CLASS, classroom.folder, terms=SEALED).assignment
    return classroom


def texts_of(item) -> list[str]:
    """All that can be read in a sealed item."""
    told = [item.prompt, *(step.label for step in item.response.steps)]
    for one in item.notation:
        told += [one.label, one.text, *re.findall(r"<(?:desc|title)[^>]*>([^<]*)<", one.svg)]
    return [*told, *(one.label for one in item.sounds)]


def names_in(data) -> set[str]:
    if isinstance(data, dict):
        return set(data) | {name for value in data.values() for name in names_in(value)}
    return {name for value in data for name in names_in(value)} if isinstance(data, list) else set()


@pytest.mark.parametrize(("kind", "version"), list(FAMILIES))
def test_no_family_tells_its_answer_in_a_sealed_item(family_sample, kind, version):
    module = family_sample.settings_of(kind)
    exercise, _ = family_sample.random_exercise(kind, version, random.Random(kind), family_sample.frozen_excerpts())
    item = exercise.item(3, 0)
    made = sealed_item(item)
    for pattern in module.forbidden(exercise, item):
        for text in texts_of(made):
            assert not re.search(pattern, text, re.MULTILINE), f"{pattern!r} is told by {text!r}"
    lesson = SealedLesson("demo", "ada-quill", (SealedExercise("one", "Title", version, (made,), "demo"),))
    data = lesson.to_bytes()
    assert SealedLesson.from_bytes(data) == lesson
    written = json.loads(data)["exercises"][0]["items"][0]
    assert names_in({name: value for name, value in written.items() if name != "response"}) <= KEPT
    text = json.dumps(written, ensure_ascii=False)
    assert item.explain not in text
    # no name in the picture is made of the music, from which it might be told
    assert all(f'id="one-0-{at}"' in one.svg for at, one in enumerate(made.notation))
    assert made.response == item.response


def test_notation_is_told_in_words_where_that_is_granted(classroom):
    item = classroom.lesson.plan.exercise("first").item(classroom.copy("ada-quill").seed, 0)
    pitches = [note.pitches[0] for note in item.media[0].excerpt.notes]
    words = [re.sub("b", "-flat ", pitch.replace("#", "-sharp ")) for pitch in pitches]
    for silent in (sealed_item(item), sealed_item(item, "hearing"), sealed_item(item, "withheld")):
        assert not [word for word in words for text in texts_of(silent) if word in text]
    (told,) = sealed_item(item, "sight").notation
    assert item.twin_text == told.text or all(word in told.text for word in words)


def test_what_sounds_is_shown_where_that_is_granted(classroom, tmp_path):
    item = Exercise("hear", "interval-by-ear", {"present": "sound"}, lesson="demo").item(1, 0)
    assert item.twin
    assert (len(sealed_item(item).notation), len(sealed_item(item).sounds), sealed_item(item).twin) == (0, 1, "")
    granted = sealed_item(item, "both")
    (seen,) = granted.notation
    assert "<svg" in seen.svg
    assert granted.twin == "hearing"  # it has no twin in place of sight, since it sounds


def test_a_twin_that_is_granted_is_recorded_with_the_answer(classroom, tmp_path):
    ada = replace(CLASS[0], settings=(("twin", "sight"),))
    folder = tmp_path / "twins"
    (copy,) = hand_out(classroom.lesson, (ada,), folder, terms=SEALED).assignment.copies
    home = folder / "ada-quill"
    session = open_sealed("read-intervals", student="ada-quill", seed=copy.ticket, folder=home)
    view = session.exercise("first")
    view.step_boxes[0].enter("choice", "P4")
    view.check()
    assert [line.twin for line in session.answers] == ["sight"]


def test_a_students_folder_holds_nothing_from_which_an_answer_follows(sealed):
    copy = sealed.copy("ada-quill")
    files = sorted(path.name for path in sealed.home("ada-quill").iterdir())
    assert files == ["read-intervals.ipynb", "read-intervals.sealed.json"]
    for name in files:
        text = (sealed.home("ada-quill") / name).read_text(encoding="utf-8")
        for secret in (
            str(copy.seed),
            sealed.assignment.class_key,
            copy.digest,
            "interval-by-ear",
            '"settings"',
            "partial",
        ):
            assert secret not in text, (name, secret)
    assert copy.ticket not in (None, copy.seed)
    assert f"SEED = {copy.ticket}" in sealed.notebook("ada-quill").read_text(encoding="utf-8")


def test_the_number_in_the_copy_draws_other_questions(sealed):
    """With the public package and the public lesson, the ticket gives other items than those that are asked."""
    exercise = sealed.lesson.plan.exercise("first")
    copy = sealed.copy("ada-quill")
    real = [exercise.item(copy.seed, index).media for index in range(4)]
    assert real != [exercise.item(copy.ticket, index).media for index in range(4)]
    assert len({one.ticket for one in sealed.assignment.copies}) == 3


def test_code_that_might_show_an_answer_stays_with_the_teacher(classroom, cells_of, save, tmp_path):
    cells = cells_of()
    cells.insert(3, new_code_cell("print('the answer is a tritone')"))
    lesson = read_lesson(save(tmp_path / "shown.ipynb", cells))
    done = hand_out(lesson, CLASS[:1], tmp_path / "shown", terms=SEALED)
    (path,) = (tmp_path / "shown" / "ada-quill").glob("*.ipynb")
    notebook = json.loads(path.read_text(encoding="utf-8"))
    sources = ["".join(cell["source"]) for cell in notebook["cells"] if cell["cell_type"] == "code"]
    assert sources[2:] == ['lesson.exercise("first")', 'lesson.exercise("second")', "lesson.hand_in()"]
    assert "open_sealed" in sources[1]
    assert done.remarks == (
        "1 code cells of the lesson are not in the sealed copies: they might show music or an answer",
    )


def test_answers_of_a_sealed_copy_are_marked_as_any_other(sealed):
    home = sealed.home("ada-quill")
    copy = sealed.copy("ada-quill")
    session = open_sealed("read-intervals", student="ada-quill", seed=copy.ticket, folder=home)
    for line in sealed.lines("ada-quill", [True, True, True, False]):
        view = session.exercise("first")
        view.show(line.index)
        view.step_boxes[0].enter("choice", line.answer["interval"]["choice"])
        assert view.check() is None
        assert view._feedback.headline == "Recorded."
        assert not any(widget.right for box in view.step_boxes for widget in box._widgets.values())
    marks = sealed.marks()
    assert (marks["ada-quill"].points, marks["ada-quill"].problems) == (6.0, ())  # 3 of 4 items, 8 points
    assert (marks["ben-otu"].points, marks["ben-otu"].problems) == (0.0, ())


def test_processes_mark_and_run_again_sealed_work(sealed):
    record = RecordFile(sealed.home("ada-quill"), RecordHeader("read-intervals", "ada-quill", ""))
    for line in sealed.lines("ada-quill", [True, True, False, False]):
        record.append(line)
    assignment, path = find_assignment("read-intervals", sealed.folder)
    assert assignment == sealed.assignment
    done = mark_assignment(MarkingOrder(sealed.lesson, assignment, path, sealed.folder, workers=Workers(2, few=0)))
    ada = next(one for one in done.marks.students if one.student.id == "ada-quill")
    assert (ada.points, ada.problems) == (4.0, ())
    (again,) = rerun_class(done.terms, done.works, Workers(1))
    assert (again.student, again.problems) == ("ada-quill", ())


def test_an_edited_sealed_file_raises_no_mark(sealed):
    """The inputs of the student's copy are the student's; those of the mark are the teacher's."""
    path = sealed.home("ada-quill") / "read-intervals.sealed.json"
    data = json.loads(path.read_text(encoding="utf-8"))
    for item in data["exercises"][0]["items"]:
        item["response"][0]["inputs"][0][1]["options"] = [{"value": "any", "label": "Any", "spoken": ""}] * 2
    path.write_text(json.dumps(data), encoding="utf-8")
    record = RecordFile(sealed.home("ada-quill"), RecordHeader("read-intervals", "ada-quill", ""))
    record.append(replace(sealed.lines("ada-quill", [True])[0], answer={"interval": {"choice": "any"}}))
    ada = sealed.marks()["ada-quill"]
    assert ada.points == 0
    assert any("any" in line for line in ada.problems)


def test_another_students_sealed_file_does_not_open(sealed):
    path = sealed.home("ada-quill") / "read-intervals.sealed.json"
    path.write_bytes((sealed.home("ben-otu") / path.name).read_bytes())
    with pytest.raises(ExerciseError, match=r"sealed file 'read-intervals.sealed.json' is of 'ben-otu'"):
        open_sealed("read-intervals", student="ada-quill", folder=sealed.home("ada-quill"))


@pytest.mark.parametrize("data", [b"", b"{", b"[]", b'{"format": 2}', b'{"format": 1}', b"[" * 100_000])
def test_a_damaged_sealed_file_is_one_plain_error(tmp_path, data):
    (tmp_path / "read-intervals.sealed.json").write_bytes(data)
    with pytest.raises(ExerciseError, match="sealed copy"):
        open_sealed("read-intervals", student="ada-quill", folder=tmp_path)


def test_twice_changes_nothing_and_a_lost_file_comes_back(sealed):
    before = {path: path.read_bytes() for path in sealed.folder.rglob("*.*")}
    lost = sealed.home("cy-lark") / "read-intervals.sealed.json"
    lost.unlink()
    hand_out(sealed.lesson, CLASS, sealed.folder)
    assert {path: path.read_bytes() for path in sealed.folder.rglob("*.*")} == before


def test_sealed_stays_sealed(classroom):
    with pytest.raises(ClassroomError, match="was handed out unsealed"):
        hand_out(classroom.lesson, CLASS, classroom.folder, terms=SEALED)


def test_sealing_is_the_same_every_time(classroom):
    exercise = classroom.lesson.plan.exercise("first")
    assert sealed_exercise(exercise, 5) == sealed_exercise(exercise, 5)
