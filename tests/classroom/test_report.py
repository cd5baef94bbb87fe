"""report.html: one page that stands alone, runs nothing, and shows hostile text letter by letter."""

import base64
import hashlib
import re
from itertools import pairwise

import pytest
from page_reading import Page

from musictheory_nb.classroom.class_marks import ClassMarks, Confusion, ExerciseMarks, StudentMarks
from musictheory_nb.classroom.report import report_html
from musictheory_nb.classroom.roster import Student

HOSTILE = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "</style><script>alert(1)</script>",
    "' onmouseover='alert(1)",
    "=1+1",
    "&lt;b&gt;",
    "\u202eevil",
]


def marks_of(name: str, *, words: str = "perfect fifth", lesson: str = "read-intervals") -> ClassMarks:
    students = (
        StudentMarks(
            Student("ada", name, name),
            (ExerciseMarks("first", (1.0, 0.0, 0.5, None), 8.0),),
            (Confusion("first", 1, words, "perfect fourth"),),
            handed_in=True,
            last_answer="2026-03-02T10:00:00Z",
            after_due=1,
            problems=(f"odd: {words}",),
            notes=(words,),
        ),
        StudentMarks(Student("ben", "Ben"), (ExerciseMarks("first", (None,) * 4, 8.0),)),
        StudentMarks(Student("cy", "Cy"), problems=("NOT MARKED",), failed=True),
    )
    return ClassMarks(
        lesson, words, "sha256:" + "0" * 64, (("first", "Intervals by ear"),), students, problems=(words,)
    )


@pytest.fixture(scope="module")
def page() -> Page:
    return Page(report_html([marks_of("Ada Quill")]))


def test_page_names_its_language_and_title(page):
    assert page.all("html") == [{"lang": "en"}]
    assert "Marks: perfect fifth" in page.text
    assert not page.open


def test_it_holds_no_script_no_form_and_fetches_nothing(page):
    tags = {tag for tag, _ in page.found}
    assert not tags & {"script", "link", "iframe", "object", "embed", "form", "input", "base", "svg", "video", "audio"}
    for _, attributes in page.found:
        assert not [name for name in attributes if name.startswith("on") or name in ("style", "srcset", "formaction")]
        for name in ("src", "href"):
            assert attributes.get(name, "#").startswith(("#", "data:image/svg+xml;base64,"))


def test_policy_allows_its_own_style_sheet_and_nothing_else(page):
    """Content Security Policy Level 3, 2.3.1: a hash source is the base64 of the digest of the element's text."""
    (policy,) = [meta["content"] for meta in page.all("meta") if meta.get("http-equiv") == "Content-Security-Policy"]
    text = report_html([marks_of("Ada Quill")]).decode("utf-8")
    (style,) = re.findall(r"<style>(.*?)</style>", text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode("utf-8")).digest()).decode()
    rules = dict(rule.strip().split(" ", 1) for rule in policy.split(";"))
    assert rules["default-src"] == "'none'"
    assert rules["style-src"] == f"'sha256-{digest}'"
    assert rules["img-src"] == "data:"
    assert rules["base-uri"] == rules["form-action"] == "'none'"
    assert "script-src" not in rules
    assert "url(" not in style
    assert "@import" not in style


def test_tables_have_captions_and_heads(page):
    assert len(page.all("table")) == len(page.all("caption")) > 3
    assert all(th.get("scope") in ("col", "row") for th in page.all("th"))


def test_headings_go_down_by_one(page):
    levels = [int(tag[1]) for tag, _ in page.found if re.fullmatch(r"h[1-6]", tag)]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))


@pytest.mark.parametrize("lessons", [1, 2])
def test_links_lead_somewhere_and_ids_are_unique(lessons):
    page = Page(report_html([marks_of("Ada", lesson=f"lesson-{number}") for number in range(lessons)]))
    ids = [attributes["id"] for _, attributes in page.found if "id" in attributes]
    assert len(ids) == len(set(ids))
    assert {link["href"].removeprefix("#") for link in page.all("a")} <= set(ids)


def test_picture_has_words(page):
    spread, exercises = page.all("img")
    # 1.5 of 4 items: 37.5 %
    assert "30 to under 40%: 1 student." in spread["alt"]
    assert "first" in exercises["alt"]
    for image in (spread, exercises):
        assert base64.b64decode(image["src"].split(",")[1]).lstrip().startswith(b"<")


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_text(text):
    plain = Page(report_html([marks_of("Ada Quill")]))
    page = Page(report_html([marks_of(text, words=text)]))
    assert [tag for tag, _ in page.found] == [tag for tag, _ in plain.found], "the text made elements"
    assert page.text.count(text) >= 4
    assert {name for _, attributes in page.found for name in attributes} == {
        name for _, attributes in plain.found for name in attributes
    }


def test_figures_are_those_of_the_marks(page):
    text = " ".join(page.text)
    # 1.5 of 4 items, 8 points: 3 points, 38 %
    assert "3.00 of 8 points; 3 of 4 answered" in text
    assert "38 %" in text
    assert "nothing handed in" in text
    assert "not marked" in text
    assert "item 2: perfect fifth; answered: perfect fourth" in text
    assert "1 answers say that they were given after the due time; they count." in text


def test_same_marks_same_file():
    assert report_html([marks_of("Ada")]) == report_html([marks_of("Ada")])


def test_a_class_without_answers_has_a_report_too():
    nobody = ClassMarks("x", "X", "sha256:" + "0" * 64, (("first", "Intervals"),), (StudentMarks(Student("a", "A")),))
    text = " ".join(Page(report_html([nobody])).text)
    assert "No wrong answers to compare." in text
    assert "Nothing was out of order" in text
