"""Marking as a whole: policy, rubric marks, pages and what was kept, joined. Expected marks are arithmetic done by hand."""

import csv
import io
import random
import re
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.handout import Terms, hand_out
from musictheory_nb.classroom.key_correction import correct_key
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.lesson_variant import lesson_variant
from musictheory_nb.classroom.marking_files import MarkingFiles, write_marking
from musictheory_nb.classroom.marking_policy import parse_policy
from musictheory_nb.classroom.marking_run import MarkingOrder, mark_assignment
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.teacher_entry import add_comment, ask_about_mark, put_rubric_mark, reply_to
from musictheory_nb.classroom.worker_pool import Workers, run_all
from musictheory_nb.errors import ClassroomError, PolicyError

ALL_RIGHT = [True, True, True, True]


def order_of(classroom, **more) -> MarkingOrder:
    assignment, path = find_assignment(classroom.lesson.plan.id, classroom.folder)
    if isinstance(more.get("policy"), str):
        more["policy"] = parse_policy(more["policy"].encode())
    return MarkingOrder(classroom.lesson, assignment, path, classroom.folder, **more)


def mark(classroom, **more):
    """The class marked, with marks and finals by student id."""
    done = mark_assignment(order_of(classroom, **more))
    marks = {one.student.id: one for one in done.marks.students}
    return SimpleNamespace(done=done, marks=marks, finals={one.student: one for one in done.finals})


def write(classroom, to: Path, *, policy=None, **files):
    order = order_of(classroom, policy=policy, own=(to,))
    return write_marking(order, mark_assignment(order), MarkingFiles(to, **files))


@pytest.fixture
def worked(classroom):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, False, True, True]))
    classroom.record("ben-otu", classroom.lines("ben-otu", ALL_RIGHT))
    return classroom


# -- only what changed ---------------------------------------------------------------------------------------------------


def test_second_run_marks_nothing_and_comes_to_the_same(worked):
    first, second = mark(worked), mark(worked)
    assert (first.done.marked, first.done.kept) == (3, 0)
    assert (second.done.marked, second.done.kept) == (0, 3)
    assert (second.done.marks, second.done.hints) == (first.done.marks, first.done.hints)
    assert first.marks["ada-quill"].points == 6  # 3 of 4 items, 8 points
    assert mark(worked, everything=True).done.marked == 3


def test_one_change_touches_that_student_alone(worked, tmp_path):
    out = tmp_path / "out"
    written = write(worked, out, students=True)
    assert written.pages_made == 3

    def pages():
        return {path.name: path.stat().st_mtime_ns for path in (out / "students").glob("*.html")}

    before = pages()
    assert write(worked, out, students=True).pages_made == 0
    assert pages() == before
    with ClassFile.open(worked.folder) as file:
        lines = len(file.history())
    worked.record("cy-lark", worked.lines("cy-lark", [True]))
    assert write(worked, out, students=True).pages_made == 1
    assert {name for name, at in pages().items() if before[name] != at} == {"cy-lark.html"}
    with ClassFile.open(worked.folder) as file:
        new = file.history()[lines:]
    assert {(one.table, one.student, one.what) for one in new} == {
        ("submission", "cy-lark", "changed"),
        ("mark", "cy-lark", "changed"),
    }
    assert mark(worked).marks["cy-lark"].points == 2


@pytest.mark.parametrize("change", ["due", "attempts"])
def test_other_terms_are_marked_anew(worked, change):
    mark(worked)
    if change == "due":
        hand_out(worked.lesson, [one.student for one in worked.assignment.copies], worked.folder,
                 terms=Terms(read_due("2026-03-02 10:00 UTC")))  # fmt: skip
        assert mark(worked).marks["ben-otu"].after_due == 3  # at 10:00:01, :02 and :03
    else:
        assert mark(worked, policy='[attempts]\ncounts = "best"\n').done.marked == 3


def test_a_corrected_key_is_marked_anew(worked, cells_of, save):
    before = mark(worked)
    text = [cell for cell in cells_of()]
    text[3]["source"] = text[3]["source"].replace("points=8", "points=16")
    corrected = read_lesson(save(worked.path, text))
    with ClassFile.open(worked.folder) as file:
        correct_key(file, corrected)
    worked.lesson = corrected
    after = mark(worked)
    assert (before.marks["ben-otu"].points, after.marks["ben-otu"].points) == (8, 16)
    assert after.done.marked == 3


