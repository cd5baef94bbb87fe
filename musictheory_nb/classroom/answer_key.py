"""The answer key of worksheets, for the teacher alone, and the table in which answers from paper are entered."""

import csv
import io
from collections.abc import Sequence
from importlib.resources import files
from typing import Final

from musictheory_nb.classroom.invented_answer import right_answer
from musictheory_nb.classroom.page import Column, Markup, element, joined, page, table
from musictheory_nb.classroom.spreadsheet_cell import cell_text
from musictheory_nb.classroom.worksheet import Sheet, is_played, notation
from musictheory_nb.practice.answer_words import answer_words
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.item import Item

#: Headings of the table of paper answers, as `paper_answers` reads them.
HEADINGS: Final = ("student", "exercise", "question", "answer")
BY_RUBRIC: Final = "Marked by the teacher."


def right_words(exercise: Exercise, item: Item) -> str:
    """Return the right answer in words."""
    if not item.solution:  # a free response has none
        return BY_RUBRIC
    return answer_words(item.response, item.response.check(right_answer(exercise, item)))


def _section(sheet: Sheet, listening: str) -> Markup:
    rows: list[tuple[str, str, str, str]] = []
    to_play: list[Markup] = []
    for exercise in sheet.plan.exercises:
        for index in range(exercise.count):
            item = exercise.item(sheet.seed, index)
            rows.append((exercise.id, str(index + 1), right_words(exercise, item), item.explain.replace("\n", " ")))
            if is_played(item, listening):
                to_play.append(element("h3", f"To play: {exercise.id}, question {index + 1}"))
                to_play += [notation(request) for request in item.shown("asked") if request.kind == "sound"]
    who = sheet.name or "the sheet without a name"
    columns = (Column("Exercise"), Column("Question", True), Column("Right"), Column("Why"))
    body = table(f"Right answers of {who}", columns, rows)
    return element("section", element("h2", who[0].upper() + who[1:]), body, *to_play, class_="key")


def answer_key_html(sheets: Sequence[Sheet], *, listening: str = "printed") -> bytes:
    """Return the key of all sheets as a file; what the teacher plays is written out in it."""
    style = files("musictheory_nb.classroom").joinpath("worksheet.css").read_text(encoding="utf-8")
    title = f"{sheets[0].plan.title}: answer key"
    head = element("header", element("h1", title), element("p", "For the teacher alone.", class_="quiet"))
    parts = (joined(_section(sheet, listening), Markup("\n")) for sheet in sheets)
    return page(title, style, head, Markup("\n"), element("main", *parts, id="main"))


def blank_table(sheets: Sequence[Sheet]) -> bytes:
    """Return a CSV table (RFC 4180) with a line for each question of each sheet and an empty column for the answer."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    for sheet in sheets:
        for exercise in sheet.plan.exercises:
            for index in range(exercise.count):
                writer.writerow([cell_text(cell) for cell in (sheet.student, exercise.id, str(index + 1), "")])
    return text.getvalue().encode("utf-8")
