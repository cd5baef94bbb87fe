"""The answer record on disk: what was acknowledged is there, whatever happens."""

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from musictheory_nb.errors import RecordError
from musictheory_nb.practice import record_file
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.record_file import RecordFile, record_name

HEADER = RecordHeader("demo", "ines-orta")

#: Answers items without end and prints each answer's id once it is recorded, as the view shows feedback then.
ANSWERING = """
import random, sys
from pathlib import Path
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader, utc_now
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.record_file import RecordFile

folder, run = Path(sys.argv[1]), int(sys.argv[2])
exercise = Exercise("first", "interval-by-ear", count=200, lesson="demo")
file = RecordFile(folder, RecordHeader("demo", "ines-orta"))
print("ready", flush=True)
for number in range(100_000):
    item = exercise.item(seed=run, index=number % 200)
    (step,) = item.response.steps
    value = random.choice(step.inputs[0].options).value
    answer = {step.id: {"choice": value}}
    exercise.mark(item, answer)
    line = AnswerLine(f"{run:08x}{number:024x}", "first", 1, item.index, answer, 1 + number // 200, utc_now())
    file.append(line)
    print(line.id, flush=True)
"""


def line(number: int, **changes) -> AnswerLine:
    fields = {
        "id": f"{number:032x}",
        "exercise": "first",
        "version": 1,
        "index": number,
        "answer": {"interval": {"choice": "m3"}},
        "attempt": 1,
        "time": f"2026-03-02T17:04:{number % 60:02d}Z",
    }
    return AnswerLine(**(fields | changes))


def test_every_acknowledged_answer_survives_fifty_kills(tmp_path):
    chance = random.Random(20260302)
    acknowledged: set[str] = set()
    for run in range(50):
        child = subprocess.Popen(
            [sys.executable, "-c", ANSWERING, str(tmp_path), str(run)], stdout=subprocess.PIPE, text=True
        )
        assert child.stdout is not None
        assert child.stdout.readline().strip() == "ready"
        for _ in range(chance.randrange(1, 6)):
            acknowledged.add(child.stdout.readline().strip())
        time.sleep(chance.random() * 0.004)
        child.kill()
        rest, _ = child.communicate()
        acknowledged.update(one for one in rest.split() if len(one) == 32)
        assert child.returncode != 0
    reading = RecordFile(tmp_path, HEADER).read()
    assert len(acknowledged) >= 50
    assert acknowledged <= {answer.id for answer in reading.answers}
    assert reading.header == HEADER
    # A torn line is reported; nothing else may be wrong. Each kill can leave one.
    assert len(reading.problems) <= 50
    assert all("not JSON" in problem or "incomplete" in problem for problem in reading.problems)


@pytest.mark.parametrize("cut", range(0, len(HEADER.line() + line(1).line()) + 1, 3))
def test_appending_after_a_tear_anywhere_closes_it_off_and_loses_nothing_else(tmp_path, cut):
    file = RecordFile(tmp_path, HEADER)
    file.append(line(1))
    whole = file.path.read_bytes()
    file.path.write_bytes(whole[:cut])
    file.append(line(2))
    file.append(line(3))
    reading = file.read()
    assert reading.header == HEADER
    kept = [answer.index for answer in reading.answers]
    assert kept == ([1, 2, 3] if cut >= len(whole) - 1 else [2, 3])
    torn = 0 < cut < len(whole) - 1 and cut not in (len(HEADER.line()), len(HEADER.line()) - 1)
    assert len(reading.problems) == torn
    assert file.path.read_bytes().endswith(b"\n")


def test_the_first_answer_writes_the_header_and_reading_writes_nothing(tmp_path):
    file = RecordFile(tmp_path, HEADER)
    assert (file.read().header, file.read().answers) == (None, ())
    assert list(tmp_path.iterdir()) == []
    file.append(line(1))
    assert [path.name for path in tmp_path.iterdir()] == ["demo.ines-orta.answers.jsonl"]
    assert file.path.read_text(encoding="utf-8").splitlines()[0] == HEADER.line().strip()


def test_a_line_is_on_the_disk_before_append_returns(tmp_path, monkeypatch):
    synced = []
    monkeypatch.setattr(os, "fsync", lambda file: synced.append(os.fstat(file).st_size))
    file = RecordFile(tmp_path, HEADER)
    file.append(line(1))
    file.append(line(2))
    assert file.path.stat().st_size in synced


def test_two_processes_write_whole_lines(tmp_path):
    """Both append as fast as they can; no line may be lost or mixed with another."""
    code = """
import sys
from pathlib import Path
from musictheory_nb.practice.answer_record import AnswerLine, RecordHeader
from musictheory_nb.practice.record_file import RecordFile
file, run = RecordFile(Path(sys.argv[1]), RecordHeader("demo", "ines-orta")), int(sys.argv[2])
for number in range(60):
    answer = {"interval": {"choice": "x" * 5000}}
    file.append(AnswerLine(f"{run:08x}{number:024x}", "first", 1, number, answer, 1, "2026-03-02T17:04:05Z"))
"""
    children = [subprocess.Popen([sys.executable, "-c", code, str(tmp_path), str(run)]) for run in range(2)]
    assert [child.wait() for child in children] == [0, 0]
    reading = RecordFile(tmp_path, HEADER).read()
    assert len(reading.answers) == 120
    assert reading.problems == ()
    assert RecordFile(tmp_path, HEADER).path.read_bytes().count(b'"format"') == 1


