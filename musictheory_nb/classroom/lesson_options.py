"""What a teacher may ask of a lesson made from a piece: one table of options, read by check, error and documentation."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import LessonError

#: How much is asked, in words for the command line.
LEVELS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "first": "a first course: small intervals, triads, sections with their number given",
        "middle": "a second course: all simple intervals, seventh chords, scales over chords (default)",
        "advanced": "all of it, with fewer hints",
    }
)
#: What a lesson may turn on.
FOCUS: Final[Mapping[str, str]] = MappingProxyType(
    {
        "intervals": "intervals heard and found in the piece",
        "harmony": "chords of the piece by ear, by sight and by name",
        "scales": "scales over its chords",
        "form": "where sections begin and what comes back",
        "texture": "who plays when, and how together",
    }
)
#: Fewest and most exercises of a lesson.
FEWEST, MOST = 5, 10
#: A finding below this confidence is asked about only where the teacher confirms it.
SURE: Final = 0.8


@dataclass(frozen=True)
class LessonOptions:
    """What is asked for.

    Parameters
    ----------
    level : str
        One of `LEVELS`.
    focus : tuple of str
        Some of `FOCUS`; what they turn on comes first. None for all.
    instrument : str
        The student's instrument, for the practice loop, clef and transposition.
    length : int
        Number of exercises, `FEWEST` to `MOST`.

    Raises
    ------
    LessonError
        A level or focus that there is not, or a length outside the limits.

    Examples
    --------
    >>> LessonOptions(focus=("form",)).length
    7
    >>> LessonOptions(level="hard")
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: level 'hard'; allowed: first, middle, advanced
    """

    level: str = "middle"
    focus: tuple[str, ...] = ()
    instrument: str = "double bass"
    length: int = 7

    def __post_init__(self) -> None:
        if self.level not in LEVELS:
            raise LessonError(f"level {self.level!r}; allowed: {', '.join(LEVELS)}")
        for one in self.focus:
            if one not in FOCUS:
                raise LessonError(f"focus {one!r}; allowed: {', '.join(FOCUS)}")
        if not FEWEST <= self.length <= MOST:
            raise LessonError(f"length {self.length}: a lesson has {FEWEST} to {MOST} exercises")
