"""What the student is told about an answer."""

from collections.abc import Sequence
from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import LessonWidget
from musictheory_nb.widgets.widget_files import script, style

#: Verdicts and the words that stand for them.
VERDICTS = {"": "", "right": "Right", "partly": "Partly right", "wrong": "Not right", "note": ""}


class Feedback(LessonWidget):
    """A verdict in words and the reasons, announced by screen readers when it changes.

    Parameters
    ----------
    verdict : str
        One of `VERDICTS`.
    words : str
        The sentence after the verdict.
    details : sequence of str
        Further lines.
    """

    _esm = script("page", "feedback")
    _css = style("page", "feedback")

    verdict = traitlets.Enum(tuple(VERDICTS), default_value="").tag(sync=True)
    words = traitlets.Unicode("").tag(sync=True)
    details = traitlets.List(traitlets.Unicode()).tag(sync=True)
    take_focus = traitlets.Int(0).tag(sync=True)

    def __init__(self, verdict: str = "", words: str = "", *, details: Sequence[str] = (), **traits: Any) -> None:
        super().__init__(verdict=verdict, words=words, details=list(details), **traits)

    def tell(self, verdict: str, words: str, details: Sequence[str] = (), *, focus: bool = False) -> None:
        """Show and announce a verdict; with `focus` the keyboard focus goes to it."""
        with self.hold_sync():
            self.verdict, self.words, self.details = verdict, words, list(details)
        if focus:
            self.take_focus += 1

    def stand_in(self) -> str:
        """Return verdict and words."""
        said = [part for part in (VERDICTS[self.verdict], self.words) if part]
        return ". ".join(said + list(self.details)) or "No answer yet."