def test_what_is_kept_and_cannot_be_read_is_worked_out_again(worked):
    mark(worked)
    with ClassFile.open(worked.folder) as file:
        for row in file.rows("mark"):
            file.put("mark", **{**row, "data": '{"format": 0}'})
    again = mark(worked)
    assert (again.done.marked, again.marks["ada-quill"].points) == (3, 6)


def test_answers_dated_in_the_future_get_a_line_and_are_marked_again(worked):
    (line,) = worked.lines("cy-lark", [True])
    worked.record("cy-lark", [replace(line, time="2999-01-01T00:00:00.000Z")])
    for _ in range(2):
        done = mark(worked)
        (told,) = done.marks["cy-lark"].problems
        assert told.startswith("1 answers say that they were given in the future")
        assert done.marks["cy-lark"].points == 2
    assert done.done.marked == 1


# -- what the teacher adds ------------------------------------------------------------------------------------------------


def test_rubric_marks_comments_and_questions_survive_and_are_shown(worked, tmp_path):
    with ClassFile.open(worked.folder, who="teacher") as file:
        # item 2 of four that are worth 2 points each: 1 + 0.5 points by two criteria
        put_rubric_mark(file, "read-intervals", "ada-quill", "first", 2, 1.0, criterion="reading")
        put_rubric_mark(file, "read-intervals", "ada-quill", "first", 2, 0.5, criterion="terms")
        put_rubric_mark(file, "read-intervals", "ben-otu", "first", 1, 99.0)
        add_comment(file, "read-intervals", "ada-quill", "Count the <b>lines</b> too.", exercise="first", item=2)
        question = ask_about_mark(file, "read-intervals", "ada-quill", "Why half?", exercise="first", item=2)
        reply_to(file, question, "See the second criterion.")
    for everything in (False, False, True):
        done = mark(worked, everything=everything)
        assert done.marks["ada-quill"].points == pytest.approx(6 + 1.5)
        assert done.marks["ben-otu"].points == 8
        (told,) = done.marks["ben-otu"].problems
        assert told == "rubric mark of 'first' item 1, '': 99.0 points; allowed: 0 to 2.0; it is left out"
    write(worked, tmp_path / "out", students=True)
    page = (tmp_path / "out" / "students" / "ada-quill.html").read_text(encoding="utf-8")
    for text in (
        "Count the &lt;b&gt;lines&lt;/b&gt; too.",
        "Why half?",
        "See the second criterion.",
        "terms",
        "1.50 of 2",
    ):
        assert text in page


def test_a_new_comment_makes_that_page_anew(worked, tmp_path):
    write(worked, tmp_path / "out", students=True)
    with ClassFile.open(worked.folder) as file:
        add_comment(file, "read-intervals", "ben-otu", "Well done.")
    assert write(worked, tmp_path / "out", students=True).pages_made == 1


# -- policy -----------------------------------------------------------------------------------------------------------------


def test_policy_by_hand(worked):
    """Ada: 3 of 4 right with the lowest dropped is 100 %; 8 of 9.5 points; late 1 day costs 10 % of the mark."""
    done = mark(worked, policy="[dropped.lowest]\nfirst = 1\n[pass]\npercent = 80\n")
    assert done.finals["ada-quill"].percent == pytest.approx(100 * 8 / 9.5)
    assert done.finals["ada-quill"].passed
    assert not done.finals["cy-lark"].passed
    assert done.marks["ada-quill"].points == 6


def test_best_attempt_counts_and_closed_answers_do_not(classroom):
    wrong, right = (classroom.lines("ada-quill", [is_right], start=at)[0] for is_right, at in ((False, 3), (True, 9)))
    classroom.record("ada-quill", [wrong, right])  # at 10:00:03 and 10:00:09 UTC
    students = [one.student for one in classroom.assignment.copies]
    hand_out(classroom.lesson, students, classroom.folder, terms=Terms(read_due("2026-03-02 09:59 UTC")))
    assert mark(classroom).marks["ada-quill"].points == 0
    best = mark(classroom, policy='[attempts]\ncounts = "best"\n')
    assert best.marks["ada-quill"].points == 2
    assert any("attempt 2 of 2" in effect.words for effect in best.finals["ada-quill"].effects)
    closed = mark(classroom, policy='[attempts]\ncounts = "best"\n[late]\ncloses = "1 minute"\n')
    assert (closed.marks["ada-quill"].points, closed.marks["ada-quill"].answered) == (0, 0)
    assert "2 answers came after closing, and count nothing" in closed.marks["ada-quill"].problems


