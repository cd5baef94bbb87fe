"""Answers from paper: what teachers type means what clicks mean (by music21's reading), and each wrong line is told."""

from dataclasses import replace

import pytest

from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.paper_answers import enter_paper
from musictheory_nb.classroom.paper_value import paper_answer
from musictheory_nb.errors import AnswerError, RosterError, SubmissionError
from musictheory_nb.practice.response import (
    ChoiceInput,
    FingerboardInput,
    KeysInput,
    MeasuresInput,
    NumberInput,
    Option,
    Response,
    RolesInput,
    SectionsInput,
    Step,
    SymbolInput,
    TextInput,
)

CHOICE = ChoiceInput((Option("m3", "minor third"), Option("M3", "major third"), Option("P4", "perfect fourth")))
MEASURES = ("1", "2", "3", "4a", "5")


@pytest.fixture
def item(classroom):
    """An item to whose response others are put."""
    return classroom.lesson.plan.exercises[0].item(7, 0)


@pytest.mark.parametrize(
    ("entry", "text", "value"),
    [
        (CHOICE, "M3", "M3"),
        (CHOICE, "m3", "m3"),
        (CHOICE, "Perfect Fourth", "P4"),
        (CHOICE, "b", "M3"),
        (replace(CHOICE, many=True), "c, m3", ["m3", "P4"]),
        (KeysInput(40, 80, 2), "C4 Eb4", [60, 63]),  # MIDI note numbers: middle C is 60
        (KeysInput(40, 80, 2), "60; 63", [60, 63]),
        (SectionsInput(MEASURES), "A=1, B = 4a", [[0, "A"], [3, "B"]]),
        (MeasuresInput(MEASURES, spans=0), "1-3, 5", [[0, 2], [4, 4]]),
        (RolesInput(("C5", "B4"), (Option("chord", "chord tone"), Option("passing", "passing tone"))), "a, passing tone", ["chord", "passing"]),
        (FingerboardInput(("E1", "A1", "D2", "G2"), count=2), "4:3, 1:2", [[0, 3], [3, 2]]),  # string 1 is the highest
        (NumberInput(0, 20), "12", 12),
        (SymbolInput("chord"), "Bb7", "Bb7"),
        (TextInput(), "It rises | and falls.", "It rises | and falls."),
        (KeysInput(40, 80, 2), "[60, 63]", [60, 63]),
    ],
)  # fmt: skip
def test_what_is_written_means_what_is_clicked(item, entry, text, value):
    asked = replace(item, response=Response((Step("step", "?", (entry,)),)))
    assert paper_answer(asked, text) == {"step": {entry.id: value}}


def test_several_steps_stand_between_bars(item):
    asked = replace(item, response=Response((Step("one", "?", (CHOICE,)), Step("two", "?", (NumberInput(0, 9),)))))
    assert paper_answer(asked, "a | 7") == {"one": {"choice": "m3"}, "two": {"number": 7}}
    with pytest.raises(AnswerError, match=r"1 answers; allowed: 2 \(one, two\), with | between"):
        paper_answer(asked, "a")
    with pytest.raises(AnswerError, match="'99' is no answer to 'two'; allowed: a whole number"):
        paper_answer(asked, "a|99")


def table(classroom, text, name="paper.csv", encoding="utf-8"):
    path = classroom.folder.parent / name
    path.write_bytes(text.encode(encoding))
    return enter_paper(path, classroom.assignment, classroom.folder)


def right_names(classroom, student):
    """What music21 reads in the first exercise of a student, in order: taken from the answers of the class's fixture."""
    return [line.answer["interval"]["choice"] for line in classroom.lines(student, [True] * 4)]


def test_paper_is_marked_as_clicks_are_and_twice_changes_nothing(classroom):
    names = right_names(classroom, "ada-quill")
    rows = [f"Ada Quill;first;{number};{name}\r\n" for number, name in enumerate(names[:3], start=1)]
    text = "Music 7b;;;\r\nStudent;Exercise;Question;Answer\r\n" + "".join(rows) + "ada-quill;first;4;\r\n"
    assert table(classroom, text, encoding="utf-16").added == 3
    marks = classroom.marks()
    assert (marks["ada-quill"].points, marks["ada-quill"].answered, marks["ada-quill"].problems) == (6, 3, ())
    assert marks["ada-quill"].notes == ("3 answers were entered from paper",)
    again = table(classroom, text, encoding="utf-16")
    assert (again.added, again.changed, again.kept) == (0, 0, 3)
    wrong = "a" if names[0] != "m3" else "b"
    once = table(classroom, f"student,exercise,question,answer\nada-quill,first,1,{wrong}\n")
    assert (once.added, once.changed) == (0, 1)
    assert classroom.marks()["ada-quill"].points == 4


def test_paper_is_on_time_unless_it_says_when_it_came(classroom):
    due = DueTime("2026-11-01T22:59:00Z", "2026-11-01 23:59 Europe/Berlin")
    classroom.assignment = replace(classroom.assignment, due=due)
    table(classroom, "student,exercise,question,answer\nada-quill,first,1,a\n")
    assert classroom.marks()["ada-quill"].after_due == 0
    table(classroom, "student,exercise,question,answer,time\nada-quill,first,1,a,2026-11-02 08:00 +01:00\n")
    marks = classroom.marks()["ada-quill"]
    assert (marks.after_due, marks.last_answer) == (1, "2026-11-02T07:00:00Z")


@pytest.mark.parametrize(
    ("lines", "message"),
    [
        ("zoe,first,1,a", "line 2: student 'zoe' got no copy of this lesson"),
        ("ada-quill,third,1,a", "line 2: exercise 'third' is not in lesson 'read-intervals'; it has: first, second"),
        ("ada-quill,first,5,a", "line 2: question '5'; allowed: 1 to 4"),
        ("ada-quill,first,0,a", "line 2: question '0'; allowed: 1 to 4"),
        ("ada-quill,first,x,a", "line 2: question 'x'"),
        (
            "ada-quill,first,1,M9",
            "line 2: 'M9' is no answer to 'interval'; allowed: the choice, or the letter or number before it",
        ),
        (",first,1,a", "line 2: no student"),
        ("ada-quill,first,1,a\nada-quill,first,1,b", "line 3: another answer to the question of line 2"),
        ("ada-quill,first,1,a\nben-otu,first,9,a\nzoe,first,1,a", "line 3: question '9'.*; line 4: student 'zoe'"),
    ],
)
def test_a_wrong_line_is_named_and_nothing_is_entered(classroom, lines, message):
    with pytest.raises(SubmissionError, match=message):
        table(classroom, f"student,exercise,question,answer\n{lines}\n")
    assert not (classroom.folder / "class.paper").exists()


def test_what_is_no_such_table_is_refused(classroom):
    with pytest.raises(SubmissionError, match="no line with the headings student, exercise, question, answer"):
        table(classroom, "name,mark\nada,1\n")
    with pytest.raises(RosterError, match="cannot be opened"):
        enter_paper(classroom.folder / "nowhere.csv", classroom.assignment, classroom.folder)
