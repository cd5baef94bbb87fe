"""Notation with its text twin."""

from html import escape
from typing import Any

import traitlets

from musictheory_nb.widgets.lesson_widget import LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class NotationView(LessonWidget):
    """An engraved score with a caption and, to be opened, the same in words.

    Parameters
    ----------
    svg : str
        The engraving, made by `musictheory_nb.media`.
    text : str
        Its text twin.
    caption : str
        Stands under it.
    music, first
        The music that it shows and the index of its first measure: listening controls beside it mark the one that sounds.
    """

    _esm = script("page", "drawing", "notation_view")
    _css = style("page", "notation_view")

    svg = traitlets.Unicode("").tag(sync=True)
    text = traitlets.Unicode("").tag(sync=True)
    caption = traitlets.Unicode("").tag(sync=True)
    music = traitlets.Unicode("").tag(sync=True)
    first = traitlets.Int(0).tag(sync=True)

    def __init__(self, svg: str = "", text: str = "", *, caption: str = "", **traits: Any) -> None:
        super().__init__(svg=svg, text=text, caption=caption, **traits)

    def stand_in(self) -> str:
        """Return caption and text twin."""
        return f"{self.caption or self.label or 'Notation'}: {self.text}" if self.text else self.caption or "Notation"

    def html(self) -> str:
        """Return the same as plain HTML, for a notebook that is only read."""
        return f"<figure>{self.svg}<figcaption>{escape(self.caption)}</figcaption><p>{escape(self.text)}</p></figure>"
