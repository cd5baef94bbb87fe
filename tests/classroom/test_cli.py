"""The command line: help with an example, plain errors, exit statuses, and nothing imported from where it is started."""

import csv
import io
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from musictheory_nb.classroom.exit_status import STATUSES
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.cli import main

COMMANDS = ["lab", "handout", "mark", "policy", "demo", "lesson"]
ROSTER = "student,name,email\nada-quill,Ada Quill,ada@school.example\nben-otu,Ben Otu,\n"


@pytest.fixture
def run(monkeypatch, capsys):
    """Return a function that runs the command line and returns (exit status, output, errors)."""
    monkeypatch.setenv("COLUMNS", "100")

    def call(*arguments: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["musictheory-nb", *map(str, arguments)])
        with pytest.raises(SystemExit) as ended:
            main()
        told = capsys.readouterr()
        return int(ended.value.code or 0), told.out, told.err

    return call


@pytest.fixture
def roster(tmp_path) -> Path:
    path = tmp_path / "class.csv"
    path.write_text(ROSTER, encoding="utf-8")
    return path


def script() -> str:
    """The console script that pip installed beside this Python."""
    found = shutil.which("musictheory-nb", path=str(Path(sys.executable).parent))
    assert found, "the package is not installed beside this Python"
    return found


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_each_command_has_an_example(run, command):
    status, out, _ = run(command, "--help")
    assert status == 0
    assert f"Example: musictheory-nb {command}" in " ".join(out.split())


def test_help_says_what_the_exit_statuses_mean(run):
    status, out, _ = run("--help")
    assert status == 0
    told = " ".join(out.split())
    assert all(f"{number} {words}" in told for number, words in STATUSES.items())
    assert all(command in told for command in COMMANDS)


def test_version_is_the_installed_one(run):
    from importlib.metadata import version

    assert run("--version")[:2] == (0, f"musictheory-nb {version('musictheory-nb')}\n")


def test_from_handout_to_marks(run, lesson_path, roster, tmp_path, classroom):
    folder, out = tmp_path / "term2", tmp_path / "marks"
    due = "2026-11-01 23:59 Europe/Berlin"
    status, told, _ = run("handout", lesson_path, "--roster", roster, "--to", folder, "--due", due)
    assert status == 0
    assert "Read intervals: 2 copies written, 0 left as they were" in told
    assert "2026-11-01T22:59:00Z" in told
    status, told, _ = run("handout", lesson_path, "--roster", roster, "--to", folder)
    assert "0 copies written, 2 left as they were" in told
    status, told, errors = run("mark", lesson_path, folder, "--to", out)
    assert (status, errors) == (0, "")
    assert sorted(path.name for path in out.iterdir()) == ["marks.csv", "report.html"]
    with (out / "marks.csv").open(encoding="utf-8", newline="") as file:
        assert [row["student"] for row in csv.DictReader(file)] == ["ada-quill", "ben-otu"]


def test_marks_are_what_the_answers_deserve(run, classroom, tmp_path):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    status, told, _ = run("mark", classroom.path, classroom.folder, "--to", tmp_path / "out")
    assert status == 0
    with (tmp_path / "out" / "marks.csv").open(encoding="utf-8", newline="") as file:
        rows = {row["student"]: row for row in csv.DictReader(file)}
    assert (rows["ada-quill"]["points"], rows["ada-quill"]["first"]) == ("6", "6")  # 3 of 4 items, 8 points
    assert "6.00" in told


def test_rerun_agrees_or_ends_with_its_own_status(run, classroom, tmp_path, monkeypatch):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, False]))
    arguments = ("mark", classroom.path, classroom.folder, "--to", tmp_path / "out", "--rerun")
    status, told, _ = run(*arguments)
    assert status == 0
    assert "Re-run: 1 students with answers, the same marks" in told
    from musictheory_nb.classroom import rerun as module

    monkeypatch.setattr(module, "marks_data", lambda marked: {"first": [1.0, 1.0, None, None], "second": [None, None]})
    status, told, errors = run(*arguments)
    assert status == 3
    assert "Error: the re-run disagrees for 1 of 1 students: ada-quill: first item 2" in errors
    assert "re-run: first item 2" in (tmp_path / "out" / "report.html").read_text(encoding="utf-8")


