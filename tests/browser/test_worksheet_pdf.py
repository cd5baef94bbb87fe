"""A worksheet printed to PDF by the browser of this computer."""

import re
import sys

import pytest

from musictheory_nb.classroom.lesson_folder import bundled_lessons
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.print_pdf import find_browser, print_pdf
from musictheory_nb.classroom.worksheet_folder import sheet_without_name, write_worksheets
from musictheory_nb.errors import ClassroomError


def test_sheet_and_key_are_printed(chromium, tmp_path):
    assert find_browser()
    plan = read_lesson(next(path for path in bundled_lessons() if "hear_the_tritone" in path.stem)).plan
    done = write_worksheets(sheet_without_name(plan), tmp_path)
    assert done.remarks == ()
    pdf = [path for path in (*done.sheets, *done.teacher) if path.suffix == ".pdf"]
    assert [path.name for path in pdf] == ["hear-the-tritone.pdf", "hear-the-tritone.answer-key.pdf"]
    for path in pdf:
        data = path.read_bytes()
        assert data.startswith(b"%PDF-")  # ISO 32000-1, 7.5.2: file header
        assert len(re.findall(rb"/Type\s*/Page\b", data)) >= 1


def test_a_browser_that_fails_is_told(tmp_path):
    page = tmp_path / "page.html"
    page.write_text("<p>x</p>", encoding="utf-8")
    with pytest.raises(ClassroomError, match=r"could not print 'page\.html'"):
        print_pdf(sys.executable, page, tmp_path / "page.pdf")
