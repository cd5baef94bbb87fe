"""A faulty key is corrected once and everybody is marked by it; what was asked cannot be changed so."""

import pytest

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.key_correction import correct_key
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ClassFileError, LessonError


@pytest.fixture
def corrected(classroom, cells_of, save):
    """Return a function that changes the text of the lesson and reads it again."""

    def change(*edits):
        cells = cells_of()
        for old, new in edits:
            assert old in cells[3]["source"] + cells[4]["source"]
            for cell in cells:
                cell["source"] = cell["source"].replace(old, new)
        return read_lesson(save(classroom.path, cells))

    return change


def points(classroom, lesson):
    assignment, _ = find_assignment("read-intervals", classroom.folder)
    marks = mark_class(lesson, assignment, classroom.folder)
    return {one.student.id: one.points for one in marks.students}, marks.problems


def test_everybody_is_marked_by_the_corrected_lesson_and_copies_stay(classroom, corrected):
    """The first exercise was to be worth 12 points: 3 of 4 right answers are 9; a next answer is read as before."""
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    before = classroom.notebook("ada-quill").read_bytes()
    lesson = corrected(("points=8", "points=12"))
    with ClassFile.open(classroom.folder) as file:
        done = correct_key(file, lesson, "typing error")
        assert done.copies == 3
        assert [change.after["reason"] for change in file.history("correction")] == ["typing error"]
        again = correct_key(file, lesson)
        assert again.copies == 0
    assert points(classroom, lesson) == ({"ada-quill": 9, "ben-otu": 0, "cy-lark": 0}, ())
    assert classroom.notebook("ada-quill").read_bytes() == before
    # a lost copy comes back as it was; a new student gets the corrected lesson
    classroom.notebook("ben-otu").unlink()
    old = [copy.student for copy in classroom.assignment.copies]
    hand_out(lesson, (*old, Student("dee-moss", "Dee")), classroom.folder)
    assert "points=8" in classroom.notebook("ben-otu").read_text(encoding="utf-8")
    assert "points=12" in (classroom.folder / "dee-moss" / "read-intervals.ipynb").read_text(encoding="utf-8")


def test_a_correction_is_taken_back_by_the_old_lesson(classroom, corrected):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True] * 4))
    with ClassFile.open(classroom.folder) as file:
        correct_key(file, corrected(("points=8", "points=12")))
        correct_key(file, classroom.lesson)
        assert file.rows("correction") == []
    assert points(classroom, classroom.lesson)[0]["ada-quill"] == 8


@pytest.mark.parametrize(
    ("edits", "message"),
    [
        ([("count=4", "count=5")], r"'first' asks 5 .* and 4 .* in the copies"),
        ([("'m3', ", "")], r"exercise 'first' item \d of '[a-z-]+' would ask something else"),
        ([("'second'", "'third'")], "exercise 'second' is gone"),
    ],
)
def test_another_question_is_no_correction(classroom, corrected, edits, message):
    lesson = corrected(*edits)
    with ClassFile.open(classroom.folder) as file:
        before = file.history()
        with pytest.raises(LessonError, match=message):
            correct_key(file, lesson)
        assert file.history() == before


def test_what_was_not_handed_out_cannot_be_corrected(classroom, tmp_path):
    with ClassFile.open(tmp_path, make=True) as file, pytest.raises(ClassFileError, match="was not handed out"):
        correct_key(file, classroom.lesson)
