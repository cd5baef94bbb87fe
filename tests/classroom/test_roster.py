"""Class lists in the column orders, separators and encodings that schools write."""

import codecs
import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.classroom.roster import parse_roster, read_roster, slug_of
from musictheory_nb.errors import RosterError
from musictheory_nb.practice.exercise import is_slug

# Common practice, no source: what school systems and spreadsheets export.
SAME = [
    pytest.param("student,name,email\nines-orta,Inés Orta,io@school.example\n", id="plain"),
    pytest.param("email,name,student\nio@school.example,Inés Orta,ines-orta\n", id="another order"),
    pytest.param("E-Mail;Surname;First name\r\nio@school.example;Orta;Inés\r\n", id="semicolons, two names"),
    pytest.param("Student ID\tFull Name\tEmail Address\nInes Orta\tInés Orta\tio@school.example", id="tabs"),
    pytest.param('Name,Email,Grade\n"Orta, Inés",io@school.example,7\n\n', id="last name first, a column more"),
    pytest.param("\n\nstudent|name|email\nines-orta | Inés  Orta |io@school.example\n", id="blank lines, bars, blanks"),
    pytest.param('name,email\n"Inés Orta","io@school.example"', id="quotation marks"),
]


@pytest.mark.parametrize("text", SAME)
@pytest.mark.parametrize(
    "encoded",
    [
        lambda text: text.encode("utf-8"),
        lambda text: codecs.BOM_UTF8 + text.encode("utf-8"),
        lambda text: codecs.BOM_UTF16_LE + text.encode("utf-16-le"),
        lambda text: codecs.BOM_UTF16_BE + text.encode("utf-16-be"),
    ],
    ids=["utf-8", "utf-8 with mark", "utf-16 le", "utf-16 be"],
)
def test_same_student_however_it_is_written(text, encoded):
    (student,) = parse_roster(encoded(text))
    assert (student.id, student.name, student.email) == ("ines-orta", "Inés Orta", "io@school.example")


def test_an_old_encoding_is_named_never_guessed():
    data = "name\nInés Orta\n".encode("cp1252")
    with pytest.raises(RosterError, match=r"line 2: not UTF-8; save the table as CSV with UTF-8, or name .*cp1252"):
        parse_roster(data)
    assert parse_roster(data, encoding="cp1252")[0].name == "Inés Orta"
    with pytest.raises(RosterError, match="encoding 'cp9999' is not known"):
        parse_roster(data, encoding="cp9999")


@pytest.mark.parametrize(
    ("name", "id"),
    [
        # Unicode Standard Annex 15: canonical and compatibility decomposition; the rest as passports write it (ICAO
        # Doc 9303 part 3, table of transliterations: Æ AE, Ø OE or O, ß SS, Þ TH, Đ D, Ł L), from memory
        ("Søren Ångström", "soren-angstrom"),
        ("Łukasz Żółć", "lukasz-zolc"),
        ("Þóra Æsa Weiß", "thora-aesa-weiss"),
        ("O'Malley-Quinn, Bríd", "brid-omalley-quinn"),
        ("=1+1", "1-1"),
        ("<script>alert(1)</script>", "script-alert-1-script"),
        ("../../etc/passwd", "etc-passwd"),
        ("ﬁne Ⅳ", "fine-iv"),
    ],
)
def test_folder_names_are_plain(name, id):
    table = io.StringIO()
    csv.writer(table).writerows([["name"], [name]])
    assert parse_roster(table.getvalue().encode("utf-8"))[0].id == id


@given(st.text(max_size=200))
def test_every_id_is_a_slug_or_nothing(text):
    slug = slug_of(text)
    assert slug == "" or is_slug(slug)
    assert slug_of(slug) == slug


REFUSED = [
    ("", "'r.csv' is empty; write a first line such as student,name,email"),
    ("\n \n", "is empty"),
    ("student,name,email\n", "has a first line and no students"),
    ("Ada Quill\nBen Otu\n", "the first line 'Ada Quill' names no column that is known"),
    ("name\nAda Quill\nBen Otu\nada  quill\n", r"'ada-quill' stands in lines 2 and 4; add a column 'student'"),
    ("student,name\nx1,Ada\nX1,Ben\n", r"'x1' stands in lines 2 and 3"),
    ("name,full name\nA,B\n", "'name' and 'full name' both hold the name; rename one"),
    ("name\n小林 春\n", r"line 2: '小林 春' has no Latin letter or digit .*; add a column 'student'"),
    ("name,email\nCON,\n", r"line 2: 'con' cannot be a folder's name on Windows; write another id, as 'con-1'"),
    ("student,grade\n,7\n", r"line 2: no id, name or email"),
    ('name\n"Ada\n', r"check the quotation marks"),
    ("name\nAda\0\n", "not a text file"),
]


@pytest.mark.parametrize(("text", "message"), REFUSED)
def test_what_cannot_be_a_roster_is_refused_with_advice(text, message):
    with pytest.raises(RosterError, match=message):
        parse_roster(text.encode("utf-8"), "r.csv")


def test_short_and_blank_lines_are_taken_as_they_are():
    students = parse_roster(b"student,name,email\n,,\nada,Ada Quill\n\nben\n")
    assert [(one.id, one.name, one.email) for one in students] == [("ada", "Ada Quill", ""), ("ben", "ben", "")]


def test_missing_file_is_one_plain_error(tmp_path):
    with pytest.raises(RosterError, match="cannot be opened: No such file"):
        read_roster(tmp_path / "class.csv")
