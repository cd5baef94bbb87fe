"""A field for a whole number."""

from typing import Any

import traitlets

from musictheory_nb.practice.number_input import NumberInput
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class NumberField(LessonWidget):
    """A field for a whole number, with a button to go down and one to go up.

    Parameters
    ----------
    asked : NumberInput
        Lowest and highest number, and the unit behind it.
    label : str
        The question.

    Attributes
    ----------
    value, right : list of int
        The number and, after marking, the right one; empty before there is one.
    locked : bool
        Nothing can be changed any more.
    """

    _esm = script("page", "number_field")
    _css = style("page", "entry_field")

    low = traitlets.Int(0).tag(sync=True)
    high = traitlets.Int(12).tag(sync=True)
    unit = traitlets.Unicode("").tag(sync=True)
    value = traitlets.List(traitlets.Int()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Int()).tag(sync=True)

    def __init__(self, asked: NumberInput | None = None, **traits: Any) -> None:
        self.asked = asked or NumberInput(0, 12)
        super().__init__(low=self.asked.low, high=self.asked.high, unit=self.asked.unit, **traits)

    def stand_in(self) -> str:
        """Return the question, the range and what is written, in one line."""
        written = self.asked.words(self.value[0]) if self.value else f"a number from {self.low} to {self.high}"
        return f"{self.label or 'Number'}: {written}. {RUN_AGAIN}"
