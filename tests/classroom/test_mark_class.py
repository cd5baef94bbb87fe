"""Marks of honest work, against music21's reading of the intervals and arithmetic done by hand."""

from dataclasses import replace

import pytest

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.class_marks import confused_pairs
from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.hand_in import gather_submissions
from musictheory_nb.classroom.mark_class import mark_class, mark_student
from musictheory_nb.errors import ClassFileError, ClassroomError


def test_points_are_right_answers_over_items_times_points(classroom):
    # 3 of 4 items worth 8 points, 1 of 2 worth 1.5
    lines = classroom.lines("ada-quill", [True, False, True, True])
    lines += classroom.lines("ada-quill", [False, True], "second", start=10)
    classroom.record("ada-quill", lines)
    classroom.record("ben-otu", classroom.lines("ben-otu", [True, True]))
    marks = classroom.marks()
    assert marks["ada-quill"].points == pytest.approx(6 + 0.75)
    assert [one.points for one in marks["ada-quill"].exercises] == pytest.approx([6, 0.75])
    assert (marks["ada-quill"].answered, marks["ada-quill"].asked) == (6, 6)
    assert marks["ben-otu"].points == pytest.approx(4)
    assert marks["ben-otu"].exercises[0].scores == (1.0, 1.0, None, None)
    assert (marks["cy-lark"].answered, marks["cy-lark"].points) == (0, 0)
    assert not any(one.problems or one.notes for one in marks.values())


def test_notebook_alone_gets_the_same_marks(classroom):
    lines = classroom.lines("ada-quill", [True, False, True, True])
    record = classroom.record("ada-quill", lines)
    before = classroom.marks()["ada-quill"]
    record.unlink()
    classroom.embed("ada-quill", lines)
    assert classroom.marks()["ada-quill"] == before


def test_record_alone_gets_the_same_marks(classroom):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, False, True, True]))
    before = classroom.marks()["ada-quill"]
    classroom.notebook("ada-quill").unlink()
    assert classroom.marks()["ada-quill"] == before


def test_record_and_notebook_are_merged_by_answer(classroom):
    lines = classroom.lines("ada-quill", [True, False, True, True])
    classroom.record("ada-quill", lines[:3])
    classroom.embed("ada-quill", lines[1:])
    assert classroom.marks()["ada-quill"].exercises[0].scores == (1.0, 0.0, 1.0, 1.0)
    assert not classroom.marks()["ada-quill"].problems


def test_renamed_and_second_copies_are_found_by_what_they_say(classroom):
    lines = classroom.lines("ada-quill", [True, False, True, True])
    record = classroom.record("ada-quill", lines[:2])
    record.rename(record.with_name("answers (1).jsonl"))
    classroom.embed("ada-quill", lines[2:])
    classroom.notebook("ada-quill").rename(classroom.home("ada-quill") / "my homework.ipynb")
    one = classroom.marks()["ada-quill"]
    assert one.exercises[0].scores == (1.0, 0.0, 1.0, 1.0)
    assert (one.problems, one.notes) == ((), ("answers (1).jsonl was read too", "my homework.ipynb was read too"))


def test_other_lessons_in_the_same_folder_are_left_in_peace(classroom):
    home = classroom.home("ada-quill")
    other = classroom.notebook("ada-quill").read_text(encoding="utf-8").replace("read-intervals", "another-lesson")
    (home / "another-lesson.ipynb").write_text(other, encoding="utf-8")
    header = '{"digest":"","format":1,"lesson":"another-lesson","student":"ada-quill"}\n'
    (home / "another-lesson.ada-quill.answers.jsonl").write_text(header, encoding="utf-8")
    assert (classroom.marks()["ada-quill"].problems, classroom.marks()["ada-quill"].notes) == ((), ())


def test_first_answer_to_an_item_counts(classroom):
    right, wrong = (classroom.lines("ada-quill", [is_right], start=at) for is_right, at in ((True, 5), (False, 3)))
    classroom.record("ada-quill", [*right, *wrong])
    one = classroom.marks()["ada-quill"]
    assert one.exercises[0].scores[0] == 0.0
    assert one.notes == ("1 later answers to items already answered; the first of each counts",)


def test_an_item_that_has_no_mark_because_its_answer_cannot_be_read_is_for_the_teacher_to_see(classroom):
    """In the table too, where nothing would show it but a missing point."""
    lines = classroom.lines("ada-quill", [True, True], start=3)
    classroom.record("ada-quill", [replace(lines[0], answer={"interval": {"choice": {"x": 1}}}), lines[1]])
    one = classroom.marks()["ada-quill"]
    assert one.exercises[0].scores[:2] == (None, 1.0)
    (problem,) = one.problems
    assert "item 1" in problem
    assert "the item has no mark" in problem


