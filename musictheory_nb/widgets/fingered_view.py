"""A line shown with its fingering: notation, sound, hard spots, a plan for practising them, and the caution about strain."""

import html
from dataclasses import replace
from fractions import Fraction

from IPython.display import display

from musictheory_nb.errors import MediaError
from musictheory_nb.media.engraving import engrave
from musictheory_nb.media.mei import PlayingMarks
from musictheory_nb.practice.fingered_line import FingeredLine, fingered_line
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.widgets.demonstration import Music, as_excerpt
from musictheory_nb.widgets.sound_controls import sound_controls


class FingeredView:
    """A fingered line, ready to be shown; made by `fingered`.

    Parameters
    ----------
    line : FingeredLine
        What is shown.
    caption : str
        Says what it is; also the name of the controls.
    lesson : str
        The lesson in which it stands.
    """

    def __init__(self, line: FingeredLine, caption: str, lesson: str = "") -> None:
        self.line = line
        self.caption = caption
        self.lesson = lesson
        self.engraving = engrave(line.excerpt, marked=line.hard_notes, hands=PlayingMarks(line.fingers, line.strings))

    def __repr__(self) -> str:
        told = [f"{self.caption}: {self.engraving.text}", *self.line.words, self.line.plan.describe()]
        return "\n".join(told)

    def html(self) -> str:
        """Return the figure, its words, the caution and the plan as HTML."""
        words = "".join(f"<li>{html.escape(one)}</li>" for one in self.line.words)
        _, *steps = self.line.plan.describe().split("\n")  # the caution stands by itself
        plan = "".join(f"<p>{html.escape(step)}</p>" for step in steps)
        return (
            f'<figure style="margin:0">{self.engraving.svg}<figcaption>{html.escape(self.caption)}. Fingers above the notes (0: open '
            f"string), strings below where they change; hard spots are ringed.</figcaption>"
            f'<details><summary>In words</summary><p>{html.escape(self.engraving.text)}</p><ol style="list-style:none;padding:0">'
            f"{words}</ol></details></figure><p><strong>Take care of your hands.</strong> {html.escape(self.line.caution)}</p>"
            f"<details><summary>A plan for practising it</summary>{plan}</details>"
        )

    def _ipython_display_(self) -> None:
        display({"text/plain": repr(self), "text/html": self.html()}, raw=True)
        request = MediaRequest("sound", self.line.excerpt, self.caption)
        display(sound_controls(request, self.lesson, label=self.caption, show_label=False))


def fingered(
    music: Music,
    on: str = "bass guitar",
    caption: str = "",
    *,
    first: str = "",
    last: str = "",
    part: int = 0,
    tempo: float | None = None,
    hand: str | None = None,
    open_strings: str = "allow",
    written: bool = False,
    lesson: str = "",
) -> FingeredView:
    """Show a line with its fingering on a string instrument, its hard spots, and a plan for practising them.

    Parameters
    ----------
    music : str, sequence, Scale or Excerpt
        Notes with octaves (``"E1 G1 A1"``), a scale, or an excerpt.
    on : str
        An instrument with strings (``'cello'``) or a tuning (``'guitar in drop D'``).
    caption : str
        Says what it is.
    first, last : str
        Printed numbers of the measures of an excerpt; all by default.
    part : int
        Index of the part of an excerpt.
    tempo : float, optional
        Quarters a minute; that of the excerpt by default.
    hand, open_strings : str
        See `musictheory_nb.instrument.fingering.finger_line`.
    written : bool
        Whether the notes are those of the instrument's part, as for a double bass, and not as they sound.
    lesson : str
        The lesson in which it stands.

    Raises
    ------
    InstrumentError, MediaError, PitchError, ExerciseError
        A line that cannot be played or read, or a measure that is not there; says what to do about it.

    Examples
    --------
    >>> fingered("E1 G1 A1", "bass guitar").line.fingering.fingers
    (0, 2, 4)
    >>> fingered("C1 E1", "bass guitar")
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: note 1 'C1': is below E1, the lowest string of 'bass guitar'; write C2, an octave higher
    """
    excerpt = as_excerpt(music)
    if tempo is not None and not 10 <= tempo <= 600:
        raise MediaError(f"tempo {tempo!r}: quarters a minute go from 10 to 600")
    start = excerpt.measure_index(first) if first else 0
    end = excerpt.measure_index(last) if last else len(excerpt.measures) - 1
    if not 0 <= part < len(excerpt.parts):
        raise MediaError(f"part {part!r}: this music has the part indices 0 to {len(excerpt.parts) - 1}")
    alone = excerpt.cut(start, end, [part])
    if tempo is not None:
        alone = replace(alone, tempo=Fraction(tempo).limit_denominator(1000))
    line = fingered_line(alone, on, hand=hand, open_strings=open_strings, written=written)
    return FingeredView(line, caption or f"On the {line.fingering.tuning.name}", lesson)
