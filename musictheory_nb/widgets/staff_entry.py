"""A staff to write notes on."""

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import traitlets

from musictheory_nb.errors import AnswerError
from musictheory_nb.media.engraving import NARROWEST_PX
from musictheory_nb.media.staff_drawing import staff_drawing
from musictheory_nb.practice.plain_data import JSON, thawed
from musictheory_nb.practice.staff_input import StaffInput
from musictheory_nb.practice.staff_rows import written_rows
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class StaffEntry(LessonWidget):
    """A staff to write notes, rests and chords on, by mouse or from the computer keyboard.

    Parameters
    ----------
    asked : StaffInput
        Clef, signature, metre, notes given, and what may be written.
    label : str
        The question.

    Attributes
    ----------
    value : list of rows
        ``[pitches, quarters, tied]`` as in `StaffInput`, without the notes given; cut at barlines into written values.
    locked : bool
        Nothing can be changed any more.
    right : list of rows
        After marking: the right answer, shown on a staff of its own under that of the student.
    sound : bool
        Notes sound as they are written; the student can switch it off.
    svg, right_svg : str
        The engraved staves. Python engraves after each step (about 5 ms), so that what is written looks as printed.
    width_px : int
        Room that the page has, told by the browser.

    Notes
    -----
    From the computer keyboard, on the staff: A to G write a note, nearest to the one before; 1, 2, 4, 8, 6 and 3 choose
    whole, half, quarter, eighth, sixteenth and thirty-second; ``.`` dots; U makes triplets; R or 0 writes a rest; Up and
    Down move a note by a step, with Shift by an octave; ``#`` raises and ``-`` lowers by a half step; T ties; Left and
    Right go to the notes before and after; Backspace deletes; I inserts; Z takes back. With Shift a letter is added to
    the chord. A MIDI keyboard writes notes, too, where the browser knows Web MIDI and the student connects one; keys that
    are held down together are a chord.
    """

    _esm = script(
        "page",
        "drawing",
        "svg_shape",
        "sound_stage",
        "midi_keyboard",
        "note_value",
        "staff_writing",
        "staff_place",
        "staff_tools",
        "staff_entry",
    )
    _css = style("page", "staff_entry")

    staff = traitlets.Dict().tag(sync=True)
    value = traitlets.List(traitlets.List()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.List()).tag(sync=True)
    sound = traitlets.Bool(True).tag(sync=True)
    svg = traitlets.Unicode("").tag(sync=True)
    right_svg = traitlets.Unicode("").tag(sync=True)
    width_px = traitlets.Int(860).tag(sync=True)

    def __init__(self, asked: StaffInput | None = None, **traits: Any) -> None:
        self.asked = asked or StaffInput()
        staff = thawed(asdict(self.asked))
        staff["given"] = written_rows(self.asked, self.asked.given)
        super().__init__(staff=staff, **traits)
        self._draw()
        self.on_change(self._draw, ("value", "width_px"))
        self.on_change(self._draw_right, ("right", "width_px"))
        self._draw_right()

    @traitlets.validate("value", "right")
    def _check_rows(self, proposal: dict[str, Any]) -> list[JSON]:
        rows = thawed(proposal["value"])
        if not rows:
            return []
        try:
            return written_rows(self.asked, self.asked.check(self.asked.id, rows))
        except AnswerError as error:
            raise traitlets.TraitError(str(error)) from None

    def _picture(self, rows: Sequence[JSON]) -> str:
        return staff_drawing(self.asked, rows, max(NARROWEST_PX, min(1200, self.width_px)))

    def _draw(self, _change: Any = None) -> None:
        self.svg = self._picture(self.value)

    def _draw_right(self, _change: Any = None) -> None:
        self.right_svg = self._picture(self.right) if self.right else ""

    def stand_in(self) -> str:
        """Return what is written in one line."""
        written = self.asked.words(self.value) if self.value else "nothing written yet"
        return f"{self.label or 'Staff'}: {written}. {RUN_AGAIN}"
