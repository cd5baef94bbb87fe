"""A strip of measures on which sections are marked."""

from collections.abc import Sequence
from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import RUN_AGAIN
from musictheory_nb.widgets.measure_hearing import MeasureHearing
from musictheory_nb.widgets.widget_files import script, style


class SectionStrip(MeasureHearing):
    """A strip of measures to mark where sections begin, and with which letter.

    Parameters
    ----------
    measures : sequence of str
        Printed numbers of all measures.

    Attributes
    ----------
    value : list of [int, str]
        ``[index of the first measure, letter]`` of each section, ascending, from index 0; empty before the start.
    selected, hear, can_hear
        As in `MeasureHearing`.
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

    value = traitlets.List(traitlets.List()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.List()).tag(sync=True)

    def __init__(self, measures: Sequence[str] = (), **traits: Any) -> None:
        super().__init__(measures=[str(number) for number in measures], **traits)

    def stand_in(self) -> str:
        """Return what is marked in one line."""
        marked = ", ".join(f"{letter} from measure {self.measures[at]}" for at, letter in self.value)
        return f"{self.label or 'Sections'}: {marked or 'nothing marked yet'}. {RUN_AGAIN}"
