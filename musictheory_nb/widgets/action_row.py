"""A row of buttons that acts on an exercise: check, next, back. Keeps the keyboard focus where the student needs it."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import anywidget
import traitlets

_HERE = Path(__file__).parent


class ActionRow(anywidget.AnyWidget):
    """Buttons with one callback.

    Parameters
    ----------
    actions : list of dict
        Each ``{"id", "label", "enabled", "primary"}``. A button that is not enabled stays in the tab order, says so to
        a screen reader, and does nothing.
    on_action : callable
        Called with the id of the button that was pressed.
    label : str
        Name of the group for a screen reader.

    Notes
    -----
    `focus(id)` moves the keyboard focus to a button, but only when it is inside the row's own exercise, so that
    nothing jumps under a student who works elsewhere. An exception in the callback is shown in the row and raised
    again in the kernel: it is never swallowed.

    Examples
    --------
    >>> pressed = []
    >>> row = ActionRow([{"id": "check", "label": "Check", "enabled": True, "primary": True}], pressed.append)
    >>> row.press("check"); pressed
    ['check']
    """

    _esm = _HERE / "action_row.js"
    _css = _HERE / "action_row.css"

    actions = traitlets.List(traitlets.Dict()).tag(sync=True)
    label = traitlets.Unicode("").tag(sync=True)
    message = traitlets.Unicode("").tag(sync=True)
    focus_request = traitlets.List([0, ""]).tag(sync=True)

    def __init__(self, actions: Sequence[dict[str, Any]], on_action: Callable[[str], None], label: str = "") -> None:
        super().__init__(actions=list(actions), label=label)
        self._on_action = on_action
        self.on_msg(self._receive)

    def _receive(self, _widget: Any, content: Any, _buffers: Any) -> None:
        if isinstance(content, dict) and isinstance(content.get("action"), str):
            self.press(content["action"])

    def press(self, action: str) -> None:
        """Do what pressing that button does; a button that is not enabled does nothing."""
        if not any(each["id"] == action and each["enabled"] for each in self.actions):
            return
        try:
            self.message = ""
            self._on_action(action)
        except Exception as error:
            self.message = f"This did not work ({type(error).__name__}: {error}). Your recorded answers are safe; tell your teacher."
            raise

    def focus(self, action: str) -> None:
        """Ask the browser to move the focus to that button."""
        self.focus_request = [self.focus_request[0] + 1, action]

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        bundle = super()._repr_mimebundle_(**kwargs)
        data = bundle[0] if isinstance(bundle, tuple) else bundle
        if data is not None:
            data["text/plain"] = "Buttons: " + ", ".join(each["label"] for each in self.actions)
        return bundle
