"""A strip of measures on which spans are pointed out."""

from collections.abc import Sequence
from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import RUN_AGAIN
from musictheory_nb.widgets.measure_hearing import MeasureHearing
from musictheory_nb.widgets.widget_files import script, style


class MeasureRange(MeasureHearing):
    """A strip of measures; a press on the first and on the last measure marks a span.

    Parameters
    ----------
    measures : sequence of str
        Printed numbers of all measures.
    spans : int
        How many spans are asked; 0 for any number.

    Attributes
    ----------
    value, right : list of [int, int]
        First and last index of each span, ascending; `right` after marking.
    selected, hear, can_hear
        As in `MeasureHearing`.
    locked : bool
        Nothing can be changed any more; measures can still be heard.
    """

    _esm = script("page", "roving_focus", "sound_stage", "measure_range")
    _css = style("page", "measure_range")

    spans = traitlets.Int(1).tag(sync=True)
    value = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.List(traitlets.Int())).tag(sync=True)

    def __init__(self, measures: Sequence[str] = (), *, spans: int = 1, **traits: Any) -> None:
        super().__init__(measures=[str(number) for number in measures], spans=spans, **traits)

    def stand_in(self) -> str:
        """Return what is marked in one line."""
        marked = ", ".join(f"measures {self.measures[first]} to {self.measures[last]}" for first, last in self.value)
        return f"{self.label or 'Measures'}: {marked or 'nothing marked yet'}. {RUN_AGAIN}"
