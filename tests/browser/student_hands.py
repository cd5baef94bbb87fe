"""A student at work on an exercise in the browser, with the mouse or with the keyboard alone."""

import re
from collections.abc import Mapping

from notebook_page import WAIT_MS, NotebookPage
from playwright.sync_api import Locator, expect

from musictheory_nb.practice.item import Item
from musictheory_nb.practice.response import ChoiceInput, SectionsInput

Answer = Mapping[str, Mapping[str, object]]


class Student:
    """Hands on one exercise.

    Parameters
    ----------
    page : NotebookPage
        The open notebook.
    place : int
        Which exercise of the notebook, from 0.
    """

    def __init__(self, page: NotebookPage, place: int) -> None:
        self.page = page
        self.exercise: Locator = page.page.locator(".mtnb-exercise").nth(place)
        self.exercise.wait_for(state="attached")
        self.exercise.scroll_into_view_if_needed()
        expect(self.exercise.locator(".mtnb-progress")).to_contain_text("Question")

    @property
    def progress(self) -> str:
        """The line that says how far the student has got."""
        return self.exercise.locator(".mtnb-progress").text_content() or ""

    @property
    def verdict(self) -> str:
        """The feedback, as shown."""
        return self.exercise.locator(".mtnb-feedback").text_content() or ""

    def listen(self) -> None:
        """Play the first sound of the question; the first time on a page, pass the sound check."""
        self.exercise.get_by_role("button", name="Play").first.click()
        go_on = self.page.page.get_by_role("button", name="The volume is right: go on")
        self.page.page.wait_for_timeout(200)
        if go_on.count() and go_on.first.is_visible():
            go_on.first.click()
        self.exercise.get_by_text("Playing.").first.wait_for()

    def answer(self, item: Item, answer: Answer, by_keyboard: bool) -> None:
        """Enter `answer` and check it; return when the verdict is there."""
        for number, step in enumerate(item.response.steps):
            ((name, value),) = answer[step.id].items()
            entry = next(each for each in step.inputs if each.id == name)
            if isinstance(entry, ChoiceInput):
                self._choose(number, entry, value if isinstance(value, list) else [value], by_keyboard)
            elif isinstance(entry, SectionsInput):
                self._mark(entry, value, by_keyboard)
            else:
                self._play(value)
        answered = self._answered()
        check = self.exercise.get_by_role("button", name="Check my answer")
        if by_keyboard:
            check.focus()
            self.page.page.keyboard.press("Enter")
        else:
            check.click()
        expect(self.exercise.locator(".mtnb-progress")).to_contain_text(
            re.compile(rf"\b{answered + 1} of \d+ answered"), timeout=WAIT_MS
        )
        expect(self.exercise.locator(".mtnb-verdict-headline")).to_have_count(1, timeout=WAIT_MS)

    def _answered(self) -> int:
        """How many questions the progress line counts as answered."""
        found = re.search(r"(\d+) of \d+ answered", self.progress)
        assert found is not None, self.progress
        return int(found[1])

    def _choose(self, number: int, entry: ChoiceInput, values: list[str], by_keyboard: bool) -> None:
        row = self.exercise.locator(".mtnb-choices").nth(number)
        boxes = row.get_by_role("checkbox" if entry.many else "radio")
        for at, option in enumerate(entry.options):
            if option.value in values:
                if by_keyboard:
                    boxes.first.focus()
                    self.page.page.keyboard.press("Home")
                    for _ in range(at):
                        self.page.page.keyboard.press("ArrowRight")
                    self.page.page.keyboard.press("Enter")
                else:
                    boxes.nth(at).click()

    def _mark(self, entry: SectionsInput, value: list[list[object]], by_keyboard: bool) -> None:
        cells = self.exercise.locator(".mtnb-strip-grid button")
        for index, label in value:
            cells.nth(int(str(index))).focus()
            if by_keyboard or index == 0:
                self.page.page.keyboard.press(str(label).lower())
            else:
                cells.nth(int(str(index))).click()
                self.page.page.keyboard.press(str(label).lower())

    def _play(self, keys: list[int]) -> None:
        for key in keys:
            piano_key = self.exercise.locator(f"[data-midi='{key}']")
            piano_key.scroll_into_view_if_needed()
            size = piano_key.bounding_box()
            assert size is not None
            piano_key.click(position={"x": size["width"] / 2, "y": size["height"] - 8})  # below the black keys

    def go_on(self, by_keyboard: bool) -> None:
        """Go to the next question."""
        before = re.match(r"Question \d+ ", self.progress)
        assert before is not None, self.progress
        button = self.exercise.get_by_role("button", name="Next question")
        if by_keyboard:
            button.focus()
            self.page.page.keyboard.press("Enter")
        else:
            button.click()
        problem = self.exercise.locator(":scope > * > .mtnb-actions .mtnb-problem").text_content()
        progress = self.exercise.locator(".mtnb-progress")
        expect(progress, problem).not_to_contain_text(before[0], timeout=WAIT_MS)
