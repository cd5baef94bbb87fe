"""Everything under a student's folder is hostile: one line each, no effect on a mark, nothing run, nothing followed."""

import json
import os
import sys

import pytest

from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.practice.answer_record import RecordHeader

RIGHT = [True, True, True, False]  # 6 of 8 points


@pytest.fixture
def worked(classroom):
    """Ada has answered; 6 points, nothing to report."""
    classroom.record("ada-quill", classroom.lines("ada-quill", RIGHT))
    classroom.record("ben-otu", classroom.lines("ben-otu", RIGHT))
    return classroom


def lines_of(classroom, student="ada-quill"):
    return classroom.marks()[student].problems


def check_untouched(classroom, *, message):
    """Ada's marks are what her answers deserve, one line says what was found, and Ben's are as they were."""
    marks = classroom.marks()
    assert marks["ada-quill"].points == pytest.approx(6)
    assert not marks["ada-quill"].failed
    assert [line for line in marks["ada-quill"].problems if message in line], marks["ada-quill"].problems
    assert len(marks["ada-quill"].problems) == 1
    assert (marks["ben-otu"].points, marks["ben-otu"].problems) == (6, ())


BESIDE = [
    ("music21.py", "music21.py lies beside the notebook; it was neither run nor imported"),
    ("json.py", "json.py lies beside the notebook"),
    ("sitecustomize.py", "sitecustomize.py lies beside the notebook"),
    ("musictheory_nb.pyc", "musictheory_nb.pyc lies beside the notebook"),
    ("x.pth", "x.pth lies beside the notebook"),
    ("handed in.zip", "handed in.zip is no zip, or its end is missing"),
    ("handed in.7z", "was not unpacked"),
    ("class.sqlite", "was not believed"),
    ("read-intervals.manifest.json", "was not believed"),
]


@pytest.mark.parametrize(("name", "message"), BESIDE)
def test_module_beside_the_notebook_is_a_line(worked, name, message):
    (worked.home("ada-quill") / name).write_text("raise SystemExit('was imported')", encoding="utf-8")
    check_untouched(worked, message=message)


@pytest.mark.parametrize("name", ["music21", "musictheory_nb"])
def test_package_beside_the_notebook_is_a_line(worked, name):
    folder = worked.home("ada-quill") / name
    folder.mkdir()
    (folder / "__init__.py").write_text("raise SystemExit('was imported')", encoding="utf-8")
    check_untouched(worked, message=f"the folder {name} lies beside the notebook; nothing in it was read")


def edit_source(classroom, old, new):
    def change(content):
        for cell in content["cells"]:
            cell["source"] = [line.replace(old, new) for line in cell["source"]]

    classroom.edit_notebook("ada-quill", change)


def test_changed_seed_is_a_line(worked):
    seed = worked.copy("ada-quill").seed
    edit_source(worked, f"SEED = {seed}", "SEED = 7")
    check_untouched(worked, message=f"says its seed is 7; the teacher's was used, {seed}")


@pytest.mark.parametrize(
    ("old", "new", "message"),
    [
        ('STUDENT = "ada-quill"', 'STUDENT = "ben-otu"', "says its student is ben-otu"),
        ('STUDENT = "ada-quill"', 'STUDENT = ""', "says its student is nobody"),
        ('LESSON = "read-intervals"', 'LESSON = "easier"', "says its lesson is easier"),
        ("SEED = ", "SEED = 1 + ", "does not say its seed"),
        ('DIGEST = "sha256:', 'DIGEST = "sha256:0', "says its version of the lesson is sha256:0"),
        ("lesson.exercise('second'", "lesson.exercise('second', count=1", "cells missing or changed: second"),
        ('lesson.exercise("first"', '# lesson.exercise("first"', "cells missing or changed: first"),
    ],
)
def test_rewritten_cells_are_a_line(worked, old, new, message):
    edit_source(worked, old, new)
    check_untouched(worked, message=message)


def test_deleted_parameters_are_a_line(worked):
    worked.edit_notebook("ada-quill", lambda content: content["cells"].pop(1))
    check_untouched(worked, message="its parameters cell is gone or was rewritten")


