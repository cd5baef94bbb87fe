"""A student at work on an exercise in the browser, with the mouse or with the keyboard alone."""

import re
from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from notebook_page import WAIT_MS, NotebookPage
from playwright.sync_api import Locator, expect

from musictheory_nb.practice.item import Item
from musictheory_nb.practice.response import (
    ChoiceInput,
    FingerboardInput,
    Input,
    KeysInput,
    MeasuresInput,
    NumberInput,
    RolesInput,
    SectionsInput,
    StaffInput,
    Step,
    SymbolInput,
    TextInput,
)

Answer = Mapping[str, Mapping[str, object]]
#: The keys of note values on the staff, by quarters.
_VALUES = {Fraction(4): "1", Fraction(2): "2", Fraction(1): "4", Fraction(1, 2): "8", Fraction(1, 4): "6"}


def _value_keys(quarters: Fraction) -> list[str]:
    """Keys that choose a note value, with or without a dot."""
    for head, key in _VALUES.items():
        if quarters in (head, head * 3 / 2):
            return [key] if quarters == head else [key, "."]
    raise AssertionError(f"{quarters} quarters: no key is known for that value")


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
        for step in item.response.steps:
            ((name, value),) = answer[step.id].items()
            entry = next(each for each in step.inputs if each.id == name)
            _ENTER[type(entry)](self, self._widget(item, step, entry), entry, value, by_keyboard)
        answered = self._answered()
        check = self.exercise.get_by_role("button", name="Check my answer")
        if by_keyboard:
            check.focus()
            self.page.page.keyboard.press("Enter")
        else:
            check.click()
        try:
            expect(self.exercise.locator(".mtnb-progress")).to_contain_text(
                re.compile(rf"\b{answered + 1} of \d+ answered"), timeout=WAIT_MS
            )
        except AssertionError as error:
            error.add_note(
                f"answer {answer}; told: {self.verdict!r} {self.exercise.get_by_role('alert').all_inner_texts()}"
            )
            raise
        expect(self.exercise.locator(".mtnb-verdict-headline")).to_have_count(1, timeout=WAIT_MS)

    def _answered(self) -> int:
        """How many questions the progress line counts as answered."""
        found = re.search(r"(\d+) of \d+ answered", self.progress)
        assert found is not None, self.progress
        return int(found[1])

    def _widget(self, item: Item, step: Step, entry: Input) -> Locator:
        """The widget of an input: among those of its kind, in the order of the steps."""
        kinds = [(one.id, each.id) for one in item.response.steps for each in one.inputs if type(each) is type(entry)]
        widgets = self.exercise.locator(f".mtnb.mtnb-{_ROOTS[type(entry)]}")
        return widgets.nth(kinds.index((step.id, entry.id)))

    def _press(self, *keys: str) -> None:
        for key in keys:
            self.page.page.keyboard.press(key)

    def _choose(self, widget: Locator, entry: ChoiceInput, value: str | list[str], by_keyboard: bool) -> None:
        boxes = widget.get_by_role("checkbox" if entry.many else "radio")
        for at, option in enumerate(entry.options):
            if option.value in (value if isinstance(value, list) else [value]):
                if by_keyboard:
                    boxes.first.focus()
                    self._press("Home", *["ArrowRight"] * at, "Enter")
                else:
                    boxes.nth(at).click()

    def _mark(self, widget: Locator, _entry: SectionsInput, value: list[list[object]], by_keyboard: bool) -> None:
        cells = widget.locator(".mtnb-strip-grid button")
        for index, label in value:
            cells.nth(int(str(index))).focus()
            if not by_keyboard and index != 0:
                cells.nth(int(str(index))).click()
            self._press(str(label).lower())

    def _play(self, widget: Locator, _entry: KeysInput, keys: list[int], _by_keyboard: bool) -> None:
        for key in keys:
            piano_key = widget.locator(f"[data-midi='{key}']")
            piano_key.scroll_into_view_if_needed()
            size = piano_key.bounding_box()
            assert size is not None
            piano_key.click(position={"x": size["width"] / 2, "y": size["height"] - 8})  # below the black keys

    def _stop(self, widget: Locator, entry: FingerboardInput, places: list[list[int]], by_keyboard: bool) -> None:
        for string, step in places:
            above = sum(entry.highest(each) + 1 for each in range(string + 1, len(entry.tuning)))
            place = widget.locator(".mtnb-place").nth(above + step)
            place.focus()
            if by_keyboard:
                self._press("Enter")
            else:
                place.click()

    def _write(self, widget: Locator, entry: StaffInput, rows: list[list[Any]], _by_keyboard: bool) -> None:
        """Write from the computer keyboard; how it goes by mouse is tried where the staff is."""
        widget.get_by_role("application").focus()
        for pitches, quarters, _tied in rows:
            if not entry.pitches_only:
                self._press(*_value_keys(Fraction(quarters)))
            if not pitches:
                self._press("r")
            for at, name in enumerate(pitches):
                self._press(f"Shift+{name[0]}" if at else name[0].lower())
                self._pitch(widget, name, at)

    def _pitch(self, widget: Locator, name: str, at: int) -> None:
        """Bring the note that was written last, number `at` of its chord, to a pitch."""
        match = re.fullmatch(r"([A-G])(#*|b*)(\d)", name)
        assert match is not None, name
        said = widget.get_by_role("status").text_content() or ""
        now = list(re.finditer(r"([A-G])( double)?( sharp| flat)? (\d)", said))[at]
        assert now[1] == match[1], f"{said!r} for {name}"
        octaves = int(match[3]) - int(now[4])
        self._press(*["Shift+ArrowUp" if octaves > 0 else "Shift+ArrowDown"] * abs(octaves))
        has = {None: 0, " sharp": 1, " flat": -1}[now[3]] * (2 if now[2] else 1)
        raised = match[2].count("#") - match[2].count("b") - has
        self._press(*["#" if raised > 0 else "-"] * abs(raised))

    def _say(self, widget: Locator, _entry: Input, text: object, by_keyboard: bool) -> None:
        field = widget.get_by_role("textbox")
        if by_keyboard:
            field.focus()
            self.page.page.keyboard.type(str(text))
        else:
            field.fill(str(text))

    def _give_roles(self, widget: Locator, _entry: RolesInput, roles: list[str], _by_keyboard: bool) -> None:
        for at, role in enumerate(roles):
            widget.get_by_role("combobox").nth(at).select_option(role)

    def _span(self, widget: Locator, _entry: MeasuresInput, spans: list[list[int]], by_keyboard: bool) -> None:
        measures = widget.locator(".mtnb-range-measure")
        for span in spans:
            for at in span:
                measures.nth(at).focus()
                if by_keyboard:
                    self._press("Enter")
                else:
                    measures.nth(at).click()

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


#: By input: the name of its widget's root, and how it is answered.
_HOW = {
    ChoiceInput: ("choices", Student._choose),
    FingerboardInput: ("fingerboard", Student._stop),
    KeysInput: ("piano", Student._play),
    MeasuresInput: ("range", Student._span),
    NumberInput: ("number", Student._say),
    RolesInput: ("roles", Student._give_roles),
    SectionsInput: ("strip", Student._mark),
    StaffInput: ("staff", Student._write),
    SymbolInput: ("symbol", Student._say),
    TextInput: ("text", Student._say),
}
_ROOTS = {kind: root for kind, (root, _) in _HOW.items()}
_ENTER = {kind: enter for kind, (_, enter) in _HOW.items()}
