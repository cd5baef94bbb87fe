"""A row of buttons that acts on an exercise: check, next, back. Keeps the keyboard focus where the student needs it."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class ActionRow(LessonWidget):
    """Buttons with one callback.

    Parameters
    ----------
    actions : sequence of mapping
        Each ``{"id", "label", "enabled", "primary"}``. A button that is not enabled stays in the tab order, says so to
        a screen reader, and does nothing.
    on_action : callable
        Called with the id of the button that was pressed.

    Attributes
    ----------
    news : str
        Said by a screen reader when it changes, and not shown.
    handled : int
        Number of the last press that was seen to, well or not; while it lags, the page says that the kernel is silent.

    Notes
    -----
    `focus` moves the keyboard focus to a button, but only when it is inside the exercise already, so that nothing jumps
    under a student who works elsewhere.

    Examples
    --------
    >>> pressed = []
    >>> row = ActionRow([{"id": "check", "label": "Check", "enabled": True, "primary": True}], pressed.append)
    >>> row.press("check"); pressed
    ['check']
    """

    _esm = script("page", "action_row")
    _css = style("page", "action_row", "exercise_view")

    actions = traitlets.List(traitlets.Dict()).tag(sync=True)
    news = traitlets.Unicode("").tag(sync=True)
    handled = traitlets.Int(0).tag(sync=True)
    focus_request = traitlets.List(default_value=[0, ""]).tag(sync=True)

    def __init__(self, actions: Sequence[Mapping[str, Any]], on_action: Callable[[str], None], **traits: Any) -> None:
        super().__init__(actions=[dict(action) for action in actions], **traits)
        self._on_action = self.guard(on_action, "this button")
        self.on_msg(self._receive)

    def _receive(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if not isinstance(content, dict) or not isinstance(content.get("action"), str):
            return
        try:
            self.press(content["action"])
        finally:
            if type(press := content.get("press")) is int:
                self.handled = press

    def press(self, action: str) -> None:
        """Do what pressing that button does; a button that is not enabled does nothing."""
        if any(each["id"] == action and each["enabled"] for each in self.actions):
            self._on_action(action)

    def focus(self, action: str) -> None:
        """Ask the browser to move the focus to that button, or with ``"start"`` to the exercise's first control."""
        times: Any = self.focus_request[0]
        self.focus_request = [times + 1, action]

    def stand_in(self) -> str:
        """Return the labels in one line."""
        return "Buttons: " + ", ".join(each["label"] for each in self.actions)
