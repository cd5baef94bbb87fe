"""A field for free text."""

from typing import Any

import traitlets

from musictheory_nb.practice.text_input import TextInput
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class TextField(LessonWidget):
    """A field for free text of several lines, which says how much room is left.

    Parameters
    ----------
    asked : TextInput
        How much may be written, and the lines shown.
    label : str
        The question.

    Attributes
    ----------
    value : list of str
        The text as the only entry; empty before there is one.
    right : list of str
        After marking: a model answer, shown under the student's.
    locked : bool
        Nothing can be changed any more.
    """

    _esm = script("page", "text_field")
    _css = style("page", "entry_field")

    most = traitlets.Int(2000).tag(sync=True)
    lines = traitlets.Int(4).tag(sync=True)
    value = traitlets.List(traitlets.Unicode()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Unicode()).tag(sync=True)

    def __init__(self, asked: TextInput | None = None, **traits: Any) -> None:
        self.asked = asked or TextInput()
        super().__init__(most=self.asked.most, lines=self.asked.lines, **traits)

    def stand_in(self) -> str:
        """Return the question and what is written, in one line."""
        written = " ".join(self.value[0].split()) if self.value else "nothing written yet"
        return f"{self.label or 'Text'}: {written}. {RUN_AGAIN}"