def test_code_in_the_notebook_is_never_run(worked, tmp_path):
    ran = tmp_path / "ran"

    def change(content):
        for cell in content["cells"]:
            cell["source"] = f"open({str(ran)!r}, 'w').close()\n" + "".join(cell["source"])

    worked.edit_notebook("ada-quill", change)
    assert worked.marks()["ada-quill"].points == 6
    assert not ran.exists()


def test_stored_marks_are_never_believed(worked):
    from musictheory_nb.practice.embedded_record import MARKS_MIME

    def change(content):
        data = {MARKS_MIME: {"first": [1.0] * 4, "second": [1.0] * 2}}
        content["cells"][-1]["outputs"] = [{"output_type": "display_data", "data": data, "metadata": {}}]

    worked.edit_notebook("ada-quill", change)
    assert worked.marks()["ada-quill"].points == 6


# -- whose answers they say they are ----------------------------------------------------------------------------------


def test_record_copied_from_another_student_is_left_out(worked):
    mine = worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl"
    theirs = worked.home("ben-otu") / "read-intervals.ben-otu.answers.jsonl"
    mine.write_bytes(theirs.read_bytes())
    one = worked.marks()["ada-quill"]
    assert one.points == 0
    assert one.problems == (f"{mine.name} holds answers that say they are of 'ben-otu'; they are left out",)


def test_another_students_record_beside_ones_own_takes_nothing_away(worked):
    theirs = worked.home("ben-otu") / "read-intervals.ben-otu.answers.jsonl"
    (worked.home("ada-quill") / theirs.name).write_bytes(theirs.read_bytes())
    check_untouched(worked, message="say they are of 'ben-otu'; they are left out")


def test_embedded_answers_of_another_student_are_left_out(worked):
    worked.embed("ada-quill", worked.lines("ben-otu", [True] * 4), worked.header("ben-otu"))
    check_untouched(worked, message="say they are of 'ben-otu'; they are left out")


def test_answers_to_another_version_of_the_lesson_are_a_line(worked):
    worked.embed("ada-quill", [], RecordHeader("read-intervals", "ada-quill", "sha256:" + "0" * 64))
    check_untouched(worked, message="was answered on another version of the lesson (sha256:00000000…)")


def test_edited_copy_of_an_answer_cannot_replace_the_earlier_one(worked):
    wrong = worked.lines("ada-quill", RIGHT)[3]
    better = {**wrong.to_data(), "answer": {"interval": {"choice": "P4"}}, "time": "2026-03-02T10:59:59Z"}
    from musictheory_nb.practice.answer_record import answer_from_data

    worked.embed("ada-quill", [answer_from_data(better)])
    check_untouched(worked, message=f"answer {wrong.id} differs between the record and the notebook")


# -- broken and oversized content ---------------------------------------------------------------------------------------

GOOD_ID = "0" * 32
BAD_LINES = [
    pytest.param(b"\xff\xfe\x00", "line 6", id="no UTF-8"),
    pytest.param(b"[" * 100_000, "line 6", id="deep"),
    pytest.param(b'{"a":' * 50_000, "line 6", id="deep objects"),
    pytest.param(b'{"id": NaN}', "line 6: NaN is not a JSON value", id="NaN"),
    pytest.param(b'{"id": 1e999}', "line 6", id="infinity"),
    pytest.param(b'{"id": ' + b"9" * 5000 + b"}", "line 6: a number of 5000 digits", id="huge number"),
    pytest.param(b'{"id": 1, "id": 2}', "line 6: the name 'id' stands twice", id="name twice"),
    pytest.param(b'"text"', "line 6", id="no object"),
    pytest.param(b'{"id": "' + GOOD_ID.encode() + b'"}', "line 6: exercise is missing", id="field missing"),
    pytest.param(b'{"id": "\\ud800"}', "line 6", id="half a character"),
    pytest.param(b" " * 70_000 + b"1", "line 6: 70001 bytes; at most 65536", id="long line"),
    pytest.param(b'{"__class__": "os.system"}', "line 6: field '__class__'", id="unknown field"),
]


