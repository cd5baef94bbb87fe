"""A class file that is lost: from the class key, the roster, the lesson and the submissions all is made again."""

import csv

import pytest

from musictheory_nb.classroom.assignment_store import class_key_of, find_assignment
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.handout import Terms, hand_out
from musictheory_nb.classroom.lesson_variant import lesson_variant
from musictheory_nb.classroom.marking_policy import parse_policy
from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
from musictheory_nb.cli import main
from musictheory_nb.errors import ClassroomError, ManifestError


def marked(classroom):
    assignment, path = find_assignment("read-intervals", classroom.folder)
    policy = parse_policy(b"[weights]\nsecond = 0\n[rounding]\nto = 1\n")
    done = mark_assignment(MarkingOrder(classroom.lesson, assignment, path, classroom.folder, policy=policy))
    return done.marks, done.finals, assignment


@pytest.fixture(params=[False, True], ids=["ordinary", "sealed"])
def worked(classroom, tmp_path, request):
    students = [copy.student for copy in classroom.assignment.copies]
    classroom.folder = tmp_path / "worked"
    terms = Terms(attempts=2, sealed=request.param)
    classroom.assignment = hand_out(classroom.lesson, students, classroom.folder, terms=terms).assignment
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    classroom.embed("ben-otu", classroom.lines("ben-otu", [True, False]))
    return classroom, students, terms


def test_marks_are_the_same_after_the_class_file_was_lost(worked):
    classroom, students, terms = worked
    with ClassFile.open(classroom.folder) as file:
        key = class_key_of(file)
    before = marked(classroom)
    assert {one.student.id: one.points for one in before[0].students}["ada-quill"] == 6  # 3 of 4 items, 8 points
    copies = {path: path.read_bytes() for path in classroom.folder.rglob("*.*") if "class.sqlite" not in path.name}
    for path in classroom.folder.glob("class.sqlite*"):
        path.unlink()
    with pytest.raises(ManifestError, match="give the class key that it had"):
        hand_out(classroom.lesson, students, classroom.folder, terms=terms)
    done = hand_out(classroom.lesson, students, classroom.folder, terms=terms, class_key=key)
    assert done.written == ()
    assert marked(classroom) == before
    assert {path: path.read_bytes() for path in copies} == copies


@pytest.mark.parametrize(("key", "told"), [("0" * 31, "32 hexadecimal digits"), ("0" * 32, "has another one")])
def test_a_key_that_cannot_be_it_is_refused(classroom, key, told):
    students = [copy.student for copy in classroom.assignment.copies]
    with pytest.raises(ClassroomError, match=told):
        hand_out(lesson_variant(classroom.lesson, name="again"), students, classroom.folder, class_key=key)


def test_the_commands(classroom, tmp_path, monkeypatch, capsys):
    def run(*arguments):
        monkeypatch.setattr("sys.argv", ["musictheory-nb", *map(str, arguments)])
        with pytest.raises(SystemExit) as ended:
            main()
        assert not ended.value.code
        return capsys.readouterr().out

    key = run("class", "key", classroom.folder).strip()
    assert key == classroom.assignment.class_key
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, True]))
    (classroom.folder / "class.sqlite").unlink()
    (tmp_path / "class.csv").write_text("student,name\nada-quill,Ada Quill\nben-otu,Ben Otu\n", encoding="utf-8")
    run("handout", classroom.path, "--roster", tmp_path / "class.csv", "--to", classroom.folder, "--class-key", key)
    run("mark", classroom.path, classroom.folder, "--to", tmp_path / "out")
    with (tmp_path / "out" / "marks.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["student"]: row for row in csv.DictReader(file)}
    assert (rows["ada-quill"]["points"], rows["ada-quill"]["problems"]) == ("8", "")
