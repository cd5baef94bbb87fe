"""The steps of ``docs/without-sound.md``: a printed copy for some, the lesson for all, one folder, one marking run."""

import re
import subprocess
import sys
from pathlib import Path

import nbformat

from musictheory_nb.classroom.lesson_notebook import read_lesson

ROOT = Path(__file__).parents[2]
LESSON = ROOT / "lessons" / "01_hear_the_tritone.ipynb"


def run(*arguments: object) -> str:
    command = [sys.executable, "-m", "musictheory_nb", *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def printed_copy(to: Path) -> None:
    notebook = nbformat.read(LESSON, as_version=4)
    for cell in notebook.cells:
        if "exercise" in cell.metadata.get("tags", []) and '"present"' not in cell.source:
            if "settings={" in cell.source:
                cell.source = cell.source.replace("settings={", 'settings={"present": "notation", ')
            else:
                cell.source = re.sub(r"\)\s*$", ', settings={"present": "notation"})', cell.source)
    nbformat.write(notebook, to)


def test_some_get_the_printed_copy_and_all_are_marked_together(tmp_path):
    printed, home = tmp_path / "printed.ipynb", tmp_path / "term1"
    printed_copy(printed)
    (tmp_path / "printed.csv").write_text("student,name\ncy-lark,Cy Lark\n", encoding="utf-8")
    (tmp_path / "class.csv").write_text("student,name\nada-quill,Ada Quill\ncy-lark,Cy Lark\n", encoding="utf-8")
    run("handout", printed, "--roster", tmp_path / "printed.csv", "--to", home)
    assert "1 copy written, 1 left as it was" in run(
        "handout", LESSON, "--roster", tmp_path / "class.csv", "--to", home
    )
    # the same number of questions for the same points; no question of the printed one sounds
    silent, plan = read_lesson(printed).plan, read_lesson(LESSON).plan
    assert [(one.id, one.count, one.points) for one in silent.exercises] == [
        (one.id, one.count, one.points) for one in plan.exercises
    ]
    for exercise in silent.exercises:
        for index in range(exercise.count):
            assert {request.kind for request in exercise.item(7, index).shown("asked")} == {"notation"}
    copies = {id: (home / id / "hear-the-tritone.ipynb").read_text(encoding="utf-8") for id in ("ada-quill", "cy-lark")}
    assert copies["cy-lark"].count("notation") > copies["ada-quill"].count("notation")
    marked = run("mark", LESSON, home, "--to", tmp_path / "marks")
    assert "Ada Quill" in marked
    assert "Cy Lark" in marked
    assert "changed since it was handed out to 1 of 2 students" in marked


def test_the_lessons_that_the_page_says_need_no_other_copy_show_what_they_sound():
    for path in sorted(LESSON.parent.glob("*.ipynb"))[1:]:
        for exercise in read_lesson(path).plan.exercises:
            for index in range(exercise.count):
                kinds = {request.kind for request in exercise.item(7, index).shown("asked")}
                assert "notation" in kinds, (path.name, exercise.id, kinds)