@pytest.mark.parametrize(("line", "message"), BAD_LINES)
def test_bad_line_costs_itself_alone(worked, line, message):
    record = worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl"
    record.write_bytes(record.read_bytes() + line + b"\n")
    check_untouched(worked, message=message)


def test_torn_last_line_costs_itself_alone(worked):
    record = worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl"
    record.write_bytes(record.read_bytes() + b'{"answer":{"interv')
    check_untouched(worked, message="line 6: the last line is incomplete")


BAD_NOTEBOOKS = [
    pytest.param(b"", "not JSON", id="empty"),
    pytest.param(b"\xff", "not UTF-8 text", id="no UTF-8"),
    pytest.param(b"[]", "not a notebook", id="list"),
    pytest.param(b'{"cells": {}}', "not a notebook", id="cells no list"),
    pytest.param(b'{"cells": [' + b"[" * 200_000 + b"]" * 200_000 + b"]}", "nested", id="deep"),
    pytest.param(b'{"cells": [' + b"[]," * 1_000_000 + b"[]]}", "values; at most", id="many small values"),
    pytest.param(b'{"cells": [], "cells": []}', "stands twice", id="name twice"),
    pytest.param(b'{"cells": [' + b"1" * 100_000 + b"]}", "100000 digits", id="huge number"),
]


@pytest.mark.parametrize(("data", "message"), BAD_NOTEBOOKS)
def test_bad_notebook_costs_itself_alone(worked, data, message):
    worked.notebook("ada-quill").write_bytes(data)
    check_untouched(worked, message=message)


def test_output_of_another_program_may_hold_what_json_has_not(worked):
    """Common practice, no source: plotting libraries write NaN, and deep structures, into a notebook's outputs."""
    data: object = float("nan")
    for _ in range(60):
        data = [data]
    output = {"output_type": "display_data", "data": {"application/x+json": data}, "metadata": {}}
    worked.edit_notebook("ada-quill", lambda content: content["cells"][-1]["outputs"].append(output))
    marks = worked.marks()["ada-quill"]
    assert (marks.points, marks.problems) == (6, ())


@pytest.mark.parametrize("cell", [3, None, [], {}, {"cell_type": []}, {"outputs": 3}, {"outputs": [{"data": []}]}])
def test_odd_cells_are_harmless(worked, cell):
    worked.edit_notebook("ada-quill", lambda content: content["cells"].insert(1, cell))
    marks = worked.marks()["ada-quill"]
    assert (marks.points, marks.problems) == (6, ())


@pytest.mark.parametrize("embedded", [3, [], {}, {"header": {}, "answers": []}, {"header": None, "answers": [{}, 3]}])
def test_odd_embedded_answers_are_lines(worked, embedded):
    from musictheory_nb.practice.embedded_record import ANSWERS_MIME

    output = {"output_type": "display_data", "data": {ANSWERS_MIME: embedded}, "metadata": {}}
    worked.edit_notebook("ada-quill", lambda content: content["cells"][-1]["outputs"].append(output))
    marks = worked.marks()["ada-quill"]
    assert marks.points == 6
    assert marks.problems


def test_too_large_files_are_lines(worked):
    for name, size in (("read-intervals.ipynb", 64 * 1024 * 1024 + 1), ("other.jsonl", 16 * 1024 * 1024 + 1)):
        with (worked.home("ada-quill") / name).open("wb") as file:
            file.truncate(size)  # a hole: no disk is filled
    marks = worked.marks()["ada-quill"]
    assert marks.points == 6
    assert len([line for line in marks.problems if "bytes; at most" in line]) == 2


def test_thousands_of_files_and_lines_are_counted_not_listed(worked):
    for number in range(1200):
        (worked.home("ada-quill") / f"m{number}.py").touch()
    marks = worked.marks()["ada-quill"]
    assert marks.points == 6
    assert len(marks.problems) <= 26
    assert "more than 1000 things in the folder" in marks.problems[0]
    assert "more lines of this kind" in marks.problems[-1]


