"""A large class of which some are hostile: nobody crashes the grader, runs anything, escapes, or raises a mark.

Marks are worked out beforehand: how many answers are right is decided first, what is right is what music21 reads off the notes
(`conftest.Classroom.lines`), and points are shares of 8 and of 1.5.
"""

import csv
import json
import os
import random
import subprocess
import sys
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest
from hostile_tricks import TRICKS, Work

from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.roster import Student

HERE = Path(__file__).parent
HONEST_NAMES = ("Ada Quill", "=1+1", "<script>alert(1)</script>", "@SUM(A1)", "Inés Orta", "-2", "\u202eevil")
pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="made with pipes, sockets and links, which Windows has not"
)


def answered(classroom, student, draw):
    """Let a student answer, and return the points that this deserves."""
    right = [draw.random() < 0.6 for _ in range(4)]
    lines = classroom.lines(student, right)
    classroom.record(student, lines)
    classroom.embed(student, lines)
    return 2.0 * sum(right)


def hostile_class(classroom, tmp_path, honest, rounds, seed):
    """Students, the points that each deserves, and the trick of each that is hostile."""
    draw = random.Random(seed)
    students = [Student(f"honest-{at:03}", HONEST_NAMES[at % len(HONEST_NAMES)]) for at in range(honest)]
    hostile = {f"hostile-{at:02}-{turn}": trick for turn in range(rounds) for at, trick in enumerate(TRICKS)}
    students += [Student(id, HONEST_NAMES[number % 7]) for number, id in enumerate(hostile)]
    classroom.folder = tmp_path / "large"
    classroom.assignment = hand_out(classroom.lesson, students, classroom.folder).assignment
    deserved = {one.id: answered(classroom, one.id, draw) for one in students}
    outside = tmp_path / "outside"
    outside.mkdir()
    best = classroom.lines("honest-000", [True] * 4)
    other = classroom.header("honest-000").line() + "".join(line.line() for line in best)
    for id, trick in hostile.items():
        copy = classroom.copy(id)
        place = outside / id
        place.mkdir()
        trick.act(Work(id, copy.seed, copy.digest, classroom.home(id), place, "honest-000", other.encode()))
    return deserved, hostile


def watched_run(classroom, tmp_path, *more):
    """Mark with one process whose audit events are written down; return them."""
    log = tmp_path / "events.jsonl"
    arguments = ["mark", classroom.path, classroom.folder, "--to", tmp_path / "out", "--workers", 1, "--all", *more]
    done = subprocess.run(
        [sys.executable, "-P", str(HERE / "watched_marking.py"), str(log), *map(str, arguments)],
        capture_output=True,
        encoding="utf-8",
        check=False,
        env={**os.environ, "PYTHONSAFEPATH": "1"},
    )
    assert done.returncode == 0, done.stdout[-2000:] + done.stderr[-2000:]
    return [json.loads(line) for line in log.read_text(encoding="utf-8").splitlines()]


def check_nothing_escaped(events, classroom, tmp_path):
    """No program, no network; nothing imported or compiled from the class; nothing opened outside; written to OUT alone."""
    folder, outside, out = str(classroom.folder), str(tmp_path / "outside"), str(tmp_path / "out")
    assert not [
        event
        for event in events
        if event[0] in ("subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "os.fork")
    ]
    assert not [
        event
        for event in events
        if event[0] in ("socket.connect", "socket.bind", "socket.sendto", "socket.getaddrinfo")
    ]
    assert not [event for event in events if event[0] in ("import", "compile", "exec") and folder in str(event[1])]
    opened = [event[1] for event in events if event[0] == "open"]
    assert len(opened) > 100, "the log tells of no work"
    assert not [path for path, _ in opened if path.startswith((outside, "/etc/passwd"))]
    written = [
        path
        for path, flags in opened
        if flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT) and path.startswith(str(tmp_path))
    ]
    allowed = (out, str(classroom.folder / "class.sqlite"))
    assert not [path for path in written if not path.startswith(allowed)]


def check_large_class(classroom, tmp_path, honest, rounds, seed):
    deserved, hostile = hostile_class(classroom, tmp_path, honest, rounds, seed)
    state = {path: path.lstat().st_mtime_ns for path in classroom.folder.rglob("*") if "class.sqlite" not in path.name}
    events = watched_run(classroom, tmp_path, "--junit", tmp_path / "out" / "marks.xml")
    check_nothing_escaped(events, classroom, tmp_path)
    assert not list((tmp_path / "outside").rglob("ran"))
    assert {path: path.lstat().st_mtime_ns for path in state} == state
    with (tmp_path / "out" / "marks.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["student"]: row for row in csv.DictReader(file)}
    assert set(rows) == set(deserved)
    wrong = []
    for id, points in deserved.items():
        row, trick = rows[id], hostile.get(id)
        assert not row["name"].startswith(("=", "+", "-", "@")), row["name"]
        if trick is None:
            assert (float(row["points"]), row["problems"]) == (points, ""), id
            continue
        expected = 0.0 if trick.costs else points
        lines = row["problems"].split(" | ")
        if float(row["points"]) != expected or trick.told not in row["problems"] or len(lines) > trick.lines:
            wrong.append((trick.name, expected, row["points"], row["problems"][:300]))
    assert not wrong, "\n".join(map(str, wrong))
    report = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "<script" not in report
    assert "<img src=x" not in report
    assert len(ElementTree.parse(tmp_path / "out" / "marks.xml").findall(".//testcase")) >= len(deserved)


def test_there_are_more_than_forty_ways():
    assert len({trick.name for trick in TRICKS}) == len(TRICKS) >= 40


def test_every_trick_once_in_a_small_class(classroom, tmp_path):
    check_large_class(classroom, tmp_path, 12, 1, 1)


@pytest.mark.full
def test_a_thousand_submissions_of_which_more_than_two_hundred_are_hostile(classroom, tmp_path):
    rounds = -(-200 // len(TRICKS))
    check_large_class(classroom, tmp_path, 1000 - rounds * len(TRICKS), rounds, 2)
