"""Choices in a row that wraps: one of them, or any number."""

from collections.abc import Mapping, Sequence
from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class ChoiceRow(LessonWidget):
    """Choices in a row that wraps.

    Parameters
    ----------
    options : sequence of mapping
        Each with ``"value"``, ``"label"`` and optionally ``"spoken"`` (what a screen reader says).
    many : bool
        Any number may be chosen, else one.
    label : str
        The question.

    Attributes
    ----------
    value : list of str
        What is chosen, in the order of the options.
    locked : bool
        Nothing can be changed any more.
    right, given : list of str
        After marking: the right values, and those the student gave. Marked in words, never by colour alone.
    """

    _esm = script("page", "roving_focus", "choice_row")
    _css = style("page", "choice_row")

    options = traitlets.List(traitlets.Dict()).tag(sync=True)
    many = traitlets.Bool(False).tag(sync=True)
    value = traitlets.List(traitlets.Unicode()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Unicode()).tag(sync=True)
    given = traitlets.List(traitlets.Unicode()).tag(sync=True)

    def __init__(self, options: Sequence[Mapping[str, str]] = (), *, many: bool = False, **traits: Any) -> None:
        super().__init__(options=[dict(option) for option in options], many=many, **traits)

    def stand_in(self) -> str:
        """Return the question and its choices in one line."""
        labels = ", ".join(str(option.get("label", "")) for option in self.options)
        return f"{self.label or 'Choose'}: {labels}. {RUN_AGAIN}"