def test_answers_that_fit_no_item_are_notes_and_an_item_that_has_none_other_is_a_problem(worked):
    lines = worked.lines("ada-quill", [True])
    odd = [
        {**lines[0].to_data(), "id": "a" * 32, "exercise": "bonus"},
        {**lines[0].to_data(), "id": "b" * 32, "index": 99},
        {**lines[0].to_data(), "id": "c" * 32, "exercise": "second", "answer": {"interval": {"choice": ["P5"] * 9}}},
    ]
    record = worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl"
    record.write_bytes(record.read_bytes() + b"".join(json.dumps(row).encode() + b"\n" for row in odd))
    marks = worked.marks()["ada-quill"]
    assert (marks.points, len(marks.problems), len(marks.notes)) == (6, 1, 2)
    assert marks.problems[0].startswith("second item 1: ")


# -- links, pipes and other traps on the disk ---------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["read-intervals.ipynb", "read-intervals.ada-quill.answers.jsonl", "more.jsonl"])
def test_links_to_files_are_not_followed(worked, tmp_path, name):
    outside = tmp_path / "outside"
    source = worked.home("ben-otu") / name.replace("ada-quill", "ben-otu")
    outside.write_bytes(source.read_bytes() if source.exists() else b"")
    place = worked.home("ada-quill") / name
    place.unlink(missing_ok=True)
    place.symlink_to(outside)
    marks = worked.marks()["ada-quill"]
    assert [line for line in marks.problems if line.startswith(f"{name} is a link;")]
    assert marks.points == (0 if "answers" in name else 6)


def test_folder_that_is_a_link_is_not_followed(worked, tmp_path):
    home = worked.home("ada-quill")
    home.rename(tmp_path / "elsewhere")
    home.symlink_to(tmp_path / "elsewhere", target_is_directory=True)
    marks = worked.marks()["ada-quill"]
    assert (marks.points, marks.problems) == (0, ("the folder is a link; links are not followed",))


def test_folder_that_is_a_file_is_a_line(worked):
    home = worked.home("cy-lark")
    worked.notebook("cy-lark").unlink()
    home.rmdir()
    home.write_text("I am no folder", encoding="utf-8")
    assert lines_of(worked, "cy-lark") == ("it is no folder",)


def test_no_folder_at_all_is_no_problem_but_nothing_handed_in(worked):
    worked.notebook("cy-lark").unlink()
    worked.home("cy-lark").rmdir()
    one = worked.marks()["cy-lark"]
    assert (one.handed_in, one.problems, one.asked) == (False, (), 6)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no named pipes in folders")
def test_pipe_does_not_hang_the_grader(worked):
    worked.notebook("ada-quill").unlink()
    os.mkfifo(worked.notebook("ada-quill"))
    check_untouched(worked, message="read-intervals.ipynb is no file")  # or it waits here for ever


def test_folder_in_place_of_the_notebook_is_a_line(worked):
    worked.notebook("ada-quill").unlink()
    worked.notebook("ada-quill").mkdir()
    (worked.home("ada-quill") / "more.jsonl").write_text("{", encoding="utf-8")  # what lies beside it is looked at, too
    marks = worked.marks()["ada-quill"]
    assert (marks.points, marks.problems[0]) == (6, "read-intervals.ipynb is a folder")


@pytest.mark.skipif(sys.platform == "win32" or sys.platform == "darwin", reason="these disks refuse such names")
def test_names_that_are_no_text_are_shown_harmlessly(worked):
    folder = os.fsencode(worked.home("ada-quill"))
    for name in (b"\xff\xfe.py", b"\x1b[2J\n.py", "\u202egnp.py".encode()):
        with open(folder + b"/" + name, "wb"):
            pass
    marks = worked.marks()["ada-quill"]
    assert len(marks.problems) == 3
    assert all(line.isprintable() for line in marks.problems)


def test_grader_leaves_the_folder_as_it_was(worked):
    def state():
        return {path: (path.stat().st_mtime_ns, path.stat().st_size) for path in worked.folder.rglob("*")}

    before = state()
    mark_class(worked.lesson, worked.assignment, worked.folder)
    assert state() == before
