"""The twin of a question on the screen: offered by a button, or there at once where it is granted."""

import html
from typing import Final

import ipywidgets

from musictheory_nb.practice.item import Item
from musictheory_nb.practice.twin import twins_of, twins_used
from musictheory_nb.widgets.action_row import ActionRow
from musictheory_nb.widgets.media_box import MediaBox

#: The sense in whose place a twin stands -> its button, and what is said when it is there.
LABELS: Final = {
    "hearing": ("See the notation instead of listening", "The notation is shown."),
    "sight": ("Read it in words instead of looking", ""),
}
TOLD: Final = "If you cannot hear or see the question: which way you take is recorded with your answer."


class TwinBox(ipywidgets.VBox):
    """The ways round what a student cannot hear or see.

    Parameters
    ----------
    lesson : str
        The lesson.

    Attributes
    ----------
    used : str
        What the record says of the twins that have been shown (see `twin.twins_used`).
    """

    def __init__(self, lesson: str = "") -> None:
        self._lesson = lesson
        self._item: Item | None = None
        self._shown: list[str] = []
        self._offered: tuple[str, ...] = ()
        self._told = ipywidgets.HTML()
        self._row = ActionRow([], self.use, label="Another way to the question")
        self._words = ipywidgets.HTML()
        self._media = MediaBox(lesson)
        super().__init__([self._told, self._row, self._words, self._media])
        self.add_class("mtnb-twin")

    @property
    def used(self) -> str:
        """What the record says of the twins that have been shown."""
        return twins_used(self._shown)

    @property
    def offered(self) -> tuple[str, ...]:
        """Senses in whose place the student may take a twin."""
        return self._offered

    def show(self, item: Item, granted: tuple[str, ...], *, offers: bool) -> None:
        """Show what is granted of the twins of `item`, and offer the rest or not."""
        self._item = item
        has = twins_of(item)
        self._shown = [sense for sense in has if sense in granted]
        self._offered = tuple(sense for sense in has if sense not in granted) if offers else ()
        self._row.news = ""
        self._paint()

    def use(self, sense: str) -> None:
        """Show the twin in place of that sense, as pressing its button does."""
        if sense not in self._offered or sense in self._shown:
            return
        self._shown.append(sense)
        self._paint()
        self._row.news = LABELS[sense][1] or (self._item.twin_text if self._item else "")

    def end(self) -> None:
        """Offer nothing more; what is shown stays."""
        self._offered = ()
        self._paint()

    def _paint(self) -> None:
        item = self._item
        assert item is not None
        self._told.value = f'<div class="mtnb-twin-told">{html.escape(TOLD)}</div>' if self._offered else ""
        self._row.actions = [
            {"id": sense, "label": LABELS[sense][0], "enabled": sense not in self._shown, "primary": False}
            for sense in self._offered
        ]
        words = item.twin_text if "sight" in self._shown else ""
        self._words.value = f'<div class="mtnb-twin-words">{html.escape(words)}</div>' if words else ""
        self._media.show(item.twin if "hearing" in self._shown else (), is_told=False)
        for part, is_there in ((self._told, self._offered), (self._row, self._offered), (self._words, words)):
            part.layout.display = None if is_there else "none"

    def close(self) -> None:
        """Take it off the screen."""
        self._media.show(())
        for child in (self._told, self._row, self._words, self._media):
            child.close()
        super().close()
