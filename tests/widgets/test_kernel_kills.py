"""A kernel that is killed while a student answers: what the student was told of is in the record, and the work goes on.

Every second answer is right: half of what is in the record deserves a full mark, by definition.
"""

import queue
import random
import sys
import time

import pytest
from jupyter_client.manager import start_new_kernel

from musictheory_nb.practice.answer_record import RecordHeader
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import mark_lesson
from musictheory_nb.practice.record_file import RecordFile

COUNT, SEED = 200, 7
#: Kills while one exercise is answered.
A_PART = 4
SETTINGS = {"present": "notation", "partial": False}
#: Answers items as fast as it can, and prints the id of each answer when the verdict is on the screen.
ANSWERING = f"""
import musictheory_nb as mt
lesson = mt.open_lesson("demo", student="ines-orta", seed={SEED})
view = lesson.exercise("part-{{part}}", "interval-by-ear", count={COUNT}, settings={SETTINGS!r})
print("ready", flush=True)
while True:
    right = {{step.id: view.item.solution[step.id]["choice"][0] for step in view.item.response.steps}}
    for box in view.step_boxes:
        values = [option.value for option in box.step.inputs[0].options]
        wrong = next(value for value in values if value != right[box.step.id])
        box.enter("choice", wrong if view.index % 2 else right[box.step.id])
    if view.check() is None:
        break
    print(lesson.answers[-1].id, flush=True)
    view.show(view.index + 1)
"""


def printed(client, seconds: float, until: str = "") -> list[str]:
    """What the kernel prints in that time, or until it has printed `until`."""
    told = ""
    end = time.monotonic() + seconds
    while (left := end - time.monotonic()) > 0 and (not until or until not in told.split()):
        try:
            message = client.get_iopub_msg(timeout=left)
        except queue.Empty:
            break
        if message["msg_type"] == "error":
            raise AssertionError("\n".join(message["content"]["traceback"]))
        if message["msg_type"] == "stream":
            told += message["content"]["text"]
    return told.split()


def check_kills(folder, kills: int, seed: int) -> None:
    chance = random.Random(seed)
    acknowledged: set[str] = set()
    for number in range(kills):
        manager, client = start_new_kernel(kernel_name="python3", cwd=str(folder))
        try:
            client.execute(ANSWERING.replace("{part}", str(number // A_PART)))
            told = printed(client, 60, "ready")
            told += printed(client, 0.05 + 0.3 * chance.random())
            manager.provisioner.process.kill()  # as a crash does, with no farewell
            told += printed(client, 0.03)
        finally:
            client.stop_channels()
            manager.shutdown_kernel(now=True)
        assert told[0] == "ready"
        acknowledged |= set(told[1:])
    reading = RecordFile(folder, RecordHeader("demo", "ines-orta")).read()
    assert len(acknowledged) >= kills // 2
    assert acknowledged <= {line.id for line in reading.answers}
    assert all("not JSON" in problem or "incomplete" in problem for problem in reading.problems)
    parts = [f"part-{number}" for number in range(-(-kills // A_PART))]
    plan = LessonPlan(
        "demo", "demo", tuple(Exercise(id, "interval-by-ear", SETTINGS, COUNT, lesson="demo") for id in parts)
    )
    marked = mark_lesson(plan, SEED, reading.answers)
    assert marked.answered == len(reading.answers)
    for exercise in marked.exercises:
        for at, item in enumerate(exercise.items):
            assert item.line is None or item.mark.score == float(at % 2 == 0)
    assert (marked.notes, marked.unread) == ((), ())


pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="Windows ends a process in another way")


def test_kills_of_the_answering_kernel_lose_nothing(tmp_path):
    check_kills(tmp_path, 2, 1)


@pytest.mark.full
def test_two_hundred_kills_of_the_answering_kernel_lose_nothing(tmp_path):
    check_kills(tmp_path, 200, 2)