HOLDING = """
import sys, time
from pathlib import Path
from musictheory_nb.practice.answer_record import RecordHeader
from musictheory_nb.practice import record_file
import os
file = record_file.RecordFile(Path(sys.argv[1]), RecordHeader("demo", "ines-orta"))
handle = os.open(file.path, os.O_RDWR)
file._lock(handle)
print("held", flush=True)
sys.stdin.readline()
record_file._unlock(handle)
os.close(handle)
"""


@pytest.fixture
def holder(tmp_path):
    """Another window that holds the lock until it is told to let go."""
    RecordFile(tmp_path, HEADER).append(line(1))
    child = subprocess.Popen(
        [sys.executable, "-c", HOLDING, str(tmp_path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert child.stdout is not None
    assert child.stdout.readline().strip() == "held"
    yield child
    child.kill()
    child.communicate()


def test_an_answer_waits_for_the_other_window_and_says_so_when_that_takes_too_long(tmp_path, holder, monkeypatch):
    monkeypatch.setattr(record_file, "LOCK_PATIENCE_S", 0.2)
    with pytest.raises(RecordError, match="being written by another window; close it and answer again"):
        RecordFile(tmp_path, HEADER).append(line(2))
    assert [answer.index for answer in RecordFile(tmp_path, HEADER).read().answers] == [1]


def test_an_answer_is_written_once_the_other_window_lets_go(tmp_path, holder, monkeypatch):
    waited = []

    def let_go(seconds):
        waited.append(seconds)
        if len(waited) == 2:
            holder.communicate("\n")

    monkeypatch.setattr(record_file.time, "sleep", let_go)
    RecordFile(tmp_path, HEADER).append(line(2))
    assert waited
    assert [answer.index for answer in RecordFile(tmp_path, HEADER).read().answers] == [1, 2]


def test_a_killed_window_holds_no_lock(tmp_path, holder):
    holder.send_signal(signal.SIGKILL if os.name != "nt" else signal.SIGTERM)
    holder.wait()
    RecordFile(tmp_path, HEADER).append(line(2))
    assert len(RecordFile(tmp_path, HEADER).read().answers) == 2


def test_a_disk_that_cannot_lock_is_not_taken_for_another_window(tmp_path, monkeypatch):
    def no_locks(file):
        raise OSError(95, "Operation not supported")

    monkeypatch.setattr(record_file, "_try_lock", no_locks)
    with pytest.raises(RecordError, match="cannot be written"):
        RecordFile(tmp_path, HEADER).append(line(1))


@pytest.mark.parametrize(
    ("lesson", "student"), [("Demo", "ines"), ("demo", "../ines"), ("demo", ""), ("", "x"), ("a/b", "x")]
)
def test_names_that_could_leave_the_folder_are_refused(lesson, student):
    with pytest.raises(RecordError, match="lower-case letters"):
        record_name(lesson, student)


def test_a_folder_that_is_not_there_is_an_error_when_writing_and_no_record_when_reading(tmp_path):
    file = RecordFile(tmp_path / "gone", HEADER)
    assert file.read().answers == ()
    with pytest.raises(RecordError, match=r"'demo\.ines-orta\.answers\.jsonl' cannot be written"):
        file.append(line(1))


def test_a_record_that_cannot_be_opened_is_an_error(tmp_path):
    file = RecordFile(tmp_path, HEADER)
    file.path.mkdir()
    with pytest.raises(RecordError, match="cannot be opened"):
        file.read()
    with pytest.raises(RecordError, match="cannot be written"):
        file.append(line(1))


def test_an_answer_too_long_for_a_line_is_refused_and_writes_nothing(tmp_path):
    file = RecordFile(tmp_path, HEADER)
    with pytest.raises(RecordError, match="at most"):
        file.append(line(1, answer={"form": "x" * 70_000}))
    assert not file.path.exists()


def test_a_full_record_refuses_more(tmp_path, monkeypatch):
    file = RecordFile(tmp_path, HEADER)
    file.append(line(1))
    monkeypatch.setattr(record_file, "MAX_BYTES", file.path.stat().st_size + 10)
    with pytest.raises(RecordError, match="is full"):
        file.append(line(2))
    assert len(file.read().answers) == 1


def test_a_record_at_a_relative_path_is_found_again(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    RecordFile(Path("."), HEADER).append(line(1))
    assert len(RecordFile(tmp_path, HEADER).read().answers) == 1
