"""The class file: nothing is lost by a kill, two writers wait for each other, and the history cannot be rewritten.

What SQLite promises (atomic commit, integrity_check, foreign_key_check) is from its documentation (sqlite.org); what is
checked here is that this package uses it so.
"""

import random
import sqlite3
import subprocess
import sys
import time
from contextlib import contextmanager
from types import MappingProxyType

import pytest

from musictheory_nb.classroom import class_file as module
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.class_schema import MIGRATIONS, TABLES, VERSION
from musictheory_nb.errors import ClassFileError

#: Adds pairs of students for ever, each pair as one change, and says each one that is done.
WRITER = """
import sys
from pathlib import Path
from musictheory_nb.classroom.class_file import ClassFile
folder, who, most = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
with ClassFile.open(folder, make=True, who=who) as file:
    start = len(file.rows("student"))
    for number in range(start, start + most):
        with file.changing():
            for half in "ab":
                id = f"{who}-{number}-{half}"
                file.put("student", id=id, name=id, pseudonym=id, in_roster=1)
        print(number, flush=True)
"""


def writer(folder, who, most=10**6):
    command = [sys.executable, "-c", WRITER, str(folder), who, str(most)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")


def killed_at_random(folder, kills, draw):
    """Start a writer and kill it, again and again; return the pairs that were acknowledged."""
    told = set()
    for _ in range(kills):
        started = writer(folder, "grader")
        # at any moment: while it is imported and makes the file, or when it has begun to write
        first = started.stdout.readline() if draw.random() < 0.7 else ""
        time.sleep(draw.random() * 0.2)
        started.kill()
        out, _ = started.communicate()
        told |= {line for line in (first + out).split("\n")[:-1] if line}
    return told


def check_after_kills(tmp_path, kills, seed):
    told = killed_at_random(tmp_path, kills, random.Random(seed))
    with ClassFile.open(tmp_path, make=True) as file:
        assert file.check() == ()
        ids = {row["id"] for row in file.rows("student")}
        history = file.history("student")
    assert len(told) > kills
    assert {f"grader-{number}-{half}" for number in told for half in "ab"} <= ids  # what was acknowledged is there
    assert {id[:-1] + "a" for id in ids} == {id for id in ids if id.endswith("a")}  # never half a change
    assert len(ids) % 2 == 0
    assert {change.after["id"] for change in history} == ids


def test_nothing_acknowledged_is_lost_by_ten_kills(tmp_path):
    check_after_kills(tmp_path, 10, 1)


@pytest.mark.full
def test_nothing_acknowledged_is_lost_by_two_hundred_kills(tmp_path):
    check_after_kills(tmp_path, 200, 2)


def test_two_graders_at_once_lose_nothing(tmp_path):
    both = [writer(tmp_path, who, 40) for who in ("first", "second")]
    for one in both:
        _, errors = one.communicate()
        assert (one.returncode, errors) == (0, "")
    with ClassFile.open(tmp_path) as file:
        assert file.check() == ()
        assert len(file.rows("student")) == 2 * 2 * 40
        assert {change.who for change in file.history()} == {"first", "second"}


def student(file, id="ada-quill", **more):
    return file.put("student", **{"id": id, "name": "Ada", "pseudonym": f"p-{id}", "in_roster": 1, **more})


@contextmanager
def monkey_version(version):
    """The package as it was when that version was its latest."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(module, "VERSION", version)
        yield


@pytest.fixture
def file(tmp_path):
    with ClassFile.open(tmp_path, make=True, who="teacher") as opened:
        yield opened


def test_history_says_who_changed_what(file):
    assert student(file)
    assert not student(file)  # the same again is no change
    assert student(file, name="Ada Quill")
    assert file.remove("student", id="ada-quill")
    told = [(one.who, one.what, one.table, one.student) for one in file.history()]
    assert told == [("teacher", what, "student", "ada-quill") for what in ("added", "changed", "removed")]
    _, changed, removed = file.history(student="ada-quill")
    assert (changed.before["name"], changed.after["name"], removed.after) == ("Ada", "Ada Quill", None)


@pytest.mark.parametrize(
    "statement", ["UPDATE change SET who = 'x'", "DELETE FROM change", "UPDATE change SET after = NULL"]
)
def test_history_is_never_rewritten(file, tmp_path, statement):
    student(file)
    other = sqlite3.connect(tmp_path / "class.sqlite")
    with pytest.raises(sqlite3.IntegrityError, match="the history is never"):
        other.execute(statement)
    other.close()


def test_a_change_is_whole_or_not_at_all(file):
    def half_done():
        with file.changing():
            student(file)
            student(file, "ben-otu", pseudonym="p-ada-quill")  # taken

    with pytest.raises(ClassFileError, match=r"UNIQUE constraint failed: student.pseudonym; nothing was changed"):
        half_done()
    assert (file.rows("student"), file.history()) == ([], ())


@pytest.mark.parametrize(
    ("act", "message"),
    [
        (
            lambda file: file.put("mark", assignment="x", student="y", fingerprint="", points=1, points_possible=1),
            "FOREIGN",
        ),
        (lambda file: student(file, in_roster=2), "CHECK constraint failed"),
        (lambda file: file.put("pupil", id="x"), "table 'pupil'; allowed: class_value"),
        (lambda file: student(file, colour="red"), "column 'colour'; allowed: id, name"),
        (lambda file: file.remove("copy", student="x"), "rows are named by assignment, student"),
    ],
)
def test_what_breaks_a_rule_is_refused(file, act, message):
    with pytest.raises(ClassFileError, match=message):
        act(file)


def test_journal_is_one_that_network_drives_can_have(file, tmp_path):
    student(file)
    other = sqlite3.connect(tmp_path / "class.sqlite")
    assert other.execute("PRAGMA journal_mode").fetchone() == ("delete",)
    other.close()
    assert [path.name for path in tmp_path.iterdir()] == ["class.sqlite"]


REFUSED = [
    (
        b"no database at all, and longer than the header of one, which is of a hundred bytes in each file" * 3,
        "is not a class file",
    ),
    (b"", "holds nothing yet; hand out again"),
]


@pytest.mark.parametrize(("content", "message"), REFUSED)
def test_what_is_no_class_file_is_one_plain_error(tmp_path, content, message):
    (tmp_path / "class.sqlite").write_bytes(content)
    with pytest.raises(ClassFileError, match=message):
        ClassFile.open(tmp_path)


def test_another_database_a_later_version_and_a_link_are_refused(tmp_path):
    path = tmp_path / "class.sqlite"
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE recipe (name)")
    with pytest.raises(ClassFileError, match="is a database, and not a class file"):
        ClassFile.open(tmp_path, make=True)
    other.close()
    path.unlink()
    ClassFile.open(tmp_path, make=True).close()
    other = sqlite3.connect(path)
    other.execute(f"PRAGMA user_version = {VERSION + 1}")
    other.close()
    with pytest.raises(ClassFileError, match="bring the package up to date"):
        ClassFile.open(tmp_path)
    (tmp_path / "link.sqlite").symlink_to(path)
    with pytest.raises(ClassFileError, match="is a link"):
        ClassFile.open(tmp_path / "link.sqlite")


def test_an_older_file_is_brought_up_to_date_and_keeps_what_it_holds(tmp_path, monkeypatch):
    with ClassFile.open(tmp_path, make=True) as file:
        student(file)
    steps = MappingProxyType(
        {**MIGRATIONS, VERSION: ("ALTER TABLE student ADD COLUMN voice TEXT NOT NULL DEFAULT ''",)}
    )
    monkeypatch.setattr(module, "MIGRATIONS", steps)
    monkeypatch.setattr(module, "VERSION", VERSION + 1)
    with ClassFile.open(tmp_path) as file:
        assert (file.version, file.rows("student")[0]["voice"], file.check()) == (VERSION + 1, "", ())
    broken = MappingProxyType({**steps, VERSION + 1: ("CREATE TABLE one (a)", "no SQL")})
    monkeypatch.setattr(module, "MIGRATIONS", broken)
    monkeypatch.setattr(module, "VERSION", VERSION + 2)
    with pytest.raises(ClassFileError, match="cannot be used"):
        ClassFile.open(tmp_path)
    monkeypatch.setattr(module, "VERSION", VERSION + 1)
    with ClassFile.open(tmp_path) as file:
        assert (file.version, len(file.rows("student"))) == (VERSION + 1, 1)


def test_a_file_of_the_first_version_is_brought_up_to_date(tmp_path):
    with monkey_version(1), ClassFile.open(tmp_path, make=True) as file:
        student(file)
        assert file.version == 1
    with ClassFile.open(tmp_path) as file:
        assert (file.version, len(file.rows("student")), file.check()) == (VERSION, 1, ())
        columns = {row[1] for row in file._connection.execute("PRAGMA table_info(mark)")}
    assert columns == set(TABLES["mark"].columns)


def test_check_finds_a_row_that_names_nobody_and_a_damaged_page(file, tmp_path):
    student(file)
    path = tmp_path / "class.sqlite"
    other = sqlite3.connect(path)
    other.execute("INSERT INTO student_setting VALUES ('nobody', 'clef', 'bass')")
    other.commit()
    other.close()
    assert file.check() == ("table 'student_setting': a row names one of 'student' that is not there",)
    file.close()
    data = bytearray(path.read_bytes())
    data[4096 * 3 : 4096 * 6] = b"\xff" * (4096 * 3)
    path.write_bytes(data)
    with ClassFile.open(tmp_path) as opened:
        assert opened.check()
