"""What widgets with a strip of measures share: measures that the student can hear."""

from collections.abc import Callable
from typing import Any

import traitlets

from musictheory_nb.errors import MediaError
from musictheory_nb.widgets.lesson_widget import LessonWidget


class MeasureHearing(LessonWidget):
    """A widget with measures of which some can be selected and heard.

    Attributes
    ----------
    measures : list of str
        Printed numbers of all measures.
    selected : list of two int
        First and last index of the measures that the student wants to hear.
    can_hear : bool
        Whether there is a button to hear them.
    hear : int
        Goes up by one each time that the student asks to hear `selected` (see `on_hear`).
    """

    measures = traitlets.List(traitlets.Unicode()).tag(sync=True)
    selected = traitlets.List(traitlets.Int(), default_value=[0, 0]).tag(sync=True)
    can_hear = traitlets.Bool(False).tag(sync=True)
    hear = traitlets.Int(0).tag(sync=True)

    def on_hear(self, callback: Callable[[int, int], Any]) -> None:
        """Call `callback` with the first and last index when the student asks to hear measures; shows the button."""
        self.can_hear = True

        def heard(_change: dict[str, Any]) -> None:
            wanted = list(self.selected)
            if len(wanted) != 2 or not 0 <= wanted[0] <= wanted[1] < len(self.measures):
                raise MediaError(f"measures {wanted}: the indices are 0 to {len(self.measures) - 1}, the lower first")
            callback(*wanted)

        self.observe(self.guard(heard, "hearing measures"), names="hear")
