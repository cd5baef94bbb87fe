"""A strip of measures on which sections are marked."""

from collections.abc import Callable, Sequence
from typing import Any

import traitlets

from musictheory_nb.errors import MediaError
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class SectionStrip(LessonWidget):
    """A strip of measures to mark where sections begin, and with which letter.

    Parameters
    ----------
    measures : sequence of str
        Printed numbers of all measures.

    Attributes
    ----------
    value : list of [int, str]
        ``[index of the first measure, letter]`` of each section, ascending, from index 0; empty before the start.
    selected : list of two int
        First and last index of the measures that the student wants to hear.
    hear : int
        Goes up by one each time that the student asks to hear `selected` (see `on_hear`).
    locked : bool
        Nothing can be changed any more; measures can still be heard.
    right : list of [int, str]
        After marking: the sections of the key.

    Notes
    -----
    Rows have 16, 8, 4 or 2 measures, as wide as the page allows; a pickup (measure 0) has a column of its own, so that
    phrases stand under each other.
    """

    _esm = script("page", "roving_focus", "sound_stage", "section_strip")
    _css = style("page", "section_strip")

    measures = traitlets.List(traitlets.Unicode()).tag(sync=True)
    value = traitlets.List(traitlets.List()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.List()).tag(sync=True)
    selected = traitlets.List(traitlets.Int(), default_value=[0, 0]).tag(sync=True)
    can_hear = traitlets.Bool(False).tag(sync=True)
    hear = traitlets.Int(0).tag(sync=True)

    def __init__(self, measures: Sequence[str] = (), **traits: Any) -> None:
        super().__init__(measures=[str(number) for number in measures], **traits)

    def on_hear(self, callback: Callable[[int, int], Any]) -> None:
        """Call `callback` with the first and last index when the student asks to hear measures; shows the button."""
        self.can_hear = True

        def heard(_change: dict[str, Any]) -> None:
            wanted = list(self.selected)
            if len(wanted) != 2 or not 0 <= wanted[0] <= wanted[1] < len(self.measures):
                raise MediaError(f"measures {wanted}: the indices are 0 to {len(self.measures) - 1}, the lower first")
            callback(*wanted)

        self.observe(self.guard(heard, "hearing measures"), names="hear")

    def stand_in(self) -> str:
        """Return what is marked in one line."""
        marked = ", ".join(f"{letter} from measure {self.measures[at]}" for at, letter in self.value)
        return f"{self.label or 'Sections'}: {marked or 'nothing marked yet'}. {RUN_AGAIN}"
