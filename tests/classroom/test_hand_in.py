"""Hand-ins wherever they lie: found by what they say they are; the newest counts; every trick of a zip is one line.

Forms of zips: PKWARE APPNOTE 6.3.10 (flags, external attributes, end of the table of contents), as Python's `zipfile` writes them.
"""

import json
import random
import shutil

import pytest
from zip_tricks import TRICKS, contents, zipped

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.hand_in import gather_submissions
from musictheory_nb.classroom.handout import Terms, hand_out
from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.classroom.roster import Student
from musictheory_nb.practice.answer_record import RecordHeader

RIGHT = [True, True, True, False]  # 6 of 8 points


@pytest.fixture
def worked(classroom):
    """Ada has answered, in a record and a saved notebook."""
    lines = classroom.lines("ada-quill", RIGHT)
    classroom.record("ada-quill", lines)
    classroom.embed("ada-quill", lines)
    return classroom


def in_a_folder(folder, home):
    home.rename(folder / "Quill, Ada 4711")


def in_a_nested_folder(folder, home):
    (folder / "download").mkdir()
    home.rename(folder / "download" / "hand-in 1")


def in_a_zip(folder, home):
    (folder / "hw (1).zip").write_bytes(zipped(*contents(home)))
    shutil.rmtree(home)


def in_a_folder_in_a_zip(folder, home):
    (folder / "hw.zip").write_bytes(zipped(*((f"my work/{name}", data) for name, data in contents(home))))
    shutil.rmtree(home)


def in_a_zip_in_a_zip(folder, home):
    (folder / "all.zip").write_bytes(zipped(("ada.zip", zipped(*contents(home)))))
    shutil.rmtree(home)


def the_notebook_alone(folder, home):
    (home / "read-intervals.ipynb").rename(folder / "copy of homework.ipynb")
    shutil.rmtree(home)


def twice(folder, home):
    shutil.copytree(home, folder / "Ada again")


def in_a_zip_in_the_own_folder(folder, home):
    data = zipped(*contents(home))
    shutil.rmtree(home)
    home.mkdir()
    (home / "homework.ZIP").write_bytes(data)


WAYS = [
    in_a_folder, in_a_nested_folder, in_a_zip, in_a_folder_in_a_zip, in_a_zip_in_a_zip, the_notebook_alone, twice,
    in_a_zip_in_the_own_folder,
]  # fmt: skip


@pytest.mark.parametrize("way", WAYS)
def test_found_by_the_identity_inside(worked, way):
    way(worked.folder, worked.home("ada-quill"))
    marks = mark_class(worked.lesson, worked.assignment, worked.folder)
    (ada, *others) = marks.students
    assert (ada.points, ada.problems, marks.problems) == (6, (), ())
    assert [one.points for one in others] == [0, 0]


def test_a_zip_of_the_whole_class_is_marked(worked, tmp_path):
    worked.record("ben-otu", worked.lines("ben-otu", [True] * 4))
    names = [path for path in sorted(worked.folder.rglob("*")) if path.is_file() and path.suffix != ".sqlite"]
    data = zipped(*((path.relative_to(worked.folder).as_posix(), path.read_bytes()) for path in names))
    (tmp_path / "downloads.zip").write_bytes(data)
    marks = mark_class(worked.lesson, worked.assignment, tmp_path / "downloads.zip")
    assert [one.points for one in marks.students] == [6, 8, 0]
    assert marks.problems == ()


def test_the_newest_of_two_works_counts_and_the_other_is_told(worked):
    """Ada began anew on another computer, a minute later, and did better."""
    later = worked.folder / "from home"
    later.mkdir()
    lines = worked.lines("ada-quill", [True] * 4, start=40)
    lines = [type(one)(**{**one.__dict__, "index": at}) for at, one in enumerate(lines)]
    content = json.loads(worked.notebook("ada-quill").read_text(encoding="utf-8"))
    from musictheory_nb.practice.embedded_record import ANSWERS_MIME, embedded_answers

    content["cells"][-1]["outputs"][0]["data"][ANSWERS_MIME] = embedded_answers(worked.header("ada-quill"), lines)
    (later / "hw.ipynb").write_text(json.dumps(content), encoding="utf-8")
    one = worked.marks()["ada-quill"]
    assert one.points == 8
    (line,) = one.problems
    assert "read-intervals.ada-quill.answers.jsonl and read-intervals.ipynb: other answers to the same items" in line
    assert "the newer ones in from home/hw.ipynb count" in line


