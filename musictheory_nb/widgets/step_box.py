"""One step of an item: its wording and the inputs through which it can be answered."""

import html
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import ChoiceInput, Input, KeysInput, SectionsInput, Step
from musictheory_nb.widgets.choice_row import ChoiceRow
from musictheory_nb.widgets.piano_keyboard import PianoKeyboard
from musictheory_nb.widgets.section_strip import SectionStrip


def _widget_for(entry: Input, label: str) -> Any:
    if isinstance(entry, ChoiceInput):
        options = [{"value": one.value, "label": one.label, "spoken": one.spoken} for one in entry.options]
        return ChoiceRow(options=options, many=entry.many, label=label)
    if isinstance(entry, KeysInput):
        return PianoKeyboard(low=entry.low, high=entry.high, count=entry.count, given=list(entry.given), label=label)
    if isinstance(entry, SectionsInput):
        return SectionStrip(measures=list(entry.measures), label=label)
    raise ExerciseError(f"no widget answers {entry.how} yet; leave {type(entry).__name__} out of the exercise")


class StepBox(ipywidgets.VBox):
    """A step with one widget per input; using one input clears the others.

    Parameters
    ----------
    step : Step
        What is asked.
    hear : callable
        Sounds measures from a first to a last index; a section strip offers it.
    """

    def __init__(self, step: Step, hear: Callable[[int, int], None]) -> None:
        self.step = step
        self._widgets: dict[str, Any] = {}
        children: list[Any] = [ipywidgets.HTML(f'<div class="mtnb-step">{html.escape(step.label)}</div>')]
        for at, entry in enumerate(step.inputs):
            label = step.label
            if at:
                children.append(
                    ipywidgets.HTML(
                        '<div class="mtnb-step-or">or answer on the piano keyboard:</div>'
                        if isinstance(entry, KeysInput)
                        else '<div class="mtnb-step-or">or:</div>'
                    )
                )
            widget = _widget_for(entry, label)
            widget.on_change(self._entered)
            if isinstance(widget, SectionStrip):
                widget.on_hear(hear)
            self._widgets[entry.id] = widget
            children.append(widget)
        super().__init__(children)

    def _entered(self, change: Any) -> None:
        if not change["new"]:
            return
        for widget in self._widgets.values():
            if widget is not change["owner"] and widget.value:
                widget.value = []

    @property
    def value(self) -> dict[str, JSON] | None:
        """What has been entered, as ``{input id: value}``; None when nothing has."""
        for entry in self.step.inputs:
            value = list(self._widgets[entry.id].value)
            if value and not (isinstance(entry, KeysInput) and len(value) < entry.count):
                return {entry.id: value[0] if isinstance(entry, ChoiceInput) and not entry.many else value}
        return None

    def enter(self, input_id: str, value: JSON) -> None:
        """Enter a value as the student would, for tests and re-runs.

        Parameters
        ----------
        input_id : str
            Which input.
        value : JSON
            As it stands in an answer.
        """
        self._widgets[input_id].value = value if isinstance(value, list) else [value]

    def lock(self) -> None:
        """Take no more input."""
        for widget in self._widgets.values():
            widget.locked = True

    def reveal(self, given: Mapping[str, JSON], right: Mapping[str, JSON]) -> None:
        """Lock the step and show what was answered and what is right.

        Parameters
        ----------
        given : dict
            ``{input id: value}``.
        right : dict
            ``{input id: right values}``; inputs that it does not name show no right answer.
        """
        self.lock()
        for entry in self.step.inputs:
            widget = self._widgets[entry.id]
            if entry.id in given:
                value = given[entry.id]
                widget.value = value if isinstance(value, list) else [value]
                if widget.has_trait("given") and isinstance(entry, ChoiceInput):
                    widget.given = widget.value
            if entry.id in right:
                value = right[entry.id]
                widget.right = value if isinstance(value, list) else [value]

    def close_all(self) -> None:
        """Close the step and its widgets."""
        for child in self.children:
            child.close()
        self.close()