def test_attempts_of_the_hand_out_limit_the_best(classroom):
    lines = [
        classroom.lines("ada-quill", [is_right], start=at)[0] for is_right, at in ((False, 3), (False, 5), (True, 9))
    ]
    classroom.record("ada-quill", lines)
    students = [one.student for one in classroom.assignment.copies]
    hand_out(classroom.lesson, students, classroom.folder, terms=Terms(attempts=2))
    assert mark(classroom, policy='[attempts]\ncounts = "best"\n').marks["ada-quill"].points == 0


@pytest.mark.parametrize(("extra", "percent"), [("", 90), ("1 day", 100)])
def test_extra_time_of_roster_and_policy_is_not_counted_twice(lesson_path, tmp_path, classroom, extra, percent):
    """Due 1 March, answered on the 2nd at 10:00 UTC: a day late; extra time of a day in both places is one day."""
    folder = tmp_path / "t"
    ada = Student("ada-quill", "Ada Quill", extra_time=extra)
    due = read_due("2026-02-28 12:00 UTC")
    policy = '[late]\nper = "day"\n[late.extra]\n"ada-quill" = "1 day"\n'
    done = hand_out(classroom.lesson, [ada], folder, terms=Terms(due))
    classroom.folder, classroom.assignment = folder, done.assignment
    line = classroom.lines("ada-quill", [True])
    classroom.record("ada-quill", [replace(one, time="2026-03-01T10:00:00.000Z") for one in line])
    on_time = mark(classroom, policy=policy)
    assert on_time.finals["ada-quill"].percent == pytest.approx(100 * 2 / 9.5)
    classroom.home("ada-quill").joinpath("read-intervals.ada-quill.answers.jsonl").unlink()
    classroom.record("ada-quill", [replace(one, time="2026-03-01T12:00:01.000Z") for one in line])
    late = mark(classroom, policy=policy)  # one day is over in either case: twice the extra time would make it in time
    assert late.finals["ada-quill"].percent == pytest.approx(0.9 * 100 * 2 / 9.5)
    told = [line for line in late.done.marks.problems if "extra time of ada-quill is in their due time already" in line]
    assert bool(told) == bool(extra)


def test_make_up_work_counts_once_it_is_marked(worked):
    """Ada has 6 of 9.5 points, and 8 of 9.5 in the make-up work; the better counts."""
    students = [one.student for one in worked.assignment.copies]
    variant = lesson_variant(worked.lesson, name="once-more")
    made = hand_out(variant, students, worked.folder, terms=Terms(replaces="read-intervals"))
    first = mark(worked, policy="")
    assert any("'once-more' is not marked yet" in line for line in first.done.marks.problems)
    other = replace(worked, lesson=variant, assignment=made.assignment)
    other.header = lambda student: replace(
        worked.header(student), lesson="once-more", digest=other.copy(student).digest
    )
    other.record("ada-quill", other.lines("ada-quill", ALL_RIGHT))
    assert mark(other, policy="").marks["ada-quill"].points == 8
    done = mark(worked, policy="")
    assert done.finals["ada-quill"].percent == pytest.approx(100 * 8 / 9.5)
    assert done.finals["ben-otu"].percent == pytest.approx(100 * 8 / 9.5)
    assert not any("not marked yet" in line for line in done.done.marks.problems)


def test_a_policy_that_does_not_fit_is_told_before_anything_is_marked(worked):
    with pytest.raises(PolicyError, match="'frist' is not in the lesson"):
        mark(worked, policy="[weights]\nfrist = 2\n")
    with ClassFile.open(worked.folder) as file:
        assert file.rows("mark") == []


# -- names ------------------------------------------------------------------------------------------------------------------