def test_marks_by_a_policy_in_the_columns_of_a_school(run, classroom, tmp_path):
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    policy, out = tmp_path / "policy.toml", tmp_path / "out"
    assert run("policy", "--to", policy)[0] == 0
    assert "is there already" in run("policy", "--to", policy)[2]
    assert run("policy")[1] == policy.read_text(encoding="utf-8")
    policy.write_text("[weights]\nsecond = 0\n[rounding]\nto = 1\n", encoding="utf-8")
    (classroom.home("ben-otu") / "music21.py").touch()
    status, told, errors = run(
        "mark", classroom.path, classroom.folder, "--to", out, "--policy", policy, "--students", "--junit", out / "j.xml",
        "--columns", "student,final_percent,first", "--order", "percent", "--separator", "semicolon", "--decimal", "comma",
        "--fail-on-notices",
    )  # fmt: skip
    assert (status, errors) == (4, "")  # something is to be looked at
    lines = (out / "marks.csv").read_text(encoding="utf-8").splitlines()
    assert lines[:2] == ["student;final_percent;first", "ada-quill;75;6"]  # 3 of 4 items, 8 points; second counts 0
    assert "75.0 %" in told
    assert "Students: 3 marked, 0 as before; 3 pages made" in told
    assert sorted(path.name for path in (out / "students").glob("*.html")) == [
        f"{one.student.id}.html" for one in classroom.assignment.copies
    ]
    assert "<testsuites" in (out / "j.xml").read_text(encoding="utf-8")
    assert "0 marked, 3 as before" in run("mark", classroom.path, classroom.folder, "--to", out)[1]
    assert "3 marked, 0 as before" in run("mark", classroom.path, classroom.folder, "--to", out, "--all")[1]


def test_what_was_handed_out_once_more_is_marked_under_its_name(run, classroom, roster, tmp_path):
    folder = tmp_path / "t"
    run("handout", classroom.path, "--roster", roster, "--to", folder, "--as", "once-more")
    status, told, _ = run("mark", classroom.path, folder, "--to", tmp_path / "out", "--as", "once-more")
    assert (status, "nothing handed in" in told or "0 of 6" in told) == (0, True)
    status, _, errors = run("mark", classroom.path, folder, "--to", tmp_path / "out")
    assert (status, "'read-intervals' was not handed out; handed out: once-more" in errors) == (1, True)


ERRORS = [
    (["mark", "LESSON", "FOLDER", "--to", "out", "--columns", "student,percnt"], "did you mean 'percent'?"),
    (["mark", "LESSON", "FOLDER", "--to", "out", "--order", "age"], "order 'age'; allowed: roster, name"),
    (["mark", "LESSON", "FOLDER", "--to", "out", "--policy", "none.toml"], "none.toml"),
    (["mark", "LESSON", "FOLDER", "--to", "out", "--workers", "-1"], "workers -1; allowed"),
    (
        ["mark", "LESSON", "FOLDER", "--to", "out", "--junit", "FOLDER/ada-quill/j.xml"],
        "lies in the folder of 'ada-quill'",
    ),
    (["mark", "nowhere.ipynb", ".", "--to", "out"], "lesson 'nowhere.ipynb'"),
    (["handout", "nowhere.ipynb", "--roster", "x.csv", "--to", "out"], "lesson 'nowhere.ipynb'"),
    (["handout", "LESSON", "--roster", "x.csv", "--to", "out"], "roster 'x.csv' cannot be opened"),
    (["handout", "LESSON", "--roster", "ROSTER", "--to", "out", "--due", "23:59"], "due '23:59': write date, time"),
    (["handout", "LESSON", "--roster", "ROSTER", "--to", "ROSTER"], "cannot be made"),
    (["mark", "LESSON", "empty", "--to", "out"], "class file 'empty/class.sqlite': there is none"),
    (["mark", "FOLDER/ada-quill/read-intervals.ipynb", "FOLDER", "--to", "out"], "this is the copy of 'ada-quill'"),
    (["mark", "LESSON", "FOLDER", "--to", "FOLDER/ada-quill/out"], "lies in the folder of 'ada-quill'"),
    (["lab", "nowhere"], "'nowhere': there is no such folder or notebook"),
]


