"""Answering a question again in JupyterLab, from the computer keyboard alone, where the copy allows a second answer."""

import pytest
from playwright.sync_api import expect

SETUP = """
from musictheory_nb.widgets.lesson_session import open_lesson
lesson = open_lesson("answering-again", student="ines-orta", seed=7, attempts=2)
"""
EXERCISE = (
    """lesson.exercise("seen", "interval-by-ear", count=2, settings={"present": "notation", "inputs": ["buttons"]})"""
)


@pytest.fixture
def opened(notebook):
    page = notebook([SETUP, EXERCISE])
    return page, page.page.locator(".mtnb-exercise")


def choose(page, exercise, right):
    """Choose the right interval, or another one, and check it."""
    solution = page.python("lesson._views['seen'].item.solution['interval']['choice'][0]")
    options = page.python("[one.value for one in lesson._views['seen'].item.response.steps[0].inputs[0].options]")
    at = options.index(solution) if right else next(n for n, one in enumerate(options) if one != solution)
    exercise.get_by_role("radio").first.focus()
    page.page.keyboard.press("Home")
    for _ in range(at):
        page.page.keyboard.press("ArrowRight")
    page.page.keyboard.press("Enter")
    exercise.get_by_role("button", name="Check my answer").focus()
    page.page.keyboard.press("Enter")


def test_a_wrong_answer_is_given_again_and_what_is_right_comes_last(opened):
    page, exercise = opened
    feedback = exercise.locator(".mtnb-feedback")
    choose(page, exercise, right=False)
    expect(feedback).to_contain_text("You can answer once more.")
    explained = page.python("lesson._views['seen'].item.explain").splitlines()[0]
    assert explained not in (feedback.text_content() or "")
    again = exercise.get_by_role("button", name="Answer again")
    again.focus()
    page.page.keyboard.press("Enter")
    expect(again).to_have_count(0)
    expect(exercise.get_by_role("button", name="Check my answer")).to_be_enabled()
    choose(page, exercise, right=True)
    expect(feedback).to_contain_text(explained)
    expect(exercise.get_by_role("button", name="Answer again")).to_have_count(0)
    assert page.python("[(line.index, line.attempt) for line in lesson.answers]") == [(0, 1), (0, 2)]
    assert page.console == []
