"""Make the README's picture of a lesson: ``python docs/make_screenshot.py``.

Hands a lesson out to an invented student, opens it in JupyterLab in Chromium, answers a question, and takes the picture.
"""

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.roster import Student as Pupil

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "browser"))

from lab_server import lab_server
from notebook_page import NotebookPage
from student_hands import Student

ROOT = Path(__file__).parents[1]
LESSON = ROOT / "lessons" / "02_hear_the_tritone.ipynb"
PICTURE = ROOT / "docs" / "images" / "lesson.png"
_ARGUMENTS = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking")


def main() -> None:
    """Write the picture."""
    lesson = read_lesson(LESSON)
    with tempfile.TemporaryDirectory() as folder, lab_server(Path(folder)) as server, sync_playwright() as playwright:
        done = hand_out(lesson, (Pupil("ines-orta", "Inés Orta"),), Path(folder) / "term1", class_key="0" * 32)
        exercise = lesson.plan.exercises[0]
        item = exercise.item(done.assignment.copies[0].seed, 0)
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=list(_ARGUMENTS))
        page = browser.new_page(viewport={"width": 1180, "height": 1290})
        opened = NotebookPage(page, server).open(f"term1/ines-orta/{lesson.plan.id}.ipynb")
        opened.run_all()
        page.evaluate("() => window.jupyterapp.commands.execute('application:toggle-left-area')")
        student = Student(opened, 0)
        student.listen()
        student.answer(item, {"interval": {"choice": item.solution["interval"]["choice"][0]}}, by_keyboard=False)
        page.wait_for_timeout(1500)
        student.exercise.locator(".mtnb-notation").last.scroll_into_view_if_needed()
        page.wait_for_timeout(500)
        PICTURE.parent.mkdir(parents=True, exist_ok=True)
        page.screenshot(path=PICTURE)
        browser.close()
    print(PICTURE.relative_to(ROOT))


if __name__ == "__main__":
    main()
