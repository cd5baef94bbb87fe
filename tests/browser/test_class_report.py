"""Class report and student's page in Chromium: axe-core's rules in light and dark, and names that are markup or formulas."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.classroom.likeness_hint import LikenessHint
from musictheory_nb.classroom.policy_effect import Effect, FinalMark
from musictheory_nb.classroom.report import report_html
from musictheory_nb.classroom.report_extras import ReportExtras
from musictheory_nb.classroom.roster import Student
from musictheory_nb.classroom.student_page import student_page_html
from musictheory_nb.classroom.student_report import student_report
from musictheory_nb.classroom.teacher_remark import Comment, Exchange, RubricMark, RubricRow
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.marking import mark_lesson

NAMES = ("<script>alert(1)</script>", "=1+1", "Inés Orta", '"><img src=x onerror=alert(1)>')


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    students = tuple(
        StudentMarks(
            Student(f"s{number}", name, ""),
            (ExerciseMarks("first", (1.0, number / 4, None), 6.0, ("2026-03-02T10:00:00Z",) * 3, (5000, 9000, None)),),
            (Confusion("first", 1, name, "perfect fourth"),),
            handed_in=True,
            problems=(name,),
        )
        for number, name in enumerate(NAMES)
    )
    lessons = [
        ClassMarks(
            id, "Read <b>intervals</b>", "sha256:" + "0" * 64, (("first", "Intervals"),), students, problems=NAMES
        )
        for id in ("one", "two")
    ]
    path = tmp_path_factory.mktemp("report") / "report.html"
    final = FinalMark("s0", 50.0, 45.0, 6.0, False, (Effect("late", NAMES[0], 50.0, 45.0),))
    extras = ReportExtras(
        [final], 60.0, [LikenessHint("answer ids", ("s0", "s1"), 3)], {"s0": (Exchange(NAMES[0]), Exchange("why?"))}
    )
    path.write_bytes(report_html(lessons, extras={"one": extras}))
    return path


@pytest.fixture(scope="module")
def student_page(tmp_path_factory):
    exercise = Exercise("first", "interval-by-ear", {"present": "both", "inputs": ["buttons"]}, count=3, lesson="read")
    plan = LessonPlan("read", NAMES[0], (exercise,))
    value = exercise.item(7, 0).response.steps[0].inputs[0].options[0].value
    answers = [
        AnswerLine(f"{at:032x}", "first", 1, at, {"interval": {"choice": value}}, 1, "2026-03-02T10:00:00Z")
        for at in range(2)
    ]
    report = student_report(
        mark_lesson(plan, 7, answers),
        Student("s0", NAMES[1]),
        final=FinalMark("s0", 50.0, 45.0, 6.0, False, (Effect("late", NAMES[0], 50.0, 45.0),)),
        due=read_due("2026-03-06 18:00 UTC"),
        rubric_marks=(RubricMark("first", 2, (RubricRow(NAMES[0], 1, 4, NAMES[1]),)),),
        comments=tuple(Comment(name, by=name) for name in NAMES),
        exchanges=(Exchange(NAMES[0], reply=NAMES[1]), Exchange("=1+1")),
        notices=NAMES,
    )
    path = tmp_path_factory.mktemp("page") / "s0.html"
    path.write_bytes(student_page_html(report))
    return path


def watched_page(chromium, path, **settings):
    """A page that is opened, what it says on the console or in a dialog, and what it asks for."""
    context = chromium.new_context(**settings)
    page = context.new_page()
    told: list[str] = []
    asked: list[str] = []
    page.on("dialog", lambda dialog: (told.append(dialog.message), dialog.dismiss()))
    page.on("console", lambda message: told.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(path.as_uri())
    return context, page, told, asked


def check_rules(page):
    """axe-core finds nothing, and the page does not scroll sideways."""
    result = Axe().run(page, options={"resultTypes": ["violations", "passes"]})
    assert result.response["passes"], "axe looked at nothing"
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in result.response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), "the page scrolls sideways"


@pytest.mark.parametrize("width", [1200, 380])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_runs(chromium, report, scheme, width):
    viewport = {"width": width, "height": 900}
    context, page, told, asked = watched_page(chromium, report, color_scheme=scheme, viewport=viewport)
    for name in NAMES:
        assert page.get_by_role("cell", name=name, exact=True).count() >= 1
    assert page.evaluate("document.images[0].complete && document.images[0].naturalWidth > 100")
    assert page.evaluate("getComputedStyle(document.body).maxWidth") == "1024px"  # the style sheet passes the policy
    assert told == []
    assert [url for url in asked if not url.startswith("data:")] == [report.as_uri()]
    check_rules(page)
    context.close()


# 500 wide is a window of 1000 at 200 % zoom (WCAG 2.2, 1.4.4); 320 is that of 1.4.10.
@pytest.mark.parametrize("width", [1000, 500, 320])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_students_page_keeps_the_rules_and_plays(chromium, student_page, scheme, width):
    viewport = {"width": width, "height": 900}
    context, page, told, asked = watched_page(chromium, student_page, color_scheme=scheme, viewport=viewport)
    for name in NAMES:
        assert page.get_by_role("listitem").filter(has_text=name).count() >= 1
    assert page.evaluate("[...document.images].every(one => one.complete && one.naturalWidth > 40)")
    page.wait_for_function("[...document.querySelectorAll('audio')].every(one => one.duration > 0.3)")
    assert page.evaluate("document.querySelectorAll('audio').length >= 2")
    assert page.evaluate("[...document.querySelectorAll('audio')].every(one => one.paused)"), "it plays by itself"
    assert told == []
    assert [url for url in asked if not url.startswith("data:")] == [student_page.as_uri()]
    check_rules(page)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "Skip to the content"
    assert page.evaluate("document.activeElement.getBoundingClientRect().left >= 0"), "the skip link is not seen"
    context.close()


@pytest.mark.parametrize("file", ["report", "student_page"])
def test_on_paper_nothing_is_cut_and_nothing_is_left_that_paper_cannot_do(chromium, request, file):
    context, page, _, _ = watched_page(chromium, request.getfixturevalue(file))
    page.emulate_media(media="print")
    for selector in ("nav", ".skip", "audio"):
        assert page.locator(selector).locator("visible=true").count() == 0
    assert page.evaluate("getComputedStyle(document.querySelector('.wide')).overflowX") == "visible"
    assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    context.close()