def test_wrong_answers_are_counted_as_pairs(classroom):
    """Each student misses the first item: right is music21's reading, answered the first other interval."""
    for student in ("ada-quill", "ben-otu"):
        classroom.record(student, classroom.lines(student, [False, True]))
    pairs = confused_pairs(classroom.marks().values())
    assert sum(pair.times for pair in pairs) == 2
    assert all(pair.exercise == "first" for pair in pairs)
    assert confused_pairs(classroom.marks().values(), "second") == ()


def test_late_answers_are_counted_and_count(classroom):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True]))  # at 10:00:00, :01 and :02 UTC
    version = classroom.lesson
    copy = classroom.copy("ada-quill")
    from musictheory_nb.classroom.mark_class import Version

    due = DueTime("2026-03-02T10:00:01Z", "2026-03-02 11:00:01 Europe/Berlin")
    submissions = gather_submissions(classroom.folder, classroom.assignment)
    one = mark_student(submissions, Version(version.plan, version.exercise_sources()), copy, due).marks
    assert (one.after_due, one.points) == (1, 6)


def test_class_mean_is_over_those_who_answered(classroom):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True] * 4))
    classroom.record("ben-otu", classroom.lines("ben-otu", [True, True, False, False]))
    marks = mark_class(classroom.lesson, classroom.assignment, classroom.folder)
    assert marks.mean_score("first") == pytest.approx((1 + 0.5) / 2)
    assert marks.mean_score() == pytest.approx((8 + 4) / 2 / 9.5)
    assert marks.mean_score("second") is None


def test_what_belongs_to_nobody_is_named(classroom, tmp_path):
    (classroom.folder / "zoe-nobody").mkdir()
    (classroom.folder / "a-link").symlink_to(tmp_path)
    marks = mark_class(classroom.lesson, classroom.assignment, classroom.folder)
    assert marks.problems == (
        "a-link is a link; it was not followed",
        "the folder zoe-nobody is of no student in the class file; it was not marked",
    )


def test_class_file_is_looked_for_in_the_folder_or_where_it_is_said_to_be(classroom, tmp_path):
    usual = classroom.folder / "class.sqlite"
    assert find_assignment("read-intervals", classroom.folder) == (classroom.assignment, usual)
    away = tmp_path / "away"
    away.mkdir()
    usual.rename(away / usual.name)
    for place in (away, away / usual.name):
        assert find_assignment("read-intervals", place) == (classroom.assignment, away / usual.name)
    with pytest.raises(ClassFileError, match="there is none; it is made by: musictheory-nb handout"):
        find_assignment("read-intervals", classroom.folder)


@pytest.mark.parametrize("name", ["read-intervals.manifest.json", "class.sqlite", "class.paper"])
def test_class_file_among_submissions_is_not_believed(classroom, tmp_path, name):
    away = tmp_path / "class.sqlite"
    (classroom.folder / "class.sqlite").rename(away)
    (classroom.folder / name).write_text("{}", encoding="utf-8")
    assignment, path = find_assignment("read-intervals", away)
    marks = mark_class(classroom.lesson, assignment, classroom.folder, own=[path], beside=tmp_path)
    assert marks.problems == (f"{name} lies among the submissions; it was not believed",)


def test_the_teachers_own_folder_of_marks_is_no_stranger(classroom):
    (classroom.folder / "marks").mkdir()
    assignment, path = find_assignment("read-intervals", classroom.folder)
    assert len(mark_class(classroom.lesson, assignment, classroom.folder, own=[path]).problems) == 1
    own = [path, classroom.folder / "marks"]
    assert not mark_class(classroom.lesson, assignment, classroom.folder, own=own).problems


def test_a_lesson_that_was_not_handed_out_is_refused(classroom):
    with pytest.raises(ClassFileError, match="'other' was not handed out; handed out: read-intervals"):
        find_assignment("other", classroom.folder)


def test_missing_class_folder_is_one_plain_error(classroom, tmp_path):
    with pytest.raises(ClassroomError, match="cannot be opened"):
        mark_class(classroom.lesson, classroom.assignment, tmp_path / "nowhere")


def test_a_fault_of_ours_costs_one_student_and_is_shown(classroom, monkeypatch):
    from musictheory_nb.classroom import mark_class as module

    classroom.record("ben-otu", classroom.lines("ben-otu", [True]))
    real = module.mark_lesson

    def broken(plan, seed, answers):
        if seed == classroom.copy("ada-quill").seed:
            raise ZeroDivisionError("ours")
        return real(plan, seed, answers)

    monkeypatch.setattr(module, "mark_lesson", broken)
    marks = classroom.marks()
    assert marks["ada-quill"].failed
    assert "ZeroDivisionError: ours" in marks["ada-quill"].problems[0]
    assert marks["ben-otu"].points == 2
