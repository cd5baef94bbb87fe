"""The twin of a question in JupyterLab, by mouse and by keyboard, and what a screen reader is told."""

from playwright.sync_api import expect

OPEN = "import musictheory_nb as mt; lesson = mt.open_lesson('demo', student='ines-orta', seed=7, folder='.')"
HEAR = "heard = lesson.exercise('hear', 'interval-by-ear', count=2, settings={'inputs': ['buttons']}); heard"
READ = "seen = lesson.exercise('read', 'note-reading', count=2, settings={'inputs': ['buttons']}); seen"


def test_both_twins_by_mouse_and_keyboard(notebook):
    page = notebook(["import os, tempfile; os.chdir(tempfile.mkdtemp())", OPEN, HEAR, READ])
    hear, read = page.output(2), page.output(3)
    button = hear.get_by_role("button", name="See the notation instead of listening")
    expect(hear.get_by_role("img")).to_have_count(0)
    button.click()
    expect(hear.get_by_role("img", name="The two notes", exact=True)).to_be_visible()
    expect(hear.get_by_text("The notation is shown.")).to_be_attached()
    expect(button).to_have_attribute("aria-disabled", "true")
    expect(hear.get_by_text("In words")).to_be_hidden()
    page.do("(b := heard.step_boxes[0]).enter('choice', heard.item.solution[b.step.id]['choice'][0]); heard.check()")
    page.until("[line.twin for line in lesson.answers]", ["hearing"])
    expect(button).to_have_count(0)
    hear.get_by_role("button", name="Next question").click()
    expect(hear.get_by_role("button", name="See the notation instead of listening")).to_be_enabled()

    told = page.python("seen.item.twin_text")
    button = read.get_by_role("button", name="Read it in words instead of looking")
    expect(read.get_by_text(told)).to_have_count(0)
    assert told not in read.inner_html()
    button.focus()
    page.page.keyboard.press("Enter")
    expect(read.locator(".mtnb-twin-words")).to_have_text(told)
    expect(read.locator(".mtnb-twin [role='status']").first).to_have_text(told)
    expect(button).to_be_focused()
    assert page.console == []
