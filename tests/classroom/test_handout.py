"""Handing out: nothing is overwritten, seeds stay, and old copies stay gradable."""

import hashlib
import json
import os
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from musictheory_nb.classroom.assignment_store import find_assignment, load_assignment
from musictheory_nb.classroom.class_file import ClassFile
from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.manifest import load_manifest, manifest_path
from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.classroom.roster import Student
from musictheory_nb.errors import ClassroomError, ManifestError

ROOT = Path(__file__).parents[2]
NEW = Student("dee-moss", "Dee Moss")


def tree(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def students_of(classroom):
    return tuple(copy.student for copy in classroom.assignment.copies)


def test_one_folder_and_copy_for_each_student_and_the_class_file_outside(classroom):
    assert sorted(tree(classroom.folder)) == [
        "ada-quill/read-intervals.ipynb",
        "ben-otu/read-intervals.ipynb",
        "class.sqlite",
        "cy-lark/read-intervals.ipynb",
    ]
    assert len({copy.seed for copy in classroom.assignment.copies}) == 3
    with ClassFile.open(classroom.folder) as file:
        assert load_assignment(file, "read-intervals") == classroom.assignment


def test_what_an_exercise_calls_right_is_folded_away_in_every_copy(tmp_path):
    """The sections of a piece stand in the settings of its exercise: a student who runs cell by cell must not read them."""
    lesson = read_lesson(ROOT / "lessons" / "15_map_the_form_of_a_rag.ipynb")
    unfolded = replace(
        lesson,
        content={
            **lesson.content,
            "cells": [
                {**cell, "metadata": {name: value for name, value in cell["metadata"].items() if name == "tags"}}
                for cell in lesson.content["cells"]
            ],
        },
    )
    for one in (lesson, unfolded):
        hand_out(one, (NEW,), tmp_path / str(id(one)))
        copy = json.loads((tmp_path / str(id(one)) / NEW.id / "map-a-rag.ipynb").read_text(encoding="utf-8"))
        seen = [cell for cell in copy["cells"] if not cell["metadata"].get("jupyter", {}).get("source_hidden")]
        assert len(seen) < len(copy["cells"])
        assert not [cell for cell in seen if "sections" in "".join(cell["source"]) and cell["cell_type"] == "code"]


def test_seed_is_sha_256_of_key_student_and_lesson(classroom):
    """Worked out here by hashlib from the docstring of `Manifest.seed_for` alone."""
    for copy in classroom.assignment.copies:
        text = f'["{classroom.assignment.class_key}","{copy.student.id}","read-intervals"]'
        assert copy.seed == int(hashlib.sha256(text.encode()).hexdigest()[:12], 16)


def test_class_keys_differ(classroom, tmp_path):
    other = hand_out(classroom.lesson, students_of(classroom), tmp_path / "other").assignment
    assert other.class_key != classroom.assignment.class_key
    assert len(other.class_key) == 32


def test_twice_changes_nothing(classroom):
    before = tree(classroom.folder)
    stamps = {path: path.stat().st_mtime_ns for path in classroom.folder.rglob("*")}
    done = hand_out(classroom.lesson, students_of(classroom), classroom.folder)
    assert (done.written, len(done.kept), done.remarks) == ((), 3, ())
    assert tree(classroom.folder) == before
    assert {path: path.stat().st_mtime_ns for path in classroom.folder.rglob("*")} == stamps


def test_adding_a_student_adds_one_and_never_touches_a_notebook(classroom):
    classroom.notebook("ada-quill").write_text("worked on", encoding="utf-8")
    before = tree(classroom.folder)
    done = hand_out(classroom.lesson, (NEW, *students_of(classroom)), classroom.folder)
    after = tree(classroom.folder)
    assert done.written == ("dee-moss",)
    assert set(after) - set(before) == {"dee-moss/read-intervals.ipynb"}
    assert all(after[name] == data for name, data in before.items() if name != "class.sqlite")
    assert {copy.student.id: copy.seed for copy in done.assignment.copies if copy.student != NEW} == {
        copy.student.id: copy.seed for copy in classroom.assignment.copies
    }


def test_a_student_who_leaves_stays_in_the_class_file(classroom):
    done = hand_out(classroom.lesson, students_of(classroom)[:2], classroom.folder)
    assert len(done.assignment.copies) == 3
    assert done.remarks == ("no longer in the roster, but kept in the class file: cy-lark",)


def test_a_lost_copy_comes_back_with_the_same_seed(classroom):
    before = tree(classroom.folder)
    classroom.notebook("ben-otu").unlink()
    assert hand_out(classroom.lesson, students_of(classroom), classroom.folder).written == ("ben-otu",)
    assert tree(classroom.folder) == before


def test_due_time_is_kept_until_a_new_one_is_given(classroom):
    due = read_due("2026-11-01 23:59 Europe/Berlin")
    assert hand_out(classroom.lesson, students_of(classroom), classroom.folder, due).assignment.due == due
    assert hand_out(classroom.lesson, students_of(classroom), classroom.folder).assignment.due == due


def test_corrected_lesson_keeps_old_copies_gradable(classroom, cells_of, save):
    """Who has an old copy is marked by it; a new student gets the corrected lesson."""
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    cells = cells_of()
    cells[3]["source"] = cells[3]["source"].replace("count=4, points=8", "count=2, points=20")
    corrected = read_lesson(save(classroom.path, cells))
    done = hand_out(corrected, (*students_of(classroom), NEW), classroom.folder)
    assert done.written == ("dee-moss",)
    assert "changed since 3 copies were handed out" in done.remarks[0]
    marks = mark_class(corrected, done.assignment, classroom.folder)
    by_id = {one.student.id: one for one in marks.students}
    assert by_id["ada-quill"].points == pytest.approx(3 / 4 * 8)
    assert (by_id["ada-quill"].points_possible, by_id["dee-moss"].points_possible) == (9.5, 21.5)
    assert marks.problems == (
        "the lesson was changed since it was handed out to 3 of 4 students; they are marked by the version that they got",
    )
    # … and it comes back when it is lost
    old = classroom.notebook("cy-lark").read_bytes()
    classroom.notebook("cy-lark").unlink()
    hand_out(corrected, (*students_of(classroom), NEW), classroom.folder)
    assert classroom.notebook("cy-lark").read_bytes() == old


def test_copies_without_their_class_file_are_not_handed_out_over(classroom):
    (classroom.folder / "class.sqlite").unlink()
    with pytest.raises(ManifestError, match=r"holds copies of 'read-intervals' .* but the class file"):
        hand_out(classroom.lesson, students_of(classroom), classroom.folder)


def test_nothing_is_written_through_a_link(classroom, tmp_path):
    outside = tmp_path / "outside"
    outside.mkdir()
    (classroom.folder / "dee-moss").symlink_to(outside, target_is_directory=True)
    with pytest.raises(ClassroomError, match="is a link; nothing is written through links"):
        hand_out(classroom.lesson, (NEW,), classroom.folder)
    assert not list(outside.iterdir())


def test_a_link_in_place_of_the_copy_is_left_alone(classroom, tmp_path):
    outside = tmp_path / "outside.txt"
    home = classroom.home("dee-moss")
    home.mkdir()
    (home / "read-intervals.ipynb").symlink_to(outside)
    assert hand_out(classroom.lesson, (NEW,), classroom.folder).kept == ("dee-moss",)
    assert not outside.exists()


def test_no_draft_is_left_behind(classroom):
    assert not [name for name in os.listdir(classroom.folder) if name.endswith(".part")]


DAMAGE = [
    (lambda data: data | {"format": 2}, "format '2' is not what a hand-out writes"),
    (lambda data: data | {"class_key": "x"}, "class_key"),
    (lambda data: data | {"more": 1}, "its fields are"),
    (lambda data: data | {"due": {"utc": "tomorrow", "written": ""}}, "due"),
    (lambda data: data | {"lessons": {}}, "the lesson that 'ada-quill' got is not kept in it"),
    (lambda data: data | {"students": [*data["students"], data["students"][0]]}, "'ada-quill' stands in it twice"),
    (lambda data: data | {"students": [{**data["students"][0], "id": "../x"}]}, "student 1 is not what a hand-out"),
    (lambda data: data | {"students": [{**data["students"][0], "seed": 1.5}]}, "student 1 is not what a hand-out"),
    (lambda data: data | {"students": [{**data["students"][0], "seed": True}]}, "student 1 is not what a hand-out"),
    (lambda data: [data], "its fields are none"),
]


def old_manifest(assignment) -> dict:
    """The manifest that hand-outs of 0.2 and before wrote, from the docstring of `manifest` alone."""
    return {
        "format": 1,
        "lesson": assignment.lesson,
        "title": assignment.title,
        "digest": assignment.digest,
        "class_key": assignment.class_key,
        "due": {"utc": "2026-11-01T22:59:00Z", "written": "2026-11-01 23:59 Europe/Berlin"},
        "students": [
            {
                "id": copy.student.id,
                "name": copy.student.name,
                "email": copy.student.email,
                "seed": copy.seed,
                "digest": copy.digest,
            }
            for copy in assignment.copies
        ],
        "lessons": {digest: dict(content) for digest, content in assignment.lessons.items()},
    }


@pytest.fixture
def old_classroom(classroom):
    """The class as it was handed out before there was a class file."""
    (classroom.folder / "class.sqlite").unlink()
    path = manifest_path(classroom.folder, "read-intervals")
    path.write_text(json.dumps(old_manifest(classroom.assignment)), encoding="utf-8")
    return classroom


@pytest.mark.parametrize(("damage", "message"), DAMAGE, ids=[message for _, message in DAMAGE])
def test_damaged_manifest_is_refused(old_classroom, damage, message):
    path = manifest_path(old_classroom.folder, "read-intervals")
    path.write_text(json.dumps(damage(json.loads(path.read_text(encoding="utf-8")))), encoding="utf-8")
    with pytest.raises(ManifestError, match=message):
        load_manifest(path)
    with pytest.raises(ManifestError, match=message):
        hand_out(old_classroom.lesson, students_of(old_classroom), old_classroom.folder)


def test_a_manifest_of_another_lesson_is_refused(old_classroom):
    path = manifest_path(old_classroom.folder, "read-intervals")
    text = path.read_text(encoding="utf-8").replace('"lesson": "read-intervals"', '"lesson": "other"', 1)
    path.write_text(text, encoding="utf-8")
    with pytest.raises(ManifestError, match="is the manifest of the lesson 'other'"):
        find_assignment("read-intervals", old_classroom.folder)


def test_a_hand_out_of_before_is_marked_and_taken_over(old_classroom):
    """Old seeds, copies and due time stay; a new student gets a seed from the old key."""
    old_classroom.record("ada-quill", old_classroom.lines("ada-quill", [True, True, True, False]))
    found, path = find_assignment("read-intervals", old_classroom.folder)
    assert path.name == "read-intervals.manifest.json"
    marks = mark_class(old_classroom.lesson, found, old_classroom.folder)
    assert (marks.students[0].points, marks.problems) == (6, ())
    done = hand_out(old_classroom.lesson, (*students_of(old_classroom), NEW), old_classroom.folder)
    assert done.written == ("dee-moss",)
    assert done.assignment.copies[:3] == old_classroom.assignment.copies
    assert done.assignment.due.utc == "2026-11-01T22:59:00Z"
    text = f'["{old_classroom.assignment.class_key}","dee-moss","read-intervals"]'
    assert done.assignment.copies[3].seed == int(hashlib.sha256(text.encode()).hexdigest()[:12], 16)
    found, path = find_assignment("read-intervals", old_classroom.folder)
    assert (found, path.name) == (done.assignment, "class.sqlite")
    assert mark_class(old_classroom.lesson, found, old_classroom.folder).problems == ()


def test_a_version_changed_in_the_class_file_is_refused(classroom, cells_of, save):
    cells = cells_of()
    cells[3]["source"] = cells[3]["source"].replace("count=4", "count=5")
    corrected = read_lesson(save(classroom.path, cells))
    kept = dict(classroom.assignment.lessons)
    ((digest, content),) = kept.items()
    kept[digest] = json.loads(json.dumps(content).replace("count=4", "count=3"))
    with pytest.raises(ManifestError, match="was changed"):
        mark_class(corrected, replace(classroom.assignment, lessons=kept), classroom.folder)


HAND_OUT = """
import sys
from pathlib import Path
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.roster import Student
students = tuple(Student(f"s{number}", f"S {number}") for number in range(int(sys.argv[3])))
hand_out(read_lesson(Path(sys.argv[1])), students, Path(sys.argv[2]))
"""


def test_two_hand_outs_at_once_agree(classroom, tmp_path):
    """Both make the class file, draw the class key and write copies at the same time: there is one of each."""
    folder = tmp_path / "new"
    command = [sys.executable, "-c", HAND_OUT, str(classroom.path), str(folder)]
    both = [subprocess.Popen([*command, count], stderr=subprocess.PIPE) for count in ("20", "30")]
    assert [one.communicate()[1] for one in both] == [b"", b""]
    done = hand_out(classroom.lesson, [Student(f"s{number}", f"S {number}") for number in range(30)], folder)
    assert (done.written, len(done.kept), done.remarks) == ((), 30, ())
    for copy in done.assignment.copies:
        text = (folder / copy.student.id / "read-intervals.ipynb").read_text(encoding="utf-8")
        assert f"SEED = {copy.seed}" in text


def test_a_hand_out_killed_at_any_moment_is_finished_by_the_next(classroom, tmp_path):
    folder = tmp_path / "new"
    for wait in (0.2, 0.35, 0.5):
        started = subprocess.Popen([sys.executable, "-c", HAND_OUT, str(classroom.path), str(folder), "60"])
        time.sleep(wait)
        started.kill()
        started.wait()
    seeds = {}
    if (folder / "class.sqlite").exists():
        with ClassFile.open(folder, make=True) as file:
            assert file.check() == ()
            seeds = {row["student"]: row["seed"] for row in file.rows("copy")}
    done = hand_out(classroom.lesson, [Student(f"s{number}", f"S {number}") for number in range(60)], folder)
    assert len(done.written) + len(done.kept) == 60
    assert {copy.student.id: copy.seed for copy in done.assignment.copies} | seeds == {
        copy.student.id: copy.seed for copy in done.assignment.copies
    }