@pytest.mark.parametrize(("arguments", "message"), ERRORS, ids=[message[:40] for _, message in ERRORS])
def test_errors_are_one_line_and_status_1(run, classroom, roster, tmp_path, monkeypatch, arguments, message):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "empty").mkdir()
    names = {"LESSON": str(classroom.path), "ROSTER": str(roster), "FOLDER": str(classroom.folder)}
    given = []
    for argument in arguments:
        for name, value in names.items():
            argument = argument.replace(name, value)
        given.append(argument)
    status, out, errors = run(*given)
    assert status == 1
    assert errors.startswith("Error: ")
    assert errors.count("\n") == 1
    assert message in errors
    assert "Traceback" not in out + errors
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("arguments", [["mark"], ["handout", "x.ipynb"], ["sing"], ["demo", "--loud"]])
def test_wrong_commands_end_with_status_2(run, arguments):
    assert run(*arguments)[0] == 2


def test_names_of_students_are_no_markup_on_the_screen(run, lesson_path, tmp_path):
    roster = tmp_path / "class.csv"
    roster.write_text("name\n[bold red]Ada[/bold red]\n\x1b[31mBen\n", encoding="utf-8")
    run("handout", lesson_path, "--roster", roster, "--to", tmp_path / "t")
    _, out, _ = run("mark", lesson_path, tmp_path / "t", "--to", tmp_path / "out")
    assert "[bold red]Ada[/bold red]" in out
    assert "\x1b" not in out


TRAP = "import pathlib\npathlib.Path({place!r}).write_text(__name__)\n"
#: Modules that a grader or a re-run might look for where it is started.
NAMES = [
    "music21",
    "typer",
    "rich",
    "json",
    "csv",
    "statistics",
    "numpy",
    "matplotlib",
    "verovio",
    "nbclient",
    "nbformat",
]
NAMES += ["ipykernel", "ipykernel_launcher", "IPython", "ipywidgets", "sitecustomize", "usercustomize"]


