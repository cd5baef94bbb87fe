"""Worksheets: nothing on them tells an answer, and what is written on them comes back as the same marks.

Right answers are those of the items that are asked; the letters before the choices are read from the printed sheet.
"""

import base64
import csv
import html
import io
import re
import subprocess
import sys

import pytest

from musictheory_nb.classroom import worksheet_folder
from musictheory_nb.classroom.answer_key import answer_key_html
from musictheory_nb.classroom.assignment_store import find_assignment
from musictheory_nb.classroom.handout import hand_out
from musictheory_nb.classroom.invented_answer import right_answer
from musictheory_nb.classroom.lesson_folder import bundled_lessons
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.mark_class import mark_class
from musictheory_nb.classroom.paper_answers import enter_paper
from musictheory_nb.classroom.paper_value import is_for_paper, paper_answer
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.worksheet import IN_NOTEBOOK, PLAYED, SEEN, Sheet, worksheet_html
from musictheory_nb.classroom.worksheet_folder import sheets_for, write_worksheets
from musictheory_nb.errors import ClassroomError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.response import ChoiceInput, KeysInput, RolesInput, SectionsInput, StaffInput
from musictheory_nb.theory.pitch import Pitch

LESSONS = {path.stem.partition("_")[2]: path for path in bundled_lessons()}
TRITONE = LESSONS["hear_the_tritone"]
#: Lessons of the default run, by what is answered in them: buttons and keys, the staff, symbols, sections, own words.
SAMPLE = ("hear_the_tritone", "spell_seventh_chords", "choose_scales_over_chords")
EACH_LESSON = pytest.mark.parametrize(
    "path",
    [pytest.param(path, id=name, marks=[] if name in SAMPLE else pytest.mark.full) for name, path in LESSONS.items()],
)
PUPILS = (Student("ada-quill", "Ada Quill"), Student("ben-otu", "Ben Otu"))


def text_of(page):
    """What a page shows, and what its pictures hold."""
    page = page.decode("utf-8")
    pictures = [base64.b64decode(data).decode("utf-8") for data in re.findall(r"image/svg\+xml;base64,([^\"]+)", page)]
    return html.unescape(re.sub(r"<[^>]+>", " ", re.sub(r"<style>.*?</style>", "", page, flags=re.DOTALL))), pictures


def sheet_of(path, seed=7):
    return Sheet(read_lesson(path).plan, seed, "ada-quill", "Ada Quill")


@EACH_LESSON
def test_a_sheet_asks_everything_and_tells_no_answer(path):
    sheet = sheet_of(path)
    data = worksheet_html(sheet)
    told, pictures = text_of(data)
    squeezed = " ".join(told.split())
    for exercise in sheet.plan.exercises:
        for index in range(exercise.count):
            item = exercise.item(7, index)
            assert " ".join(item.prompt.split()) in squeezed
            for line in item.explain.splitlines():
                assert line not in squeezed
            if item.twin_text:
                assert item.twin_text not in squeezed
            for request in (*item.shown("asked"), *item.twin):
                if index == 0 and not request.choose_measures:
                    assert engrave(request).text not in data.decode("utf-8")
    assert pictures
    assert all("<desc" not in picture or re.search(r"<desc[^>]*(/>|></desc>)", picture) for picture in pictures)
    assert IN_NOTEBOOK not in told
    assert data == worksheet_html(sheet_of(path))


def written(item, answer, page):
    """What a student writes for an answer: choices by the letters that stand on the sheet."""
    words = []
    for step in item.response.steps:
        ((id, value),) = answer[step.id].items()
        entry = next(each for each in step.inputs if each.id == id)
        if isinstance(entry, ChoiceInput):
            section = re.search(r"<ul class=\"choices\">(?:(?!</ul>).)*", page[page.index(html.escape(step.label)) :])[
                0
            ]
            letters = {
                html.unescape(label).strip(): letter for letter, label in re.findall(r"<b>([^<]+)</b>([^<]*)", section)
            }
            values = value if entry.many else [value]
            words.append(", ".join(letters[next(o.label for o in entry.options if o.value == one)] for one in values))
        elif isinstance(entry, KeysInput):
            words.append(" ".join(map(str, value)))
        elif isinstance(entry, SectionsInput):
            words.append(", ".join(f"{letter}={entry.measures[at]}" for at, letter in value))
        elif isinstance(entry, StaffInput):
            words.append(
                " ".join(f"{'+'.join(pitches) or 'r'}={duration}" + "~" * tied for pitches, duration, tied in value)
            )
        else:
            words.append(", ".join(value) if isinstance(entry, RolesInput) else str(value))
    return " | ".join(words)


