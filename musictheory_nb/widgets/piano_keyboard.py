"""A piano keyboard to answer on."""

from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class PianoKeyboard(LessonWidget):
    """A piano keyboard from `low` to `high` (MIDI numbers, both included).

    Attributes
    ----------
    value : list of int
        The keys played, in order, `count` of them at most.
    given : list of int
        Keys shown as a start, which the student does not play.
    locked : bool
        Nothing can be changed any more.
    right : list of int
        After marking: the right keys in order.
    show_names : bool
        Note names are printed on the keys.
    """

    _esm = script("page", "roving_focus", "sound_stage", "piano_keyboard")
    _css = style("page", "piano_keyboard")

    low = traitlets.Int(60).tag(sync=True)
    high = traitlets.Int(72).tag(sync=True)
    count = traitlets.Int(1).tag(sync=True)
    given = traitlets.List(traitlets.Int()).tag(sync=True)
    value = traitlets.List(traitlets.Int()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Int()).tag(sync=True)
    show_names = traitlets.Bool(False).tag(sync=True)
    sound = traitlets.Bool(True).tag(sync=True)
    typing = traitlets.Bool(True).tag(sync=True)
    a4_hz = traitlets.Float(440.0).tag(sync=True)

    def __init__(self, low: int = 60, high: int = 72, *, count: int = 1, **traits: Any) -> None:
        super().__init__(low=low, high=high, count=count, **traits)

    def stand_in(self) -> str:
        """Return the question and the range in one line."""
        return f"{self.label or 'Piano keyboard'}: keys {self.low} to {self.high}. {RUN_AGAIN}"
