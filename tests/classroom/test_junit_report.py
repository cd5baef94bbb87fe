"""JUnit XML: the elements and attributes that CI services read, whatever stands in a name; and the exit status."""

from xml.etree import ElementTree

import pytest

from musictheory_nb.classroom.class_marks import ClassMarks, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.exit_status import STATUSES, exit_status
from musictheory_nb.classroom.junit_report import junit_xml
from musictheory_nb.classroom.policy_effect import FinalMark
from musictheory_nb.classroom.roster import Student

#: The schema junit-10.xsd of the Jenkins xUnit plugin: element -> (elements allowed in it, attributes allowed, needed).
SCHEMA = {
    "testsuites": ({"testsuite"}, {"name", "time", "tests", "failures", "errors"}, set()),
    "testsuite": (
        {"testsuite", "properties", "testcase", "system-out", "system-err"},
        {"name", "tests", "failures", "errors", "group", "time", "skipped", "timestamp", "hostname", "id", "package", "file"},
        {"name", "tests", "failures", "errors"},
    ),
    "testcase": ({"skipped", "error", "failure", "system-out", "system-err"}, {"name", "time", "classname", "group"}, {"name"}),
    "skipped": (set(), {"type", "message"}, set()),
    "error": (set(), {"type", "message"}, set()),
    "failure": (set(), {"type", "message"}, set()),
    "system-out": (set(), set(), set()),
}  # fmt: skip
HOSTILE = '<script>alert(1)</script> ]]> & "\x00\x1b\ud800\uffff'


def a_class(words="odd"):
    return ClassMarks(
        "read",
        "Read",
        "",
        (("first", "Intervals"),),
        (
            StudentMarks(Student("ada", words), (ExerciseMarks("first", (1.0, None), 8.0, (), (2500, None)),), problems=(words, "two")),
            StudentMarks(Student("ben", "Ben")),
            StudentMarks(Student("cy", "Cy"), problems=("NOT MARKED: a fault",), failed=True),
        ),
        problems=("stray",),
    )  # fmt: skip


def read(**more):
    return ElementTree.fromstring(junit_xml([a_class(HOSTILE), a_class()], **more))


@pytest.mark.parametrize("fail", [False, True])
def test_it_follows_the_schema(fail):
    for element in read(fail_on_notices=fail).iter():
        children, allowed, needed = SCHEMA[element.tag]
        assert {child.tag for child in element} <= children
        assert needed <= set(element.attrib) <= allowed
        float(element.get("time", "0"))


def test_one_case_for_each_student_and_each_notice_with_right_counts():
    root = read()
    for suite in root:
        cases = [(case.get("classname"), case.get("name")) for case in suite]
        assert cases == [
            ("read.students", "ada"), ("read.notices", "ada 1"), ("read.notices", "ada 2"), ("read.students", "ben"),
            ("read.students", "cy"), ("read.notices", "cy 1"), ("read.notices", "class 1"),
        ]  # fmt: skip
        assert (suite.get("tests"), suite.get("failures"), suite.get("errors"), suite.get("skipped")) == (
            "7",
            "0",
            "1",
            "1",
        )
    assert (root.get("tests"), root.get("errors")) == ("14", "2")
    assert [suite.get("failures") for suite in read(fail_on_notices=True)] == ["4", "4"]


def test_marks_stand_in_the_output():
    finals = {"read": [FinalMark("ada", 50.0, 45.5, 8.0)]}
    output = next(read(finals=finals).iter("system-out")).text
    assert output == "4 of 8 points; 1 of 2 answered; mark 45.5 %"


def test_exit_status_is_in_the_table_and_says_the_worst():
    fine = ClassMarks("x", "X", "", (), (StudentMarks(Student("a", "A")),))
    assert exit_status([fine], fail_on_notices=True) == 0
    assert exit_status([fine], reruns_agree=False) == 3
    assert exit_status([a_class()], reruns_agree=False) == 1
    assert {exit_status([fine]), exit_status([a_class()]), 2, 3, 4} <= set(STATUSES)
