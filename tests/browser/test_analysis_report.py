"""The page about a piece in Chromium: axe-core's rules in light and dark, wide and narrow, and on paper."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from music21 import corpus

from musictheory_nb.classroom.analysis_page import analysis_html
from musictheory_nb.classroom.piece_analysis import analyse
from musictheory_nb.score.load import load_score


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    piece = load_score(corpus.getWork("bach/bwv269.mxl"), cache=False)
    path = tmp_path_factory.mktemp("analysis") / "report.html"
    path.write_bytes(analysis_html(analyse(piece)))
    return path


@pytest.mark.parametrize("width", [1200, 600, 380])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_and_nothing_is_fetched(chromium, report, scheme, width):
    context = chromium.new_context(color_scheme=scheme, viewport={"width": width, "height": 900})
    page = context.new_page()
    told: list[str] = []
    asked: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(report.as_uri())
    assert page.evaluate("[...document.images].every((one) => one.complete && one.naturalWidth > 100)")
    page.evaluate("document.querySelectorAll('details').forEach((one) => { one.open = true })")
    assert told == []
    assert [url for url in asked if not url.startswith("data:")] == [report.as_uri()]
    result = Axe().run(page, options={"resultTypes": ["violations", "passes"]})
    assert result.response["passes"], "axe looked at nothing"
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in result.response["violations"]] == []
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth"), "the page scrolls sideways"
    context.close()


def test_keyboard_reaches_skip_link_and_words(chromium, report):
    context = chromium.new_context(viewport={"width": 1000, "height": 900})
    page = context.new_page()
    page.goto(report.as_uri())
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.getAttribute('href')") == "#main"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#main"
    words = page.locator("details p").first
    assert not words.is_visible()
    page.locator("summary").first.focus()
    page.keyboard.press("Enter")
    assert words.is_visible()
    assert "Form" in words.inner_text()
    context.close()


def test_on_paper_no_picture_is_wider_than_the_sheet(chromium, report):
    context = chromium.new_context(viewport={"width": 670, "height": 950}, color_scheme="dark")
    page = context.new_page()
    page.goto(report.as_uri())
    page.emulate_media(media="print")
    assert page.evaluate("Math.max(...[...document.images].map((one) => one.getBoundingClientRect().right)) <= 670")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
    assert not page.locator("nav").is_visible()
    context.close()
