"""What an item asks to be heard or seen: a description, which `musictheory_nb.media` renders when it is shown."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.listening_control import CONTROLS
from musictheory_nb.practice.plain_data import JSON

KINDS: Final = ("sound", "notation")
#: At once, or only when the item has been answered.
MOMENTS: Final = ("asked", "answered")


@dataclass(frozen=True)
class MediaRequest:
    """One thing to hear or to see.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    excerpt : Excerpt
        The music.
    label : str
        Name of the button or caption. It must give no answer away when `moment` is ``'asked'``.
    moment : str
        One of `MOMENTS`.
    first, last : int
        Measure indices, both included; -1 for `last` is the end.
    parts : tuple of int
        Indices of the parts that sound or are shown; none means all.
    marked : tuple of int
        Indices of the notes of ``excerpt.notes`` that are marked in notation.
    choose_measures : bool
        The student picks from which to which measure; first and last are what is set at the start.
    tempo : Fraction or None
        Quarters a minute; None takes the excerpt's.
    controls : tuple of str or None
        Which of `listening_control.CONTROLS` are offered with a sound; None for all that make sense. What would give an
        answer away is left out, as the parts where the question is which part plays.
    hearings : int
        How often it may be heard while the question is on the screen; 0 for as often as one likes.

    Raises
    ------
    ExerciseError
        A kind, moment or control that is not known; measures, parts or marked notes that the excerpt has not.
    """

    kind: str
    excerpt: Excerpt
    label: str
    moment: str = "asked"
    first: int = 0
    last: int = -1
    parts: tuple[int, ...] = ()
    marked: tuple[int, ...] = ()
    choose_measures: bool = False
    tempo: Fraction | None = None
    controls: tuple[str, ...] | None = None
    hearings: int = 0

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise ExerciseError(f"media kind {self.kind!r}; allowed: {', '.join(KINDS)}")
        if self.moment not in MOMENTS:
            raise ExerciseError(f"media moment {self.moment!r}; allowed: {', '.join(MOMENTS)}")
        for control in self.controls or ():
            if control not in CONTROLS:
                raise ExerciseError(f"media control {control!r}; allowed: {', '.join(CONTROLS)}")
        if self.hearings < 0:
            raise ExerciseError(f"media hearings {self.hearings}; allowed: 1 or more, or 0 for no limit")
        first, last = self.span
        if not 0 <= first <= last < len(self.excerpt.measures):
            raise ExerciseError(
                f"media measures {first} to {last}: the excerpt has the indices 0 to {len(self.excerpt.measures) - 1}"
            )
        if any(not 0 <= part < len(self.excerpt.parts) for part in self.parts):
            raise ExerciseError(f"media parts {self.parts}: the excerpt has {len(self.excerpt.parts)} parts, from 0")
        if any(not 0 <= note < len(self.excerpt.notes) for note in self.marked):
            raise ExerciseError(f"media marked {self.marked}: the excerpt has {len(self.excerpt.notes)} notes, from 0")

    @property
    def span(self) -> tuple[int, int]:
        """First and last measure index, both included."""
        return self.first, self.last if self.last >= 0 else len(self.excerpt.measures) - 1

    def to_data(self) -> dict[str, JSON]:
        """Return JSON values for tests and golden files; the excerpt stands in it by its digest."""
        first, last = self.span
        limits: dict[str, JSON] = {} if self.controls is None else {"controls": list(self.controls)}
        if self.hearings:
            limits["hearings"] = self.hearings
        return {
            "kind": self.kind,
            "excerpt": self.excerpt.digest,
            "label": self.label,
            "moment": self.moment,
            "measures": [first, last],
            "parts": list(self.parts),
            "marked": list(self.marked),
            "choose_measures": self.choose_measures,
            "tempo": None if self.tempo is None else str(self.tempo),
            **limits,
        }
