"""What all widgets of a lesson share: a label, a line for problems, guarded callbacks, and a stand-in in words."""

from collections.abc import Callable, Sequence
from html import escape
from typing import Any

import anywidget
import traitlets

from musictheory_nb.widgets.callback_guard import CallbackFailure, guarded

RUN_AGAIN = "Run this cell to use it."


class LessonWidget(anywidget.AnyWidget):
    """A widget of a lesson.

    Parameters
    ----------
    label : str
        What a screen reader calls it, and what stands above it where it has a heading.

    Attributes
    ----------
    problem : str
        A line for the student when something failed; shown in the widget.
    failures : list of CallbackFailure
        Every failure of a callback so far, for tests.
    edit, seen : int
        The page counts its changes in `edit`; `seen` follows when they are here. JupyterLab holds changes back while
        earlier ones are on their way, and a press of a button would overtake them: it waits until the two agree.
    """

    label = traitlets.Unicode("").tag(sync=True)
    problem = traitlets.Unicode("").tag(sync=True)
    edit = traitlets.Int(0).tag(sync=True)
    seen = traitlets.Int(0).tag(sync=True)

    def __init__(self, **traits: Any) -> None:
        self.failures: list[CallbackFailure] = []
        super().__init__(**traits)

    def set_state(self, sync_data: dict[str, Any]) -> None:
        """Take changes that the page made, and say that they are here even where a callback fails."""
        try:
            super().set_state(sync_data)
        finally:
            if "edit" in sync_data:
                self.seen = self.edit

    def on_change(self, callback: Callable[[dict[str, Any]], Any], names: str | Sequence[str] = "value") -> None:
        """Call `callback` with the change (a dict with ``"new"`` and ``"old"``) whenever a trait changes, guarded."""
        self.observe(self.guard(callback), names=names)

    def guard(self, callback: Callable[..., Any], doing: str = "") -> Callable[..., Any]:
        """Return `callback` guarded by `callback_guard.guarded`, this widget being the one that reports."""
        return guarded(callback, self, doing)

    def stand_in(self) -> str:
        """Return one stable line in words, kept in the notebook beside the widget."""
        return f"{self.label or type(self).__name__}. {RUN_AGAIN}"

    def __repr__(self) -> str:
        return self.stand_in()

    def _repr_mimebundle_(self, **kwargs: Any) -> Any:
        bundle = super()._repr_mimebundle_(**kwargs)
        if bundle is None:
            return None
        data, metadata = bundle if isinstance(bundle, tuple) else (bundle, {})
        words = self.stand_in()
        return {**data, "text/plain": words, "text/html": f"<p>{escape(words)}</p>"}, metadata
