"""marks.csv for a school's system: columns, order, separators, decimal sign, encodings, pseudonyms."""

import csv
import io

import pytest

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.marks_column import COLUMN_TABLE
from musictheory_nb.classroom.marks_table import MarksFormat, marks_csv
from musictheory_nb.classroom.policy_effect import Effect, FinalMark
from musictheory_nb.classroom.pseudonym import pseudonymous, pseudonyms
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.spreadsheet_cell import cell_text
from musictheory_nb.errors import ReportError


def one(id, name, *scores, **more):
    return StudentMarks(
        Student(id, name, f"{id}@school.example"), (ExerciseMarks("first", scores, 10.0, (), (90_000,)),), **more
    )


LESSON = ClassMarks(
    "read",
    "Read; intervals",
    "sha256:0",
    (("first", "Intervals"),),
    (one("ben", "Ben Otu", 0.25), one("ada", "Åda Quill", 1.0, 0.5), one("cy", "cy lark", 0.5)),
)
FINALS = {"read": [FinalMark("ben", 25.0, 22.5, 10.0, False, (Effect("late", "late 1 day", 25.0, 22.5),))]}


def rows(form, finals=None, codec="utf-8", delimiter=","):
    data = marks_csv([LESSON], finals or {}, form)
    return list(csv.DictReader(io.StringIO(data.decode(codec), newline=""), delimiter=delimiter))


def test_columns_are_those_asked_for_in_their_order():
    form = MarksFormat(("name", "first", "final_percent", "passed", "effects", "minutes"))
    found = rows(form, FINALS)
    assert list(found[0]) == ["name", "first", "final_percent", "passed", "effects", "minutes"]
    assert found[0] == {"name": "Ben Otu", "first": "2.5", "final_percent": "22.5", "passed": "no", "effects": "late 1 day", "minutes": "1.5"}  # fmt: skip
    assert found[1]["final_percent"] == ""


def test_every_column_of_the_table_can_be_written():
    found = rows(MarksFormat(tuple(COLUMN_TABLE)), FINALS)
    assert list(found[0]) == [name if name != "exercises" else "first" for name in COLUMN_TABLE]


@pytest.mark.parametrize(
    ("order", "ids"),
    [("roster", "ben ada cy"), ("name", "ben cy ada"), ("student", "ada ben cy"), ("percent", "ada cy ben")],
)
def test_rows_come_in_the_order_asked_for(order, ids):
    assert " ".join(row["student"] for row in rows(MarksFormat(order=order))) == ids


def test_semicolons_and_decimal_commas():
    form = MarksFormat(("title", "points"), separator="semicolon", decimal="comma")
    assert rows(form, delimiter=";")[0] == {"title": "Read; intervals", "points": "2,5"}
    assert marks_csv([LESSON], form=form).splitlines()[0] == b"title;points"


#: Byte order marks: Unicode Standard, 2.6, table 2-4.
@pytest.mark.parametrize(
    ("encoding", "codec", "start"),
    [
        ("utf-8", "utf-8", b"name"), ("utf-8-bom", "utf-8-sig", b"\xef\xbb\xbfname"), ("utf-16", "utf-16", (b"\xff\xfe", b"\xfe\xff")),
        ("cp1252", "cp1252", b"name"),
    ],
)  # fmt: skip
def test_encodings(encoding, codec, start):
    data = marks_csv([LESSON], form=MarksFormat(("name",), encoding=encoding))
    assert data.startswith(start)
    assert "Åda Quill" in data.decode(codec)


def test_a_letter_that_the_encoding_has_not_is_named_with_its_student():
    lesson = ClassMarks("x", "X", "", (), (one("haru", "小林", 1.0),))
    with pytest.raises(ReportError, match="'cp1252' has no '小', which stands in the row of 'haru'"):
        marks_csv([lesson], form=MarksFormat(encoding="cp1252"))


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ({"columns": ("nmae",)}, "column 'nmae'; allowed: lesson, .*or an exercise: first; did you mean 'name'"),
        ({"columns": ("name", "name")}, "named twice"),
        ({"order": "height"}, "order 'height'; allowed: roster, name"),
        ({"separator": ";"}, "separator ';'; allowed: comma, semicolon, tab"),
        ({"encoding": "klingon"}, "encoding 'klingon'; allowed: utf-8"),
        ({"decimal": "comma"}, "write the separator 'semicolon'"),
    ],
)
def test_what_is_not_in_the_tables_is_refused(arguments, told):
    with pytest.raises(ReportError, match=told):
        marks_csv([LESSON], form=MarksFormat(**arguments))


#: OWASP, "CSV Injection": field separators and quotes inside a cell must be thought of as well.
@pytest.mark.parametrize("inside", ["Ada;=1+1", 'Ada,"=1+1"', "Ada\t@SUM(1)", "Ada|-2+3", "Ada; \n+1", "=1+1;=2"])
@pytest.mark.parametrize("cut", [",", ";", "\t", "|", "\n"])
def test_no_formula_begins_where_another_separator_would_cut(inside, cut):
    for part in cell_text(inside).split(cut):
        assert not part.strip(" \"'\n\t").startswith(("=", "+", "-", "@")) or part.lstrip(' "\n\t').startswith("'")


def test_pseudonyms_hide_ids_names_and_addresses_everywhere():
    ada = one(
        "ada-quill", "Ada Quill", 0.5,
        problems=("holds answers that say they are of 'ben-otu'", "ADA QUILL.ipynb was read", "Quill again, ada-quill@school.example"),
        notes=("by Ben",), confusions=(Confusion("first", 0, "minor third", "Ada Quill"),),
    )  # fmt: skip
    lesson = ClassMarks(
        "x", "X", "", (("first", "I"),), (ada, one("ben-otu", "Ben Otu", 1.0)), problems=("ben-otu is odd",)
    )
    names = pseudonyms(["ada-quill", "ben-otu"], "secret")
    covered = pseudonymous(lesson, names)
    assert not any(word in repr(covered).casefold() for word in ("ada", "quill", "ben", "otu", "school"))
    assert [student.points for student in covered.students] == [
        {"ada-quill": 5.0, "ben-otu": 10.0}[id] for id in sorted(names, key=names.get)
    ]


def test_pseudonyms_depend_on_the_key_and_not_on_the_order_of_the_class():
    ids = [f"s{n}" for n in range(120)]
    assert pseudonyms(ids, "a") == pseudonyms(ids[::-1], "a") != pseudonyms(ids, "b")
    assert sorted(pseudonyms(ids, "a").values()) == [f"Student {n:03d}" for n in range(1, 121)]


def test_two_students_under_one_pseudonym_are_refused():
    with pytest.raises(ReportError, match="two students have the same"):
        pseudonymous(LESSON, dict.fromkeys(("ada", "ben", "cy"), "Student 1"))
