"""What every exercise family is made of: a table of settings, items and marking."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import wrap
from types import MappingProxyType
from typing import Final, Protocol

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.fingerboard_answer import FINGERBOARD
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.practice.plain_data import JSON, canonical_json
from musictheory_nb.practice.response import Answer
from musictheory_nb.practice.setting import Setting as Setting  # families import it from here
from musictheory_nb.practice.twin import TWIN

#: What `described` puts the settings in the place of.
SETTINGS_HERE: Final = "{settings}"

#: Settings that every exercise takes, whatever its family: nothing that a family draws depends on them.
EVERYWHERE: Final = (TWIN, FINGERBOARD)

NO_EXCERPTS: Final[Mapping[str, Excerpt]] = MappingProxyType({})


class CompleteSettings(dict[str, JSON]):
    """Settings with defaults filled in, which nobody changes: what follows from them can be worked out once and kept.

    Examples
    --------
    >>> hash(CompleteSettings({"a": [1]})) == hash(CompleteSettings({"a": [1]}))
    True
    """

    __slots__ = ("_hash",)
    _hash: int

    def __hash__(self) -> int:  # type: ignore[override]
        """Hash of the content, worked out once."""
        try:
            return self._hash
        except AttributeError:
            self._hash = hash(canonical_json(self))
            return self._hash


@dataclass(frozen=True)
class Question:
    """Everything that an item may depend on, and nothing else.

    Parameters
    ----------
    lesson, exercise : str
        Ids.
    version, seed, index, count : int
        Family version, student's seed, item index from 0, number of items in the exercise.
    settings : CompleteSettings
        Defaults are filled in.
    excerpts : Mapping of str to Excerpt
        The excerpts frozen into the lesson, by name.
    """

    lesson: str
    exercise: str
    version: int
    seed: int
    index: int
    count: int
    settings: CompleteSettings
    excerpts: Mapping[str, Excerpt] = field(default_factory=lambda: NO_EXCERPTS)

    def draw(self) -> Draw:
        """Return the draws of this item."""
        return Draw(self.lesson, self.exercise, self.version, self.seed, self.index)

    def draw_for_all(self) -> Draw:
        """Return the draws that all items of the exercise share, such as the order of its questions."""
        return Draw(self.lesson, self.exercise, self.version, self.seed, WHOLE_EXERCISE)

    def excerpt(self, name: str = "") -> Excerpt:
        """Return the excerpt of that name; without one, the excerpt that the setting ``excerpt`` names.

        Raises
        ------
        ExerciseError
            The lesson holds none of that name.
        """
        name = name or self.settings["excerpt"]
        if name not in self.excerpts:
            known = ", ".join(sorted(self.excerpts)) or "none"
            raise ExerciseError(f"exercise {self.exercise!r}: excerpt {name!r} is not in the lesson; it has: {known}")
        return self.excerpts[name]


class Family(Protocol):
    """A kind of exercise. One version of one family is one object; an old version stays beside the new one."""

    @property
    def kind(self) -> str:
        """Slug, such as ``'interval-by-ear'``."""

    @property
    def version(self) -> int:
        """From 1; raised whenever what is drawn changes."""

    @property
    def title(self) -> str:
        """In words, for teachers."""

    @property
    def settings(self) -> tuple[Setting, ...]:
        """All settings, in the order of the documentation."""

    def check(self, settings: CompleteSettings) -> None:
        """Raise ExerciseError where complete settings, each allowed by itself, do not go together."""

    def item(self, question: Question) -> Item:
        """Return the item: a pure function of `question`."""

    def mark(self, item: Item, answer: Answer) -> Mark:
        """Return the mark of an answer that has passed ``item.response.check``."""

    def compare(self, item: Item, answer: Answer) -> tuple[MediaRequest, ...]:
        """Return what a student who was wrong should hear or see side by side; empty when there is nothing."""

    def confusion(self, item: Item, answer: Answer) -> tuple[str, str] | None:
        """Return (what was right, what was answered) for the table of most confused pairs; None when it was right."""


def credit_table(heads: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return a table for a docstring, indented as the docstring of a class is.

    Examples
    --------
    >>> print(credit_table(("answer", "score"), [("the interval itself", 1.0)]))
    =================== =====
        answer              score
        =================== =====
        the interval itself 1.0
        =================== =====
    """
    lines = [[str(cell) for cell in row] for row in (heads, *rows)]
    widths = [max(len(line[column]) for line in lines) for column in range(len(heads))]
    texts = [" ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip() for line in lines]
    rule = " ".join("=" * width for width in widths)
    return "\n    ".join([rule, texts[0], rule, *texts[1:], rule])


def described(doc: str | None, settings: tuple[Setting, ...], **tables: str) -> str | None:
    """Return the docstring of a family with its settings in the place of `SETTINGS_HERE`, and `tables` by name."""
    if doc is None:  # python -OO
        return None
    rows = []
    for setting in settings:
        default = "must be given" if setting.default is None else f"default {setting.default!r}"
        rows.append(f"    {setting.name} ({default})" if len(default) < 60 else f"    {setting.name}")
        text = f"{setting.meaning} Allowed: {setting.allowed}."
        if len(default) >= 60:
            text += f" The {default}."
        rows += [f"        {line}" for line in wrap(text, 100)]
    doc = doc.replace(SETTINGS_HERE, "\n    ".join(rows).lstrip("\n"))
    for name, table in tables.items():
        doc = doc.replace("{" + name + "}", table)
    return doc


def complete_settings(family: Family, given: Mapping[str, JSON], exercise: str) -> CompleteSettings:
    """Return `given` with defaults filled in, without those of `EVERYWHERE`, which are checked alone.

    Raises
    ------
    ExerciseError
        An unknown setting, a value that is not allowed, or one that must be set and is not.
    """
    table = {setting.name: setting for setting in (*family.settings, *EVERYWHERE)}
    for name in given:
        if name not in table:
            raise ExerciseError(
                f"exercise {exercise!r}: setting {name!r} is not one of {family.kind!r}; allowed: {', '.join(table)}"
            )
    complete = CompleteSettings()
    for setting in table.values():
        value = given.get(setting.name, setting.default)
        if value is None and setting.name not in given:
            raise ExerciseError(f"exercise {exercise!r}: setting {setting.name!r} must be given: {setting.allowed}")
        if not setting.check(value):
            raise ExerciseError(f"exercise {exercise!r}: {setting.name} {value!r}; allowed: {setting.allowed}")
        if setting not in EVERYWHERE:
            complete[setting.name] = value
    family.check(complete)
    return complete
