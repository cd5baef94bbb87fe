"""A kernel that has stopped or hangs: the student is told in the exercise, and no button is silently dead."""

import os
import signal
import sys

import pytest
from playwright.sync_api import expect

SETUP = """
from musictheory_nb.widgets.lesson_session import open_lesson
lesson = open_lesson("demo", seed=7)
"""
EXERCISE = """lesson.exercise("seen", "interval-by-ear", count=2, points=2, settings={"present": "notation"})"""
TOLD = "kernel has not answered"


@pytest.fixture
def opened(notebook):
    page = notebook([SETUP, EXERCISE])
    exercise = page.page.locator(".mtnb-exercise")
    exercise.get_by_role("radio").first.click()
    return page, exercise, page.python("__import__('os').getpid()")


def check(exercise):
    exercise.get_by_role("button", name="Check my answer").click()


def test_a_kernel_that_died_is_told_and_running_the_cells_again_helps(opened):
    page, exercise, kernel = opened
    os.kill(kernel, signal.SIGTERM if sys.platform == "win32" else signal.SIGKILL)
    dialog = page.page.locator(".jp-Dialog")
    expect(dialog).to_contain_text("died", timeout=30_000)
    page.page.keyboard.press("Escape")
    expect(dialog).to_have_count(0)
    check(exercise)
    expect(exercise.locator(":scope > * > .mtnb-actions").get_by_role("alert")).to_contain_text(TOLD, timeout=20_000)
    page.run_all()
    exercise.get_by_role("radio").first.click()
    check(exercise)
    expect(exercise.locator(".mtnb-verdict-headline")).to_be_visible()
    expect(exercise.locator(":scope > * > .mtnb-actions").get_by_role("alert")).to_have_text("")
    assert page.console == []


@pytest.mark.skipif(sys.platform == "win32", reason="Windows cannot hold a process and let it go on")
def test_a_kernel_that_is_slow_is_told_and_its_answer_takes_the_line_away(opened):
    page, exercise, kernel = opened
    alert = exercise.locator(":scope > * > .mtnb-actions").get_by_role("alert")
    os.kill(kernel, signal.SIGSTOP)
    try:
        check(exercise)
        expect(alert).to_contain_text(TOLD, timeout=20_000)
    finally:
        os.kill(kernel, signal.SIGCONT)
    expect(exercise.locator(".mtnb-verdict-headline")).to_be_visible()
    expect(alert).to_have_text("")
    assert page.console == []
