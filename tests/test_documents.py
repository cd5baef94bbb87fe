"""The documents agree with the project: reference made from the docstrings, the course table, links that lead somewhere."""

import importlib.util
import re
from pathlib import Path

import nbformat
import pytest

ROOT = Path(__file__).parents[1]
DOCS = ROOT / "docs"
PAGES = [
    ROOT / "README.md",
    ROOT / "DEVELOPERS.md",
    *sorted(DOCS.rglob("*.md")),
    ROOT / "lessons" / "pieces" / "README.md",
]


def reference():
    made = importlib.util.spec_from_file_location("make_reference", DOCS / "make_reference.py")
    module = importlib.util.module_from_spec(made)
    made.loader.exec_module(module)
    return module.PAGES


@pytest.mark.parametrize("file", ["exercises.md", "python.md"])
def test_the_reference_is_what_the_docstrings_say(file):
    said = (DOCS / "reference" / file).read_text(encoding="utf-8")
    assert said == reference()[file](), "run: python docs/make_reference.py"


def test_the_course_lists_every_lesson_in_order_with_its_time():
    rows = re.findall(
        r"^\| \[(.+?)\]\(\.\./lessons/(\S+?)\) \| (\d+) \|", (DOCS / "course.md").read_text("utf-8"), re.M
    )
    lessons = sorted((ROOT / "lessons").glob("*.ipynb"))
    assert [file for _, file, _ in rows] == [path.name for path in lessons]
    for (title, _, minutes), path in zip(rows, lessons, strict=True):
        opening = next(cell.source for cell in nbformat.read(path, as_version=4).cells if cell.cell_type == "markdown")
        assert opening.startswith(f"# {title}\n")
        assert f"**Time:** {minutes} minutes" in opening


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_links_lead_somewhere(path):
    text = re.sub(r"```.*?```", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    for link in re.findall(r"\]\(([^)#\s]+)", text):
        if "://" not in link:
            assert (path.parent / link).exists(), link
