"""A pad to tap a rhythm on while a metronome counts."""

from typing import Any

import traitlets

from musictheory_nb.practice.metre_beat import beat_quarters, measure_quarters
from musictheory_nb.practice.rhythm_input import RhythmInput
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class RhythmTap(LessonWidget):
    """A pad to tap on, by any key, a button or touch, while a metronome counts one measure in and goes on.

    Parameters
    ----------
    asked : RhythmInput
        Metre, number of measures and tempo.
    label : str
        The question.

    Attributes
    ----------
    value, right : list of int
        Taps in milliseconds after the first beat; `right` after marking.
    delay_ms : int
        How late taps reach the page on this computer, as measured with the student's own taps; it is taken off each tap.
    sound : bool
        The metronome clicks; without it, it only counts on the screen.
    locked : bool
        Nothing can be changed any more.

    Notes
    -----
    A tap is timed by the browser's time of the key press itself, and a click by the time at which the sound card plays
    it, so that neither a busy page nor the kernel shifts them. The student can measure what delay is left.
    """

    _esm = script("page", "svg_shape", "sound_stage", "click_track", "rhythm_tap")
    _css = style("page", "rhythm_tap")

    measures = traitlets.Int(2).tag(sync=True)
    beats = traitlets.Float(4.0).tag(sync=True)
    beat_ms = traitlets.Float(750.0).tag(sync=True)
    bounds_ms = traitlets.List(traitlets.Int()).tag(sync=True)
    value = traitlets.List(traitlets.Int()).tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Int()).tag(sync=True)
    delay_ms = traitlets.Int(0).tag(sync=True)
    sound = traitlets.Bool(True).tag(sync=True)

    def __init__(self, asked: RhythmInput | None = None, **traits: Any) -> None:
        self.asked = asked or RhythmInput()
        super().__init__(
            measures=self.asked.measures,
            beats=float(measure_quarters(self.asked.metre) / beat_quarters(self.asked.metre)),
            beat_ms=float(self.asked.beat_ms),
            bounds_ms=list(self.asked.bounds_ms),
            **traits,
        )

    def stand_in(self) -> str:
        """Return the question and the taps in one line."""
        tapped = self.asked.words(self.value) if self.value else "nothing tapped yet"
        return f"{self.label or 'Tapping'}: {tapped}. {RUN_AGAIN}"