def test_nobody_can_hand_in_for_another(worked):
    """Ben puts a notebook and a record in Ada's name among the files, with later and wrong answers: Ada's own stand."""
    lines = [
        type(one)(**{**one.__dict__, "time": "2026-03-09T10:00:00.000Z"})
        for one in worked.lines("ada-quill", [False] * 4, start=60)
    ]
    lines = [type(one)(**{**one.__dict__, "index": at}) for at, one in enumerate(lines)]
    header = RecordHeader("read-intervals", "ada-quill", worked.copy("ada-quill").digest)
    record = "".join([header.line(), *(one.line() for one in lines)])
    notebook = worked.notebook("ben-otu").read_text(encoding="utf-8").replace("ben-otu", "ada-quill")
    (worked.folder / "x").mkdir()
    (worked.folder / "x" / "a.jsonl").write_text(record, encoding="utf-8")
    (worked.folder / "x" / "a.ipynb").write_text(notebook, encoding="utf-8")
    (worked.home("ben-otu") / "a.jsonl").write_text(record, encoding="utf-8")
    marks = worked.marks()
    assert marks["ada-quill"].points == 6
    assert any("says its seed is" in line for line in marks["ada-quill"].problems)
    assert any("answers that say they are of 'ada-quill'" in line for line in marks["ben-otu"].problems)


def test_what_only_says_whose_it_is_counts_where_there_is_nothing_else_and_is_told(worked):
    record = worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl"
    record.rename(worked.folder / "answers.jsonl")
    shutil.rmtree(worked.home("ada-quill"))
    one = worked.marks()["ada-quill"]
    assert (one.points, one.problems) == (6, ("answers.jsonl: nothing but the file itself says whose it is",))


@pytest.mark.filterwarnings("ignore:Duplicate name")
@pytest.mark.parametrize(("trick", "message"), TRICKS)
def test_a_trick_of_a_zip_is_one_line(worked, tmp_path, trick, message):
    home = worked.home("ada-quill")
    before = {path for path in tmp_path.rglob("*") if path.is_file()}
    (home / "hw.zip").write_bytes(trick(home))
    one = worked.marks()["ada-quill"]
    assert (one.points, one.failed, len(one.problems)) == (6, False, 1), one.problems
    assert message in one.problems[0]
    assert {path for path in tmp_path.rglob("*") if path.is_file()} == before | {home / "hw.zip"}


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_an_entry_that_stands_twice_is_read_once(worked):
    (worked.home("ada-quill") / "hw.zip").write_bytes(zipped(("a.ipynb", b"{}"), ("A.ipynb", b"[]")))
    one = worked.marks()["ada-quill"]
    assert (one.points, len(one.problems)) == (6, 2)
    assert "'A.ipynb' stands in it twice; only the first was read" in one.problems[0]


def test_zips_changed_at_random_places_never_raise_and_never_change_a_mark(worked):
    draw = random.Random(3)
    whole = zipped(*contents(worked.home("ada-quill")))
    for _ in range(60):
        data = bytearray(whole)
        for _ in range(draw.randint(1, 12)):
            data[draw.randrange(len(data))] = draw.randrange(256)
        (worked.home("ada-quill") / "hw.zip").write_bytes(data)
        one = worked.marks()["ada-quill"]
        assert (one.points, one.failed) == (6, False)


def test_fingerprint_changes_with_what_is_handed_in_and_with_nothing_else(worked):
    def now(student="ada-quill"):
        submissions = gather_submissions(worked.folder, worked.assignment)
        copy = worked.copy(student)
        read = submissions.of(copy, worked.lesson.exercise_sources())
        assert submissions.fingerprint(copy) == read.fingerprint
        return read.fingerprint

    first, ben = now(), now("ben-otu")
    assert now() == first
    with worked.record("ada-quill", []).open("ab") as file:
        file.write(b"\n")
    second = now()
    (worked.folder / "more").mkdir()
    shutil.copy(worked.notebook("ada-quill"), worked.folder / "more" / "a.ipynb")
    assert len({first, second, now()}) == 3
    assert now("ben-otu") == ben


def test_one_hand_in_of_a_group_counts_for_all_its_members(classroom, tmp_path):
    students = tuple(
        Student(id, id.title(), group=group) for id, group in (("ann", "trio"), ("bo", "trio"), ("cy", ""))
    )
    folder = tmp_path / "groups"
    assignment = hand_out(classroom.lesson, students, folder, terms=Terms(together=True)).assignment
    seeds = {copy.student.id: copy.seed for copy in assignment.copies}
    assert seeds["ann"] == seeds["bo"] != seeds["cy"]
    classroom.folder, classroom.assignment = folder, assignment
    classroom.record("bo", classroom.lines("bo", RIGHT))
    marks = classroom.marks()
    assert [marks[id].points for id in ("ann", "bo", "cy")] == [6, 6, 0]
    assert marks["ann"].notes == ("handed in for the group trio by bo",)
    assert find_assignment("read-intervals", folder)[0] == assignment


def test_the_work_of_a_whole_year_lies_in_one_folder(classroom):
    """Sixty other lessons beside this one: nothing to remark, and their work is not read for this one."""
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    before = classroom.marks()["ada-quill"]
    for number in range(60):
        header = RecordHeader(f"lesson-{number}", "ada-quill", "")
        (classroom.home("ada-quill") / f"lesson-{number}.ada-quill.answers.jsonl").write_text(header.line(), "utf-8")
        (classroom.home("ada-quill") / f"lesson-{number}.ipynb").write_text('{"cells": []}', "utf-8")
    after = classroom.marks()["ada-quill"]
    assert (after.points, after.problems, after.notes) == (before.points, (), before.notes)
