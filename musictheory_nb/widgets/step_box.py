"""One step of an item: its wording and the inputs through which it can be answered."""

import html
from collections.abc import Callable, Mapping
from typing import Any

import ipywidgets

from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import ChoiceInput, Step
from musictheory_nb.widgets.input_widget import input_widget


class StepBox(ipywidgets.VBox):
    """A step with one widget per input; using one input clears the others.

    Parameters
    ----------
    step : Step
        What is asked.
    hear : callable
        Sounds measures from a first to a last index; a strip of measures offers it.

    Raises
    ------
    ExerciseError
        An input that no widget answers.
    """

    def __init__(self, step: Step, hear: Callable[[int, int], None]) -> None:
        self.step = step
        self._widgets: dict[str, Any] = {}
        self._between: list[Any] = []
        children: list[Any] = [ipywidgets.HTML(f'<div class="mtnb-step">{html.escape(step.label)}</div>')]
        for at, entry in enumerate(step.inputs):
            if at:
                line = f"or answer {entry.how}:"
                self._between.append(ipywidgets.HTML(f'<div class="mtnb-step-or">{html.escape(line)}</div>'))
                children.append(self._between[-1])
            widget = input_widget(entry).make(entry, step.label)
            widget.on_change(self._entered)
            if hasattr(widget, "on_hear"):
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
            row, value = input_widget(entry), list(self._widgets[entry.id].value)
            if value and row.is_complete(entry, value):
                return {entry.id: value[0] if row.is_single(entry) else value}
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

    @property
    def recorders(self) -> tuple[Any, ...]:
        """The widgets whose recordings a student may let the teacher hear."""
        return tuple(widget for widget in self._widgets.values() if hasattr(widget, "kept_recording"))

    def lock(self) -> None:
        """Take no more input."""
        for widget in self._widgets.values():
            widget.locked = True

    def show_given(self, given: Mapping[str, JSON]) -> None:
        """Lock the step and show what was answered (``{input id: value}``), and nothing of what is right.

        The ways that were not taken go.
        """
        self.lock()
        taken = [self._widgets[entry.id] for entry in self.step.inputs if entry.id in given]
        for child in (*self._between, *self._widgets.values()):
            if taken and child not in taken:
                child.layout.display = "none"
        for entry in self.step.inputs:
            if entry.id in given:
                value = given[entry.id]
                self._widgets[entry.id].value = value if isinstance(value, list) else [value]

    def reveal(self, given: Mapping[str, JSON], right: Mapping[str, JSON]) -> None:
        """Lock the step and show what was answered and what is right; the ways that were not taken go.

        Parameters
        ----------
        given : dict
            ``{input id: value}``.
        right : dict
            ``{input id: right values}``; inputs that it does not name show no right answer.
        """
        self.show_given(given)
        for entry in self.step.inputs:
            widget = self._widgets[entry.id]
            if entry.id in given and widget.has_trait("given") and isinstance(entry, ChoiceInput):
                widget.given = widget.value
            if entry.id in right:
                value = right[entry.id]
                widget.right = value if isinstance(value, list) else [value]

    def close_all(self) -> None:
        """Close the step and its widgets."""
        for child in self.children:
            child.close()
        self.close()