def test_pseudonyms_leave_no_name_in_any_file(worked, tmp_path):
    worked.record("cy-lark", worked.lines("ada-quill", [True]))
    (worked.home("ben-otu") / "read-intervals.ada-quill.answers.jsonl").write_bytes(
        (worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl").read_bytes()
    )
    with ClassFile.open(worked.folder) as file:
        add_comment(file, "read-intervals", "ben-otu", "Ben, ask Ada Quill.")
        names = {row["id"]: row["pseudonym"] for row in file.rows("student")}
    out = tmp_path / "out"
    write(worked, out, students=True, pseudonyms=True, junit=out / "marks.xml", policy=parse_policy(b""))
    texts = {
        path.name: re.sub("base64,[A-Za-z0-9+/=]+", "", path.read_text(encoding="utf-8"))
        for path in out.rglob("*")
        if path.is_file()
    }
    assert {f"{name}.html" for name in names.values()} < set(texts)
    for name, text in texts.items():
        for word in ("ada-quill", "Ada", "Quill", "ben-otu", "Otu", "cy-lark", "school.example"):
            assert word not in text, (name, word)
    rows = {row["student"]: row for row in csv.DictReader(io.StringIO(texts["marks.csv"]))}
    assert rows[names["ada-quill"]]["points"] == "6"
    assert rows[names["ada-quill"]]["final_percent"] == "63.16"  # 6 of 9.5
    write(worked, out, students=True)
    assert sorted(path.stem for path in (out / "students").glob("*.html")) == ["ada-quill", "ben-otu", "cy-lark"]


def test_a_page_names_no_other_student(worked, tmp_path):
    (worked.home("ben-otu") / "x.jsonl").write_bytes(
        (worked.home("ada-quill") / "read-intervals.ada-quill.answers.jsonl").read_bytes()
    )
    write(worked, tmp_path / "out", students=True)
    page = (tmp_path / "out" / "students" / "ben-otu.html").read_text(encoding="utf-8")
    assert "ada-quill" not in page
    assert "somebody else" in page


# -- workers ------------------------------------------------------------------------------------------------------------------


def ended_once(shared: bytes, number: int) -> int:
    """A task that ends its process the first time that it meets a 7."""
    place = Path(shared.decode())
    if number == 7 and not place.exists():
        place.touch()
        import os

        os._exit(9)
    return number * number


def test_a_process_that_ends_costs_only_its_own_tasks(tmp_path):
    shared = str(tmp_path / "once").encode()
    found = list(run_all(Workers(2, chunk=2), ended_once, shared, range(12), 12))
    assert found == [number * number for number in range(12)]  # arithmetic
    assert (tmp_path / "once").exists()


def always_ends(shared: bytes, number: int) -> int:
    import os

    os._exit(9)


def test_processes_that_always_end_are_one_plain_error():
    with pytest.raises(ClassroomError, match="end again and again"):
        list(run_all(Workers(2), always_ends, b"", range(3), 3))


def test_the_same_marks_whatever_the_number_of_processes(worked):
    one = mark(worked, everything=True, workers=Workers(1))
    two = mark(worked, everything=True, workers=Workers(2, chunk=1))
    assert (one.done.marks, one.done.hints, one.done.prints) == (two.done.marks, two.done.hints, two.done.prints)


# -- two at once, and kills -----------------------------------------------------------------------------------------------


def grader(worked, out, *more) -> subprocess.Popen:
    command = [sys.executable, "-P", "-m", "musictheory_nb", "mark", worked.path, worked.folder, "--to", out, *more]
    return subprocess.Popen([*map(str, command)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, encoding="utf-8")


def rows_of(out: Path) -> str:
    return (out / "marks.csv").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "names", [("one", "two"), pytest.param(("one", "two", "again"), marks=pytest.mark.full)], ids=["two", "and a rerun"]
)
def test_two_graders_at_once(worked, tmp_path, names):
    outs = [tmp_path / name for name in names]
    started = [grader(worked, out, *(["--rerun"] if out.name == "again" else ["--all"])) for out in outs]
    for one in started:
        told, errors = one.communicate(timeout=300)
        assert (one.returncode, errors) == (0, ""), told
    assert len({rows_of(out) for out in outs}) == 1
    with ClassFile.open(worked.folder) as file:
        assert file.check() == ()
        assert len(file.rows("mark")) == 3


def check_after_kills(worked, tmp_path, kills, seed):
    draw = random.Random(seed)
    for number in range(kills):
        running = grader(worked, tmp_path / "out", "--all")
        time.sleep(0.3 + draw.random() * 1.2)
        running.kill()
        running.communicate()
        if number % 10 == 0:
            with ClassFile.open(worked.folder) as file:
                assert file.check() == ()
    done = mark(worked)
    fresh = mark(worked, everything=True)
    assert done.done.marks == fresh.done.marks
    assert done.marks["ada-quill"].points == 6
    with ClassFile.open(worked.folder) as file:
        assert file.check() == ()


def test_kills_of_the_grader_leave_the_same_marks(worked, tmp_path):
    check_after_kills(worked, tmp_path, 2, 1)


@pytest.mark.full
def test_two_hundred_kills_of_the_grader_leave_the_same_marks(worked, tmp_path):
    check_after_kills(worked, tmp_path, 200, 2)
