"""Entered and checked at once: what the student sees entered is what is marked, however slow the kernel is."""

import os
import signal
import sys

import pytest
from playwright.sync_api import expect

LESSON = """
from musictheory_nb.widgets.lesson_session import open_lesson
lesson = open_lesson("demo", seed=7)
view = lesson.exercise("seen", "interval-by-ear", count=2, points=2, settings={"present": "notation"})
view
"""


@pytest.mark.skipif(sys.platform == "win32", reason="Windows cannot hold a process and let it go on")
def test_a_press_does_not_overtake_what_was_entered_before_it(notebook):
    """JupyterLab sends one change of a widget at a time and holds the later ones back; messages of a press it does not."""
    page = notebook([LESSON])
    exercise = page.page.locator(".mtnb-exercise")
    radios = exercise.get_by_role("radio")
    expect(radios.nth(3)).to_be_visible()
    kernel = page.python("__import__('os').getpid()")
    os.kill(kernel, signal.SIGSTOP)
    try:
        for place in (0, 1, 2, 3):
            radios.nth(place).click()
        exercise.get_by_role("button", name="Check my answer").click()
    finally:
        os.kill(kernel, signal.SIGCONT)
    expect(exercise.locator(".mtnb-verdict-headline")).to_be_visible()
    page.until(
        "[list(line.answer.values())[0]['choice'] for line in view._lines.values()]",
        page.python("[view.step_boxes[0].step.inputs[0].options[3].value]"),
    )
    assert page.console == []
