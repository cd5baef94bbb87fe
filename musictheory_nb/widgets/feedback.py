"""What the student is told about an answer."""

from collections.abc import Sequence
from typing import Final

import traitlets

from musictheory_nb.widgets.lesson_widget import LessonWidget
from musictheory_nb.widgets.widget_files import script, style

#: What a verdict may be; "" stands for a line that is no verdict. Each but "" has a mark before its words.
VERDICTS: Final = ("", "right", "partly", "wrong")


class Feedback(LessonWidget):
    """A verdict in words and the reasons, announced by screen readers when it changes.

    Attributes
    ----------
    verdict : str
        One of `VERDICTS`; puts a mark before the headline. The words say it, never a colour alone.
    headline : str
        The verdict in a word or two.
    lines : list of str
        What comes after it; empty ones are not shown.

    Examples
    --------
    >>> told = Feedback()
    >>> told.show("Right.", "A tritone.", right=True)
    >>> told
    Right. A tritone.
    >>> told.clear(); told
    Nothing is answered yet.
    """

    _esm = script("page", "feedback")
    _css = style("page", "feedback")

    verdict = traitlets.Enum(VERDICTS, default_value="").tag(sync=True)
    headline = traitlets.Unicode("").tag(sync=True)
    lines = traitlets.List(traitlets.Unicode()).tag(sync=True)
    take_focus = traitlets.Int(0).tag(sync=True)

    def tell(self, headline: str, lines: Sequence[str] = (), *, verdict: str = "") -> None:
        """Show and announce `headline` and `lines`, with the mark of `verdict` (one of `VERDICTS`)."""
        with self.hold_sync():
            self.verdict, self.headline, self.lines = verdict, headline, [line for line in lines if line]

    def show(self, headline: str, why: str = "", explain: str = "", *, right: bool | None = None) -> None:
        """Show a verdict: its words, why, and what there is to learn; `right` None is a line that is no verdict."""
        verdict = "" if right is None else "right" if right else "partly" if headline.startswith("Partly") else "wrong"
        self.tell(headline, (why, explain), verdict=verdict)

    def clear(self) -> None:
        """Show nothing."""
        self.tell("")

    def focus(self) -> None:
        """Move the keyboard focus to it, so that a screen reader reads on from there."""
        self.take_focus += 1

    def stand_in(self) -> str:
        """Return what is shown in one line."""
        return " ".join(part for part in (self.headline, *self.lines) if part) or "Nothing is answered yet."
