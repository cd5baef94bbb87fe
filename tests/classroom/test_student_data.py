"""What is held of a student is given out whole and erased whole; tables go out and the teacher's come back."""

import csv
import io
import json
import zipfile

import pytest

from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.class_tables import export_tables, import_entries
from musictheory_nb.classroom.paper_answers import enter_paper
from musictheory_nb.classroom.student_data import erase_student, student_zip
from musictheory_nb.classroom.teacher_entry import (
    add_comment,
    ask_about_mark,
    open_questions,
    put_rubric_mark,
    reply_to,
)
from musictheory_nb.errors import ClassFileError

LESSON = "read-intervals"


@pytest.fixture
def file(classroom):
    with ClassFile.open(classroom.folder, who="teacher") as opened:
        yield opened


@pytest.fixture
def filled(file, classroom):
    put_rubric_mark(file, LESSON, "ada-quill", "first", 1, 1.5)
    add_comment(file, LESSON, "ada-quill", "=1+1 QUIXOTIC", exercise="first", item=1)
    reply_to(file, ask_about_mark(file, LESSON, "ada-quill", "Why?"), "Look at bar 3.")
    (classroom.folder / "paper.csv").write_text(
        "student,exercise,question,answer\nada-quill,first,1,P5\n", encoding="utf-8"
    )
    enter_paper(classroom.folder / "paper.csv", classroom.assignment, classroom.folder)
    return file


def read(path):
    with path.open(encoding="utf-8", newline="") as table:
        return list(csv.DictReader(table))


def test_entries_have_a_history_and_questions_wait_for_a_reply(file):
    assert put_rubric_mark(file, LESSON, "ada-quill", "first", 1, 1.5)
    assert not put_rubric_mark(file, LESSON, "ada-quill", "first", 1, 1.5)
    assert put_rubric_mark(file, LESSON, "ada-quill", "first", 1, 2)
    assert [one.after["points"] for one in file.history("rubric_mark")] == [1.5, 2.0]
    question = ask_about_mark(file, LESSON, "ada-quill", " Why? ")
    assert [row["text"] for row in open_questions(file, LESSON)] == ["Why?"]
    reply_to(file, question, "So.")
    assert not open_questions(file)


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda file: put_rubric_mark(file, LESSON, "ada-quill", "first", 1, float("nan")),
            "points nan; allowed: a number",
        ),
        (lambda file: put_rubric_mark(file, LESSON, "nobody", "first", 1, 1), "FOREIGN KEY"),
        (lambda file: put_rubric_mark(file, LESSON, "ada-quill", "first", 0, 1), "CHECK"),
        (lambda file: add_comment(file, LESSON, "ada-quill", " "), "text of 1 characters"),
        (lambda file: reply_to(file, "x", "y"), "question 'x' is not in"),
        (lambda file: student_zip(file, "nobody"), "student 'nobody' is not in"),
        (lambda file: erase_student(file, "nobody"), "student 'nobody' is not in"),
    ],
)
def test_what_is_not_there_is_refused(file, act, message):
    with pytest.raises(ClassFileError, match=message):
        act(file)


def test_tables_go_out_without_secrets_and_safe_for_spreadsheets(filled, tmp_path, classroom):
    written = export_tables(filled, tmp_path / "out")
    assert {path.name for path in written} >= {"student.csv", "copy.csv", "comment.csv", "change.csv"}
    assert read(tmp_path / "out" / "comment.csv")[0]["text"] == "'=1+1 QUIXOTIC"
    whole = b"".join(path.read_bytes() for path in written).decode("utf-8")
    assert classroom.assignment.class_key not in whole
    assert str(classroom.copy("ada-quill").seed) not in whole


def test_the_teachers_tables_come_back_into_a_class_file_made_anew(filled, tmp_path, classroom):
    """Everything but these is made again by handing out (the copies are there) and marking."""
    export_tables(filled, tmp_path / "out")
    names = ("rubric_mark", "comment", "question", "reply")
    before = {name: filled.rows(name) for name in names}
    for name in reversed(names):
        for row in before[name]:
            from musictheory_nb.classroom.class_schema import TABLES

            filled.remove(name, **{column: row[column] for column in TABLES[name].key})
    for name in names:
        assert import_entries(filled, name, tmp_path / "out" / f"{name}.csv") == 1
        assert import_entries(filled, name, tmp_path / "out" / f"{name}.csv") == 0
    assert {name: filled.rows(name) for name in names} == before


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("assignment,student\n", "no column 'exercise'; needed"),
        ("assignment,student,exercise,item,points,who,at,colour\n", "column 'colour'; allowed"),
        (
            "assignment,student,exercise,item,points,who,at\nread-intervals,ada-quill,first,1,many,t,now\n",
            "line 2: points 'many'",
        ),
        ("assignment,student,exercise,item,points,who,at\nread-intervals,zoe,first,1,1,t,now\n", "line 2: .*FOREIGN"),
        (
            "assignment,student,exercise,item,points,who,at\nread-intervals,ada-quill,first,1,nan,t,now\n",
            "line 2: points 'nan'",
        ),
    ],
)
def test_a_wrong_line_is_named_and_nothing_is_read(file, tmp_path, text, message):
    good = "read-intervals,ben-otu,first,1,1,t,now\n"
    path = tmp_path / "rubric_mark.csv"
    path.write_text(text + good, encoding="utf-8")
    with pytest.raises(ClassFileError, match=message):
        import_entries(file, "rubric_mark", path)
    assert file.rows("rubric_mark") == []
    with pytest.raises(ClassFileError, match="table 'mark'; allowed: rubric_mark"):
        import_entries(file, "mark", path)


def test_a_students_data_is_given_out_whole(filled):
    with zipfile.ZipFile(io.BytesIO(student_zip(filled, "ada-quill"))) as archive:
        whole = json.loads(archive.read("everything.json"))
        assert "paper/read-intervals.ada-quill.answers.jsonl" in archive.namelist()
        assert "QUIXOTIC" in archive.read("comment.csv").decode("utf-8")
    assert [row["text"] for row in whole["reply"]] == ["Look at bar 3."]
    assert whole["student"][0]["name"] == "Ada Quill"
    assert {change["table"] for change in whole["history"]} >= {"student", "copy", "comment", "rubric_mark"}
    assert "ben-otu" not in json.dumps(whole)


def test_an_erased_student_is_nowhere_in_the_file_and_the_rest_is_untouched(filled, classroom):
    ben = student_zip(filled, "ben-otu")
    count = len(filled.history())
    told = erase_student(filled, "ada-quill")
    assert "still there; take it away yourself" in told[1]
    data = (classroom.folder / "class.sqlite").read_bytes()
    for trace in (b"ada-quill", b"Ada Quill", b"ada@school.example", b"QUIXOTIC", b"bar 3"):
        assert trace not in data
    assert not list((classroom.folder / "class.paper").iterdir())
    assert filled.check() == ()
    assert len(filled.history()) > count  # that something was done, and when, stays
    assert student_zip(filled, "ben-otu") == ben