@pytest.mark.parametrize("how", ["console script", "python -m"])
def test_student_who_hands_in_modules_and_a_changed_seed_gets_two_lines_and_the_same_marks(classroom, tmp_path, how):
    """Started in the student's own folder, with and without a re-run: neither has any effect but lines in the report."""
    classroom.record("ada-quill", classroom.lines("ada-quill", [True, True, True, False]))
    home = classroom.home("ada-quill")
    trap = TRAP.format(place=str(tmp_path / "imported"))
    for name in NAMES:
        (home / f"{name}.py").write_text(trap, encoding="utf-8")
    seed = classroom.copy("ada-quill").seed
    text = classroom.notebook("ada-quill").read_text(encoding="utf-8")
    classroom.notebook("ada-quill").write_text(text.replace(f"SEED = {seed}", "SEED = 7"), encoding="utf-8")
    command = [script()] if how == "console script" else [sys.executable, "-m", "musictheory_nb"]
    out = tmp_path / "out"
    done = subprocess.run(
        [*command, "mark", str(classroom.path), str(classroom.folder), "--to", str(out), "--rerun"],
        cwd=home,
        env={**os.environ, "COLUMNS": "200"},
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=240,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert not (tmp_path / "imported").exists(), (tmp_path / "imported").read_text(encoding="utf-8")
    rows = {row["student"]: row for row in csv.DictReader(io.StringIO((out / "marks.csv").read_text(encoding="utf-8")))}
    assert rows["ada-quill"]["points"] == "6"  # 3 of 4 items, 8 points
    lines = rows["ada-quill"]["problems"].split(" | ")
    assert len(lines) == len(NAMES) + 1
    assert "music21.py lies beside the notebook; it was neither run nor imported" in lines
    assert any("says its seed is 7" in line for line in lines)
    report = (out / "report.html").read_text(encoding="utf-8")
    assert "music21.py lies beside the notebook" in report
    assert "says its seed is 7" in report


def test_bundled_lesson_is_found_by_name_from_anywhere(tmp_path, monkeypatch):
    from musictheory_nb.classroom.lesson_folder import bundled_lessons, find_lesson

    lessons = bundled_lessons()
    assert lessons
    monkeypatch.chdir(tmp_path)
    for name in (lessons[0].name, lessons[0].stem, f"lessons/{lessons[0].name}"):
        assert find_lesson(Path(name)) == lessons[0]
    assert read_lesson(lessons[0]).plan.count > 0


def test_lab_opens_jupyterlab_on_the_folder(tmp_path):
    """Its own help is answered by JupyterLab itself: the options go through."""
    done = subprocess.run(
        [script(), "lab", str(tmp_path), "--version"], capture_output=True, encoding="utf-8", check=False, timeout=120
    )
    import jupyterlab

    assert (done.returncode, done.stdout.strip()) == (0, jupyterlab.__version__)


def test_lab_without_a_folder_passes_options_on_and_takes_the_bundled_lessons():
    done = subprocess.run(
        [script(), "lab", "--version"], capture_output=True, encoding="utf-8", check=False, timeout=120
    )
    import jupyterlab

    assert (done.returncode, done.stdout.strip()) == (0, jupyterlab.__version__)


def test_commands_on_the_class_file(run, classroom, tmp_path):
    lesson, folder = classroom.path, classroom.folder
    status, told, _ = run("class", "check", folder)
    assert status == 0
    assert "copy: 3 rows" in told
    assert "The class file is whole" in told
    (tmp_path / "paper.csv").write_text("student,exercise,question,answer\nada-quill,first,1,P5\n", encoding="utf-8")
    assert "1 answers entered" in run("class", "paper", folder, "read-intervals", tmp_path / "paper.csv")[1]
    assert run("class", "export", folder, "--to", tmp_path / "tables")[0] == 0
    assert (tmp_path / "tables" / "student.csv").is_file()
    assert "0 rows" in run("class", "import", folder, "comment", tmp_path / "tables" / "comment.csv")[1]
    assert run("class", "export", folder, "--to", tmp_path / "ada.zip", "--student", "ada-quill")[0] == 0
    assert "0 of 3 copies" in run("correct", lesson, folder)[1]
    status, _, errors = run("class", "erase", folder, "ada-quill")
    assert (status, "write --yes" in errors) == (1, True)
    assert "were taken out of the class file" in run("class", "erase", folder, "ada-quill", "--yes")[1]
    status, _, errors = run("class", "check", tmp_path / "nowhere")
    assert (status, "there is none; it is made by: musictheory-nb handout" in errors) == (1, True)


def test_hand_out_with_everything_a_roster_says(run, lesson_path, tmp_path):
    roster = tmp_path / "class.csv"
    roster.write_text("student,name,group,extra time,clef\nann,Ann,duo,1 day,\nbo,Bo,duo,,bass\n", encoding="utf-8")
    told = run(
        "handout", lesson_path, "--roster", roster, "--to", tmp_path / "t", "--due", "2026-10-31 23:59 America/New_York",
        "--attempts", "3", "--groups",
    )[1]  # fmt: skip
    assert "Due for Ann: 2026-11-01 23:59 America/New_York (2026-11-02T04:59:00Z)" in told
    told = run(
        "handout", lesson_path, "--roster", roster, "--to", tmp_path / "t", "--as", "once-more", "--makes-up",
        "read-intervals",
    )[1]  # fmt: skip
    assert "2 copies written" in told
    assert (tmp_path / "t" / "ann" / "once-more.ipynb").is_file()


def test_lesson_from_a_piece(run, tmp_path):
    piece = Path(__file__).parents[2] / "lessons" / "pieces" / "low-water-slack-rope.abc"
    to = tmp_path / "low_water.ipynb"
    status, told, _ = run("lesson", piece, "--to", to, "--level", "first", "--length", "5")
    assert status == 0
    assert "find-intervals" in told
    assert "Not sure, and not asked about" in told
    assert len(read_lesson(to).plan.exercises) == 5
    status, _, errors = run("lesson", piece, "--to", to, "--level", "hard")
    assert status == 1
    assert "allowed: first, middle, advanced" in errors
