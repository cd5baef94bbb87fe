"""Finding places on a fingerboard as an answer."""

from dataclasses import dataclass
from typing import ClassVar, Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.instrument.tuning import MOST_FRETS, MOST_STRINGS
from musictheory_nb.practice.answer_refusal import refuse
from musictheory_nb.practice.piano_key_name import key_name
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch

#: What the places can show once they are pressed.
FINGERBOARD_LABELS: Final = ("names", "degrees", "none")
#: Most places in an answer.
MOST_PLACES: Final = 64


@dataclass(frozen=True, slots=True)
class FingerboardInput:
    """Press `count` places on a fingerboard, one after another.

    The value is a list of ``[string, fret]``: the string from 0 for the one at the player's low side, the fret in half
    steps above the open string, on an unfretted fingerboard too.

    Parameters
    ----------
    tuning : tuple of str
        Sounding pitches of the open strings, the one at the player's low side first.
    frets : int
        Highest fret shown.
    fretted : bool
        Whether frets are drawn.
    count : int
        How many places are asked.
    given : tuple of (int, int)
        Places shown as a start, which the student does not press.
    labels : str
        What pressed places show, one of `FINGERBOARD_LABELS`.
    key : str
        Key in which degrees are counted, such as ``'G major'``; needed for labels ``'degrees'``. Names are spelled in it.
    nuts : tuple of int
        Where each string's own nut lies, in half steps above the common one; at it, all of them, by default.

    Raises
    ------
    ExerciseError
        A tuning, number or key that cannot be.

    Examples
    --------
    >>> bass = FingerboardInput(("E1", "A1", "D2", "G2"))
    >>> bass.check("place", [[1, 3]])
    [[1, 3]]
    >>> bass.check("place", [[4, 3]])
    Traceback (most recent call last):
    musictheory_nb.errors.AnswerError: answer to 'place': [4, 3]; allowed: [string 0 to 3, fret 0 to 12]
    """

    how: ClassVar[str] = "on the fingerboard"

    tuning: tuple[str, ...]
    frets: int = 12
    fretted: bool = True
    count: int = 1
    given: tuple[tuple[int, int], ...] = ()
    labels: str = "names"
    key: str = ""
    nuts: tuple[int, ...] = ()
    id: str = "fingerboard"

    def __post_init__(self) -> None:
        if not 1 <= len(self.tuning) <= MOST_STRINGS:
            raise ExerciseError(f"tuning {self.tuning!r}: give 1 to {MOST_STRINGS} open strings, from low to high")
        if type(self.frets) is not int or not 1 <= self.frets <= MOST_FRETS:
            raise ExerciseError(f"frets {self.frets!r}: give 1 to {MOST_FRETS}")
        if self.nuts and (
            len(self.nuts) != len(self.tuning) or any(self._nut(at) > self.frets for at in self._strings)
        ):
            raise ExerciseError(f"nuts {self.nuts!r}: give one for each string, at most {self.frets}")
        if type(self.count) is not int or not 1 <= self.count <= MOST_PLACES:
            raise ExerciseError(f"count {self.count!r}: ask for 1 to {MOST_PLACES} places")
        if self.labels not in FINGERBOARD_LABELS:
            raise ExerciseError(f"labels {self.labels!r}: allowed are {', '.join(FINGERBOARD_LABELS)}")
        if self.labels == "degrees" and not self.key:
            raise ExerciseError("key '': labels 'degrees' need a key, such as 'G major'")
        try:
            for text in self.tuning:
                _ = Pitch(text).midi
            if self.key:
                Key(self.key)
        except TheoryError as error:
            raise ExerciseError(f"fingerboard: {error}") from None
        if not all(self._is_place(list(place)) for place in self.given):
            raise ExerciseError(f"given {self.given!r}: allowed are {self._allowed}")

    @property
    def _strings(self) -> range:
        return range(len(self.tuning))

    def _nut(self, string: int) -> int:
        return self.nuts[string] if self.nuts else 0

    def highest(self, string: int) -> int:
        """Return the last half step above the open string that is shown."""
        return self.frets - self._nut(string)

    @property
    def _allowed(self) -> str:
        return f"[string 0 to {len(self.tuning) - 1}, fret 0 to {max(map(self.highest, self._strings))}]"

    def _is_place(self, place: JSON) -> bool:
        if not isinstance(place, list) or len(place) != 2 or any(type(number) is not int for number in place):
            return False
        return place[0] in self._strings and 0 <= place[1] <= self.highest(place[0])

    def midi(self, place: JSON) -> int:
        """Return the MIDI number that a place ``[string, fret]`` sounds."""
        return Pitch(self.tuning[place[0]]).midi + int(place[1])

    def check(self, step: str, value: JSON) -> JSON:
        """Return the list of places, or raise AnswerError."""
        if not isinstance(value, list) or len(value) != self.count:
            raise refuse(step, value, f"a list of {self.count} places {self._allowed}")
        return [self.check_place(step, place) for place in value]

    def check_place(self, step: str, place: JSON) -> JSON:
        """Return one place, or raise AnswerError."""
        if not self._is_place(place):
            raise refuse(step, place, self._allowed)
        return list(place)

    def words(self, value: JSON) -> str:
        """Return checked places in words; strings counted as players do, the low side last."""
        return ", ".join(f"{key_name(self.midi(place))} ({self.place_words(place)})" for place in value)

    def place_words(self, place: JSON) -> str:
        """Return where a place is, as players say it.

        Examples
        --------
        >>> FingerboardInput(("E1", "A1")).place_words([1, 3]), FingerboardInput(("G3", "D4"), fretted=False).place_words([0, 1])
        ('string 1, fret 3', 'string 2, 1 half step up')
        """
        string, steps = place
        name = f"string {len(self.tuning) - string}"
        if not steps:
            return f"{name}, open"
        if self.fretted:
            return f"{name}, fret {steps + self._nut(string)}"
        return f"{name}, {steps} half step{'s' if steps > 1 else ''} up"
