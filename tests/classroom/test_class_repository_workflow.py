"""The workflow file for a class repository: its own commands are run on a made-up class, and it asks for no more than it needs."""

import csv
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml

WORKFLOW = Path(__file__).parents[2] / "docs" / "class-repository-workflow.yml"


@pytest.fixture(scope="module")
def workflow() -> dict:
    return yaml.safe_load(WORKFLOW.read_text(encoding="utf-8"))


def steps(workflow: dict) -> list[dict]:
    return [step for job in workflow["jobs"].values() for step in job["steps"]]


def test_least_permissions_and_no_secret_where_hand_ins_are_read(workflow):
    assert workflow["permissions"] == {}
    assert all(job["permissions"] == {"contents": "read"} for job in workflow["jobs"].values())
    assert "secrets." not in str(workflow["jobs"]["mark"])
    assert "secrets." not in str([step.get("run") for step in steps(workflow)])
    assert workflow["env"] == {"PYTHONSAFEPATH": "1"}
    assert all("pull_request" not in str(event) for event in workflow[True])  # YAML 1.1 reads the key `on` as true


def test_actions_are_pinned_to_commits_with_their_version(workflow):
    text = WORKFLOW.read_text(encoding="utf-8")
    used = [step["uses"] for step in steps(workflow) if "uses" in step]
    assert len(used) == 6
    for action in used:
        assert re.fullmatch(r"actions/[a-z-]+@[0-9a-f]{40}", action)
        assert re.search(rf"{re.escape(action)} # v\d+\.\d+\.\d+\n", text)


def test_checkouts_leave_no_credentials_and_lie_apart(workflow):
    checkouts = [step["with"] for step in steps(workflow) if "checkout" in step.get("uses", "")]
    assert [one["path"] for one in checkouts] == ["handed-in", "class"]
    assert all(one["persist-credentials"] is False for one in checkouts)


def test_no_text_of_a_student_reaches_a_command_line(workflow):
    """Expressions in ``run`` are pasted into the script; there are none."""
    assert not [step["run"] for step in steps(workflow) if "${{" in step.get("run", "")]


@pytest.mark.skipif(sys.platform == "win32", reason="the workflow runs on Linux; its commands are for bash and GNU tar")
def test_its_commands_mark_a_class(workflow, classroom, tmp_path):
    bash = shutil.which("bash")
    assert bash
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    fetch, work, temp = tmp_path / "collect", tmp_path / "mark", tmp_path / "temp"
    for folder in (fetch, work / "class" / "lessons", work / "class" / "grader", temp):
        folder.mkdir(parents=True)
    # what the checkouts leave: the class repository, and apart from it what students handed in, traps and all
    class_file = classroom.folder / "class.sqlite"
    class_file.rename(work / "class" / "class.sqlite")
    shutil.copy(classroom.path, work / "class" / "lessons")
    (work / "class" / "grader" / "requirements.txt").write_text("musictheory-nb\n", encoding="utf-8")
    shutil.copytree(classroom.folder, fetch / "handed-in")
    (fetch / "handed-in" / ".git").mkdir()
    (fetch / "handed-in" / ".git" / "config").write_text("secret", encoding="utf-8")
    (fetch / "handed-in" / "cy-lark" / "leak.ipynb").symlink_to("/etc/passwd")
    for name in ("pip.py", "tarfile.py", "music21.py", "musictheory_nb.py"):
        (fetch / "handed-in" / "ben-otu" / name).write_text("raise SystemExit(9)", encoding="utf-8")
    environment = {
        **os.environ,
        **workflow["env"],
        "RUNNER_TEMP": str(temp),
        "PATH": os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]]),
        "PIP_NO_INDEX": "1",
        "PIP_DISABLE_PIP_VERSION_CHECK": "1",
    }
    for name, folder in (("collect", fetch), ("mark", work)):
        for step in workflow["jobs"][name]["steps"]:
            if "download-artifact" in step.get("uses", ""):
                (work / step["with"]["path"]).mkdir()
                shutil.copy(temp / "handed-in.tar", work / step["with"]["path"])
            if "run" in step:
                # the options with which the service runs a script of bash
                command = [bash, "--noprofile", "--norc", "-eo", "pipefail", "-c", step["run"]]
                done = subprocess.run(
                    command, cwd=folder, env=environment, capture_output=True, encoding="utf-8", check=False
                )
                assert done.returncode == 0, (step, done.stdout, done.stderr)
    kept = next(step for step in workflow["jobs"]["mark"]["steps"] if step.get("if") == "always()")["with"]["path"]
    out = work / kept / "01_read_intervals"
    assert sorted(path.name for path in out.iterdir()) == ["marks.csv", "report.html"]
    with (out / "marks.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["student"]: row for row in csv.DictReader(file)}
    assert rows["ada-quill"]["points"] == "6"  # 3 of 4 items, 8 points
    assert "leak.ipynb is a link; it was not followed" in rows["cy-lark"]["problems"]
    assert not (work / "handed-in" / ".git").exists()


def test_its_commands_end_red_when_the_class_file_is_missing(workflow, classroom, tmp_path):
    """Every lesson is tried, and the run fails."""
    (tmp_path / "class" / "lessons").mkdir(parents=True)
    shutil.copy(classroom.path, tmp_path / "class" / "lessons")
    (tmp_path / "handed-in").mkdir()
    command = next(step["run"] for step in steps(workflow) if "musictheory-nb mark" in step.get("run", ""))
    path = os.pathsep.join([str(Path(sys.executable).parent), os.environ["PATH"]])
    done = subprocess.run(
        [shutil.which("bash") or "bash", "-eo", "pipefail", "-c", command],
        cwd=tmp_path,
        env={**os.environ, "PATH": path},
        capture_output=True,
        encoding="utf-8",
        check=False,
    )
    assert done.returncode == 1
    assert "there is none; it is made by: musictheory-nb handout" in done.stderr
