"""What a student needs otherwise than the class: own clef, own due time, a lesson once more; and class lists of any school."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.extra_time import later_due, read_extra_time
from musictheory_nb.classroom.handout import Terms, hand_out
from musictheory_nb.classroom.lesson_notebook import read_lesson
from musictheory_nb.classroom.lesson_variant import lesson_variant
from musictheory_nb.classroom.roster import Student, parse_roster, with_settings_file
from musictheory_nb.errors import ClassroomError, LessonError, RosterError


@pytest.mark.parametrize(
    ("due", "extra", "utc"),
    [
        # IANA time zone database: New York leaves summer time (UTC-4) on 2026-11-01 at 6:00 UTC for UTC-5; Berlin leaves
        # UTC+2 on 2026-10-25 at 1:00 UTC for UTC+1; Lord Howe goes by half an hour, from UTC+11 to UTC+10:30, on
        # 2026-04-04 at 15:00 UTC; from memory of the rules in force
        ("2026-10-31 23:59 America/New_York", "1 day", "2026-11-02T04:59:00Z"),  # 23:59 again, 25 hours later
        ("2026-10-31 23:59 America/New_York", "24 h", "2026-11-02T03:59:00Z"),  # 24 hours on any clock
        ("2026-10-24 12:00 Europe/Berlin", "1 day", "2026-10-25T11:00:00Z"),
        ("2026-03-28 02:30 Europe/Berlin", "1 day", "2026-03-29T01:30:00Z"),  # 2:30 is skipped: 3:30 CEST
        ("2026-04-04 12:00 Australia/Lord_Howe", "1 day", "2026-04-05T01:30:00Z"),
        ("2026-07-01 23:59 UTC", "1 week 90 min", "2026-07-09T01:29:00Z"),
        ("2026-07-01 23:59 +05:30", "1:30", "2026-07-01T19:59:00Z"),
    ],
)
def test_extra_days_end_at_the_same_time_of_day(due, extra, utc):
    assert later_due(read_due(due), read_extra_time(extra)).utc == utc


@given(st.datetimes(), st.sampled_from(["Europe/Berlin", "America/New_York", "Asia/Kolkata"]), st.integers(1, 500))
def test_extra_time_is_never_less_than_none(moment, zone, minutes):
    if 1900 < moment.year < 2100:
        due = read_due(f"{moment:%Y-%m-%d %H:%M} {zone}")
        assert later_due(due, read_extra_time(f"{minutes} min")).utc > due.utc
        assert later_due(due, read_extra_time(f"{minutes} days")).utc > due.utc


@pytest.mark.parametrize("text", ["25 %", "1.25", "soon", "", "0 days", "-1 day"])
def test_what_is_no_extra_time_is_refused_with_its_line(text):
    if text:
        with pytest.raises(RosterError, match=r"line 2: extra time .*write how much later it is due"):
            parse_roster(f"name,extra time\nAda,{text}\n".encode())
    with pytest.raises(RosterError, match="extra time"):
        read_extra_time(text)


def test_columns_of_a_roster_and_of_a_second_table(tmp_path):
    roster = "Prénom;Nom;Klasse;Group;Extra time;Clef\nInès;Orta;7b;Red trio;2 d;bass\nAda;Quill;7b;;;\n"
    ines, ada = parse_roster(roster.encode("cp1252"), encoding="cp1252")
    assert (ines.id, ines.section, ines.group, ines.extra_time, ines.settings) == (
        "ines-orta", "7b", "red-trio", "2 d", (("clef", "bass"),)
    )  # fmt: skip
    path = tmp_path / "needs.csv"
    path.write_text("student,transposition,due\nada-quill,clarinet,2026-11-02 08:00 Europe/Berlin\n", encoding="utf-8")
    again = with_settings_file((ines, ada), path)
    assert again[0] == ines
    assert (again[1].settings, again[1].due) == ((("transposition", "clarinet"),), "2026-11-02 08:00 Europe/Berlin")
    path.write_text("student,clef\nzoe,bass\n", encoding="utf-8")
    with pytest.raises(RosterError, match="'zoe' is not in the roster"):
        with_settings_file((ines, ada), path)


@pytest.mark.parametrize(
    "data",
    [
        "sep=;\r\nname;email\r\nInés Orta;io@x.example\r\n".encode(),
        "Music 7b, autumn\n\nemail,name\nio@x.example,Inés Orta\n".encode(),
        "name\temail\nInés Orta\tio@x.example\n".encode("utf-16-le"),
        "name\temail\nInés Orta\tio@x.example\n".encode("utf-16-be"),
        '"Last, First";"E-mail"\n"Orta, Inés";io@x.example\n'.encode(),
        "Name,First name,email\nOrta,Inés,io@x.example\n".encode(),
        "Student,ID,email\n\"Orta, Inés\",ines-orta,io@x.example\n".encode(),
    ],
    ids=["sep line", "title above", "utf-16-le without mark", "utf-16-be without mark", "comma in a heading", "halves", "both"],
)  # fmt: skip
def test_what_school_systems_add_changes_nothing(data):
    (one,) = parse_roster(data)
    assert (one.id, one.name, one.email) == ("ines-orta", "Inés Orta", "io@x.example")


ADA = Student("ada-quill", "Ada Quill")


def test_own_settings_are_in_the_copy_and_nothing_else_changes(classroom, tmp_path):
    ben = Student("ben-otu", "Ben Otu", settings=(("clef", "bass"), ("names", "german")))
    done = hand_out(classroom.lesson, (ADA, ben), tmp_path / "new")
    versions = done.assignment.versions()
    plain, own = (versions[copy.digest].plan for copy in done.assignment.copies)
    assert plain == classroom.lesson.plan
    for before, after in zip(plain.exercises, own.exercises, strict=True):
        assert after.settings == {**before.settings, "clef": "bass", "names": "german"}
        for index in range(before.count):
            assert before.item(7, index).solution == after.item(7, index).solution
    copy = tmp_path / "new" / "ben-otu" / "read-intervals.ipynb"
    assert "'clef': 'bass'" in copy.read_text(encoding="utf-8")
    again = hand_out(classroom.lesson, (ADA, Student("ben-otu", "Ben Otu")), tmp_path / "new")
    assert (again.written, again.remarks, again.assignment) == ((), (), done.assignment)
    later = hand_out(
        classroom.lesson, (ADA, Student("ben-otu", "Ben Otu", settings=(("clef", "-"),))), tmp_path / "new"
    )
    assert later.remarks == ("settings were changed after their copy was handed out; it stays as it is: ben-otu",)


def test_a_setting_that_is_not_allowed_is_refused_before_anything_is_written(classroom, tmp_path):
    bad = Student("ben-otu", "Ben Otu", settings=(("clef", "violin"),))
    with pytest.raises(RosterError, match=r"'ben-otu': exercise 'first': clef 'violin'; allowed: 'auto', 'treble'"):
        hand_out(classroom.lesson, (ADA, bad), tmp_path / "new")
    assert not (tmp_path / "new" / "ada-quill").exists()


def test_own_due_times_follow_the_class_and_are_taken_away_by_a_dash(classroom, tmp_path):
    first, second = (read_due(f"2026-{month}-01 12:00 UTC") for month in ("05", "06"))

    def dues(due, ben):
        done = hand_out(classroom.lesson, (ADA, ben), tmp_path / "new", due)
        return [done.assignment.due_of(copy).utc[:10] for copy in done.assignment.copies]

    assert dues(first, Student("ben-otu", "B", extra_time="2 days")) == ["2026-05-01", "2026-05-03"]
    assert dues(second, Student("ben-otu", "B")) == ["2026-06-01", "2026-06-03"]
    assert dues(None, Student("ben-otu", "B", extra_time="-")) == ["2026-06-01", "2026-06-01"]
    assert dues(None, Student("ben-otu", "B", due="2026-06-09 12:00 UTC")) == ["2026-06-01", "2026-06-09"]
    assert dues(None, Student("ben-otu", "B")) == ["2026-06-01", "2026-06-09"]


def test_make_up_work_is_the_lesson_once_more_with_other_questions(classroom):
    again = lesson_variant(classroom.lesson, name="read-again")
    students = tuple(copy.student for copy in classroom.assignment.copies)
    done = hand_out(again, students, classroom.folder, terms=Terms(replaces="read-intervals", attempts=2))
    assert (done.assignment.replaces, done.assignment.attempts, len(done.written)) == ("read-intervals", 2, 3)
    assert not {copy.seed for copy in done.assignment.copies} & {copy.seed for copy in classroom.assignment.copies}
    with pytest.raises(
        ClassroomError, match="makes up for 'other', which was not handed out here; handed out: read-intervals"
    ):
        hand_out(again, students, classroom.folder, terms=Terms(replaces="other"))
    with pytest.raises(ClassroomError, match="was handed out to each student; that cannot be changed"):
        hand_out(again, students, classroom.folder, terms=Terms(together=True))


SHAPES = [
    "lesson.exercise('first', 'interval-by-ear')",
    "lesson.exercise('first', kind='interval-by-ear', count=3,  # three, of them\n)",
    "é = lesson.exercise('first', ('interval-by-ear'), settings={'low': 'A3', 'high': 'C5'}); lesson.exercise('b', 'interval-by-ear')",
    "%time x = 1\nlesson.exercise(id='first', kind='interval-by-ear', settings={\n    'low': 'A3',\n})",
]


@pytest.mark.parametrize("source", SHAPES)
def test_a_call_of_any_shape_takes_the_settings(classroom, cells_of, save, source):
    lesson = read_lesson(save(classroom.path, cells_of(source)))
    before = lesson.plan.exercise("first")
    after = lesson_variant(lesson, settings={"present": "both", "clef": "alto"}).plan.exercise("first")
    assert after.settings == {**before.settings, "present": "both", "clef": "alto"}
    assert (after.count, after.points) == (before.count, before.points)


def test_a_name_that_is_no_slug_is_refused(classroom):
    with pytest.raises(LessonError, match="name 'Read again'; allowed: lower-case letters"):
        lesson_variant(classroom.lesson, name="Read again")


@pytest.mark.parametrize(
    ("call", "made"),
    [
        ("lesson = open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST)", "digest=DIGEST, attempts=3)"),
        ("lesson = mt.open_lesson(LESSON, student=STUDENT, seed=SEED, digest=DIGEST,)", "digest=DIGEST,attempts=3)"),
        (
            "lesson = mt.open_lesson(LESSON, attempts=1, student=STUDENT, seed=SEED, digest=DIGEST)  # ä",
            "LESSON, attempts=3, student=STUDENT, seed=SEED, digest=DIGEST)  # ä",
        ),
    ],
)
def test_attempts_are_in_the_copy_whatever_the_call_looks_like(classroom, cells_of, save, tmp_path, call, made):
    cells = cells_of()
    cells[2]["source"] = call
    lesson = read_lesson(save(classroom.path, cells))
    students = (Student("ada-quill", "Ada Quill"),)
    hand_out(lesson, students, tmp_path / "three", terms=Terms(attempts=3))
    copy = json.loads((tmp_path / "three" / "ada-quill" / "read-intervals.ipynb").read_text(encoding="utf-8"))
    assert "".join(copy["cells"][2]["source"]).endswith(made)
    hand_out(lesson, students, tmp_path / "one")
    copy = json.loads((tmp_path / "one" / "ada-quill" / "read-intervals.ipynb").read_text(encoding="utf-8"))
    assert "".join(copy["cells"][2]["source"]) == call
