"""Review in JupyterLab, by mouse and by keyboard, with the kernel restarted half-way; its pictures for a screen reader."""

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

START = "import musictheory_nb as mt, pathlib; home = pathlib.Path('review-home'); home.mkdir(exist_ok=True)"
REVIEW = "review = mt.review('ines-orta', [mt.Exercise('hear', 'interval-by-ear', {'inputs': ['buttons']}, lesson='demo')], folder=home); review"


def test_questions_follow_one_another_and_are_there_after_a_restart(notebook, lab):
    page = notebook([START, REVIEW])
    output = page.output(1)
    expect(output.locator(".mtnb-progress")).to_contain_text("Review, not marked: something that you have not met yet.")
    prompt = "review.view.asked.seed"
    for number, by_keyboard in enumerate((False, True, False), start=1):
        before = page.python(prompt)
        value = page.python(
            "[o.value for o in review.view.step_boxes[0].step.inputs[0].options].index(review.view.asked.skill.value)"
        )
        radios = output.get_by_role("radio")
        if by_keyboard:
            radios.first.focus()
            page.page.keyboard.press("Home")
            for _ in range(value):
                page.page.keyboard.press("ArrowRight")
            page.page.keyboard.press("Enter")
        else:
            radios.nth(value).click()
        check = output.get_by_role("button", name="Check my answer")
        if by_keyboard:
            check.focus()
            page.page.keyboard.press("Enter")
        else:
            check.click()
        expect(output.locator(".mtnb-verdict-headline")).to_contain_text("Right")
        expect(output.locator(".mtnb-verdict")).to_contain_text("It comes again")
        page.until("len(review.evidence)", number)
        another = output.get_by_role("button", name="Another question")
        if by_keyboard:
            another.focus()
            page.page.keyboard.press("Enter")
        else:
            another.click()
        expect(output.locator(".mtnb-verdict-headline")).to_have_count(0)
        assert page.python(prompt) != before
    page.page.evaluate("() => window.jupyterapp.shell.currentWidget.sessionContext.session.kernel.restart()")
    page.page.wait_for_timeout(500)
    page.run_all()
    assert page.python("len(review.evidence)") == 3
    result = Axe().run(
        page.page,
        context={"include": [[".mtnb-exercise"]]},
        options={"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}},
    )
    assert [f"{one['id']}: {one['nodes'][0]['html'][:120]}" for one in result.response["violations"]] == []
    assert page.console == []


def test_the_picture_of_progress_has_a_name(notebook):
    fill = (
        "item = review.view.item; box = review.view.step_boxes[0]\nbox.enter('choice', item.solution['interval']['choice'][0]); "
        "review.view.check()\nreview.progress()"
    )
    page = notebook([START + "; import tempfile; home = tempfile.mkdtemp()", REVIEW, fill])
    picture = page.output(2).get_by_role("img")
    expect(picture.first).to_have_attribute("aria-label", page.python("review.progress().alt"))
