"""A field for chord symbols, numerals, figures, scales, pitches and intervals, read back in words."""

from typing import Any

import traitlets

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.symbol_input import MOST_CHARACTERS, SymbolInput
from musictheory_nb.practice.symbol_reading import symbol_kind
from musictheory_nb.widgets.lesson_widget import RUN_AGAIN, LessonWidget
from musictheory_nb.widgets.widget_files import script, style


class SymbolField(LessonWidget):
    """A field in which what is written is read by theory and said back in words at once.

    Parameters
    ----------
    asked : SymbolInput
        What is read, in which key and with which names.
    label : str
        The question.

    Attributes
    ----------
    value : list of str
        The text as the only entry, readable or not; empty before there is one.
    reading : dict
        What Python made of a text: ``text``, and ``display`` with ``words``, or ``problem``.
    right : list of str
        After marking: every right text, the first shown.
    locked : bool
        Nothing can be changed any more.
    """

    _esm = script("page", "symbol_field")
    _css = style("page", "entry_field")

    reads = traitlets.Unicode("chord").tag(sync=True)
    hint = traitlets.Unicode("").tag(sync=True)
    most = traitlets.Int(MOST_CHARACTERS).tag(sync=True)
    value = traitlets.List(traitlets.Unicode()).tag(sync=True)
    reading = traitlets.Dict().tag(sync=True)
    locked = traitlets.Bool(False).tag(sync=True)
    right = traitlets.List(traitlets.Unicode()).tag(sync=True)
    right_words = traitlets.Unicode("").tag(sync=True)

    def __init__(self, asked: SymbolInput | None = None, **traits: Any) -> None:
        self.asked = asked or SymbolInput()
        kind = symbol_kind(self.asked.reads)
        key = f" in {self.asked.key}" if self.asked.key else ""
        signs = "" if self.asked.reads == "interval" else "; # for sharp, b for flat"
        super().__init__(
            reads=self.asked.reads, hint=f"Write {kind.noun}{key}, such as {kind.example}{signs}.", **traits
        )
        self.on_change(self._read)
        self.on_change(self._read_right, "right")
        self._read()
        self._read_right()

    def _read(self, _change: Any = None) -> None:
        text = self.value[0] if self.value else ""
        if not text.strip():
            self.reading = {"text": text}
            return
        try:
            if len(text) > MOST_CHARACTERS:
                raise TheoryError(f"more than {MOST_CHARACTERS} characters; write a shorter one")
            read = self.asked.read(text.strip())
            self.reading = {"text": text, "display": read.display, "words": read.words}
        except TheoryError as error:
            self.reading = {"text": text, "problem": str(error)}

    def _read_right(self, _change: Any = None) -> None:
        self.right_words = self.asked.words(self.right[0]) if self.right else ""

    def stand_in(self) -> str:
        """Return the question and what is written, in one line."""
        return f"{self.label or 'Write'}: {self.value[0] if self.value else 'nothing written yet'}. {RUN_AGAIN}"
