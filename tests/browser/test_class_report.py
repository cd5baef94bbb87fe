"""The class report in Chromium: axe-core's rules in light and dark, and names that are markup or formulas."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.report import report_html
from musictheory_nb.classroom.roster import Student

NAMES = ("<script>alert(1)</script>", "=1+1", "Inés Orta", '"><img src=x onerror=alert(1)>')


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    students = tuple(
        StudentMarks(
            Student(f"s{number}", name, ""),
            (ExerciseMarks("first", (1.0, number / 4, None), 6.0),),
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
    path.write_bytes(report_html(lessons))
    return path


@pytest.mark.parametrize("width", [1200, 380])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_runs(chromium, report, scheme, width):
    context = chromium.new_context(color_scheme=scheme, viewport={"width": width, "height": 900})
    page = context.new_page()
    told: list[str] = []
    asked: list[str] = []
    page.on("dialog", lambda dialog: (told.append(dialog.message), dialog.dismiss()))
    page.on("console", lambda message: told.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(report.as_uri())
    for name in NAMES:
        assert page.get_by_role("cell", name=name, exact=True).count() >= 1
    assert page.evaluate("document.images[0].complete && document.images[0].naturalWidth > 100")
    assert page.evaluate("getComputedStyle(document.body).maxWidth") == "1024px"  # the style sheet passes the policy
    assert told == []
    assert [url for url in asked if not url.startswith("data:")] == [report.as_uri()]
    result = Axe().run(page, options={"resultTypes": ["violations", "passes"]})
    assert result.response["passes"], "axe looked at nothing"
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in result.response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), "the page scrolls sideways"
    context.close()