@EACH_LESSON
def test_what_is_written_on_the_sheet_comes_back_as_full_marks(path, tmp_path):
    lesson = read_lesson(path)
    hand_out(lesson, PUPILS[:1], tmp_path / "term")
    assignment, _ = find_assignment(lesson.plan.id, tmp_path / "term")
    done = write_worksheets(sheets_for(assignment), tmp_path / "paper", pdf=False)
    assert [path.name for path in done.sheets] == [f"{lesson.plan.id}.{one.id}.html" for one in PUPILS[:1]]
    table = next(path for path in done.teacher if path.suffix == ".csv")
    rows = list(csv.reader(io.StringIO(table.read_text(encoding="utf-8"))))
    for row in rows[1:]:
        copy = assignment.copy_of(row[0])
        exercise = lesson.plan.exercise(row[1])
        item = exercise.item(copy.seed, int(row[2]) - 1)
        page = (tmp_path / "paper" / "sheets" / f"{lesson.plan.id}.{row[0]}.html").read_text(encoding="utf-8")
        own = page[page.index(f"({exercise.id})</h2>") :]
        places = [match.start() for match in re.finditer(r"<section class=\"item\">", own)]
        part = own[places[item.index] : [*places, len(own)][item.index + 1]]
        assert f"<h3>{row[2]}</h3>" in part
        row[3] = written(item, right_answer(exercise, item), part) if item.solution else "Because."
    with table.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    assert enter_paper(table, assignment, tmp_path / "term").added == lesson.plan.count
    for one in mark_class(lesson, assignment, tmp_path / "term").students:
        assert (one.points, one.answered, one.problems) == (pytest.approx(one.points_marked), lesson.plan.count, ())


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("C4 Eb4", [[["C4"], "1", False], [["Eb4"], "1", False]]),
        (
            "C4=1/2 d4=3/2~ D4=1 r=1",
            [[["C4"], "1/2", False], [["D4"], "3/2", True], [["D4"], "1", False], [[], "1", False]],
        ),
        ("G4+C4", [[["C4", "G4"], "1", False]]),
    ],
)
def test_notes_written_as_letters(text, rows):
    exercise = Exercise("one", "chord-spelling", {}, lesson="demo")
    item = exercise.item(7, 0)
    step = item.response.steps[0].__class__("step", "?", (StaffInput(chords=True),))
    asked = item.__class__(**{**item.__dict__, "response": item.response.__class__((step,))})
    assert paper_answer(asked, text)["step"]["staff"] == rows


def ear(**settings):
    exercise = Exercise("hear", "interval-by-ear", {"inputs": ["buttons"], **settings}, count=2, lesson="demo")
    return Sheet(LessonPlan("demo", "Demo", (exercise,)), 3)


def test_what_sounds_is_printed_or_played_and_then_the_key_says_what():
    printed, played = (text_of(worksheet_html(ear(), listening=word)) for word in ("printed", "played"))
    assert (printed[0].count(SEEN), printed[0].count(PLAYED), len(printed[1])) == (2, 0, 2)
    assert (played[0].count(SEEN), played[0].count(PLAYED), len(played[1])) == (0, 2, 0)
    key, pictures = text_of(answer_key_html([ear()], listening="played"))
    assert "To play: hear, question 2" in key
    assert len(pictures) == 2
    assert not text_of(answer_key_html([ear()]))[1]


def test_the_key_names_what_is_right():
    key, _ = text_of(answer_key_html([ear()]))
    for index in range(2):
        item = ear().plan.exercises[0].item(3, index)
        assert item.explain.splitlines()[0] in key
        first, second = (Pitch(name).midi for name in (note.pitches[0] for note in item.media[0].excerpt.notes))
        assert abs(first - second) <= 12


def test_a_granted_twin_in_words_is_on_the_sheet():
    def sheet(**settings):
        exercise = Exercise("read", "note-reading", {"inputs": ["buttons"], **settings}, count=1, lesson="demo")
        return Sheet(LessonPlan("demo", "Demo", (exercise,)), 3), exercise.item(3, 0).twin_text

    plain, words = sheet()
    granted, _ = sheet(twin="sight")
    assert words not in text_of(worksheet_html(plain))[0]
    assert words in text_of(worksheet_html(granted))[0]


def test_the_command_without_a_browser_says_how_to_print(tmp_path, monkeypatch):
    monkeypatch.setattr(worksheet_folder, "find_browser", lambda: "")
    done = write_worksheets([(ear(), "")], tmp_path)
    assert "Open the HTML files in any browser and print them" in done.remarks[0]
    assert sorted(path.relative_to(tmp_path).as_posix() for path in tmp_path.rglob("*.*")) == [
        "sheets/demo.html",
        "teacher/demo.answer-key.html",
    ]
    with pytest.raises(ClassroomError, match="listening 'sung'; allowed: printed, played"):
        write_worksheets([(ear(), "")], tmp_path, listening="sung")


def run(*arguments):
    command = [sys.executable, "-m", "musictheory_nb", "worksheet", *map(str, arguments)]
    return subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)


def test_the_command_with_a_roster(tmp_path):
    (tmp_path / "class.csv").write_text("name\nAda Quill\nBen Otu\n", encoding="utf-8")
    done = run(
        TRITONE,
        "--to",
        tmp_path / "paper",
        "--handout",
        tmp_path / "term",
        "--roster",
        tmp_path / "class.csv",
        "--no-pdf",
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "2 sheets in" in done.stdout
    assert (tmp_path / "term" / "class.sqlite").is_file()
    pages = [path.read_text(encoding="utf-8") for path in sorted((tmp_path / "paper" / "sheets").iterdir())]
    assert len(pages) == 2
    assert "Ada Quill" in pages[0]
    assert pages[0].count("base64,") > 5
    missing = run(TRITONE, "--to", tmp_path / "p", "--roster", tmp_path / "class.csv")
    assert missing.returncode != 0
    assert "--roster needs --handout FOLDER" in missing.stderr


def test_inputs_that_need_the_notebook_say_so():
    step = ear().plan.exercises[0].item(3, 0).response.steps[0]
    assert all(map(is_for_paper, step.inputs))
