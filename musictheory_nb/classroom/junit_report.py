"""Marks as a JUnit XML file, which CI services show: a test case for each student, and one for each notice.

A student is *passed* when marked, whatever the mark; *skipped* with nothing handed in; an *error* when marking itself broke off.
What was found in a hand-in is a test case of its own: a passed one with the words as its output, or on request a failed one.

Notes
-----
There is no standard of the format; the element and attribute names are those of the schema ``junit-10.xsd`` of the Jenkins
xUnit plugin, which test reports of most build tools follow.
"""

import re
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from musictheory_nb.classroom.class_marks import ClassMarks, StudentMarks
from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.policy_effect import FinalMark

#: What XML 1.0 (section 2.2) cannot hold.
_NO_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
NO_FINALS: Final[Mapping[str, Sequence[FinalMark]]] = MappingProxyType({})


def xml_text(text: str) -> str:
    r"""Return `text` without the characters that XML 1.0 cannot hold.

    Examples
    --------
    >>> xml_text("a\x00b\x1b[31m")
    'a·b·[31m'
    """
    return _NO_XML.sub("·", text)


def _case(suite: Element, classname: str, name: str, seconds: float | None = None) -> Element:
    time = "0.000" if seconds is None else f"{seconds:.3f}"
    return SubElement(suite, "testcase", {"classname": xml_text(classname), "name": xml_text(name), "time": time})


def _seconds(one: StudentMarks) -> float | None:
    spent = [exercise.seconds for exercise in one.exercises if exercise.seconds is not None]
    return sum(spent) if spent else None


def _student(suite: Element, lesson: str, one: StudentMarks, final: FinalMark | None) -> None:
    case = _case(suite, f"{lesson}.students", one.student.id, _seconds(one))
    if one.failed:
        why = one.problems[-1] if one.problems else "not marked"
        SubElement(case, "error", {"type": "NotMarked", "message": xml_text(why)})
        return
    if not one.answered:
        words = "no answers" if one.handed_in else "nothing handed in"
        SubElement(case, "skipped", {"message": words})
        return
    told = f"{number_text(one.points)} of {number_text(one.points_possible)} points; {one.answered} of {one.asked} answered"
    if final is not None:
        told += f"; mark {number_text(final.percent)} %"
        told += f"; {final.words}" if final.effects else ""
    SubElement(case, "system-out").text = xml_text(told)


def _notices(suite: Element, lesson: str, who: str, lines: Sequence[str], fail: bool) -> None:
    for number, line in enumerate(lines, start=1):
        case = _case(suite, f"{lesson}.notices", f"{who} {number}")
        if fail:
            SubElement(case, "failure", {"type": "ToLookAt", "message": xml_text(line)})
        else:
            SubElement(case, "system-out").text = xml_text(line)


def junit_xml(
    lessons: Sequence[ClassMarks],
    finals: Mapping[str, Sequence[FinalMark]] = NO_FINALS,
    *,
    fail_on_notices: bool = False,
) -> bytes:
    """Return the file: a suite for each lesson.

    Parameters
    ----------
    lessons : sequence of ClassMarks
        What was marked. For a public build, cover the names first (see `pseudonym.pseudonymous`): ids stand in the file.
    finals : Mapping of str to sequence of FinalMark
        Marks after the policy, by lesson id.
    fail_on_notices : bool
        Whether what is to be looked at counts as a failed test.

    Examples
    --------
    >>> print(junit_xml([ClassMarks("x", "X", "", (), ())]).decode().splitlines()[1])
    <testsuites name="marks" tests="0" failures="0" errors="0" time="0.000">
    """
    root = Element("testsuites", {"name": "marks"})
    for lesson in lessons:
        suite = SubElement(root, "testsuite", {"name": xml_text(lesson.lesson)})
        by_student = {final.student: final for final in finals.get(lesson.lesson, ())}
        for one in lesson.students:
            _student(suite, lesson.lesson, one, by_student.get(one.student.id))
            _notices(suite, lesson.lesson, one.student.id, one.problems, fail_on_notices)
        _notices(suite, lesson.lesson, "class", lesson.problems, fail_on_notices)
        _count(suite, with_skipped=True)
    _count(root, with_skipped=False)
    indent(root)
    text: str = tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _count(element: Element, *, with_skipped: bool) -> None:
    cases = list(element.iter("testcase"))
    element.set("tests", str(len(cases)))
    for attribute, tag in (("failures", "failure"), ("errors", "error"), ("skipped", "skipped")):
        if attribute != "skipped" or with_skipped:
            element.set(attribute, str(sum(case.find(tag) is not None for case in cases)))
    element.set("time", f"{sum(float(case.get('time', '0')) for case in cases):.3f}")
