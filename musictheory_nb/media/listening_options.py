"""How a student wants to hear music: tempo, count-in, metronome, drone, timbre, register, parts."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.errors import MediaError
from musictheory_nb.media.tone import TIMBRES
from musictheory_nb.theory.pitch import Pitch

#: Tempo in percent of the music's own.
SLOWEST_PERCENT, FASTEST_PERCENT = 25, 150
#: Octaves that music may be moved.
MOST_OCTAVES: Final = 2
#: The notes that a drone may hold, as shown -> as `drone` has it: an octave below middle C, where a held note is clear and mild.
DRONES: Final[Mapping[str, str]] = MappingProxyType(
    {
        name.replace("b", "♭").replace("#", "♯"): f"{name}3"
        for name in ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
    }
)


@dataclass(frozen=True, slots=True)
class ListeningOptions:
    """How music is heard.

    Parameters
    ----------
    percent : int
        Tempo in percent of the music's own; the pitch stays.
    count_in : bool
        One measure of clicks before it. A pickup falls into that measure.
    metronome : bool
        A click on each beat, the first of a measure higher.
    drone : str
        A pitch held under the music; empty for none.
    timbre : str
        Of all parts; empty for that of each part.
    octaves : int
        The music sounds so many octaves higher, or lower below 0; clicks and drone stay.
    parts : tuple of int
        Indices of the parts that sound; none means all that were asked for.

    Raises
    ------
    MediaError
        A value out of bounds, or a pitch that cannot be read.

    Examples
    --------
    >>> ListeningOptions(percent=50, drone="C3").is_plain, ListeningOptions().is_plain
    (False, True)
    >>> ListeningOptions(percent=10)
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: tempo 10 %; allowed: 25 to 150 %
    """

    percent: int = 100
    count_in: bool = False
    metronome: bool = False
    drone: str = ""
    timbre: str = ""
    octaves: int = 0
    parts: tuple[int, ...] = ()

    def __post_init__(self) -> None:
        if type(self.percent) is not int or not SLOWEST_PERCENT <= self.percent <= FASTEST_PERCENT:
            raise MediaError(f"tempo {self.percent!r} %; allowed: {SLOWEST_PERCENT} to {FASTEST_PERCENT} %")
        if self.drone:
            try:
                Pitch(self.drone)
            except ValueError as error:
                raise MediaError(f"drone {self.drone!r}: {error}") from None
        if self.timbre and self.timbre not in TIMBRES:
            raise MediaError(f"timbre {self.timbre!r}; allowed: {', '.join(TIMBRES)}")
        if type(self.octaves) is not int or abs(self.octaves) > MOST_OCTAVES:
            raise MediaError(f"register {self.octaves!r}; allowed: -{MOST_OCTAVES} to {MOST_OCTAVES} octaves")

    @property
    def is_plain(self) -> bool:
        """Whether the music is heard as it is."""
        return self == ListeningOptions()

    @classmethod
    def of(cls, said: Mapping[str, Any]) -> "ListeningOptions":
        """Return what a mapping says, as a page sends it.

        Raises
        ------
        MediaError
            A name or value that is not allowed.

        Examples
        --------
        >>> ListeningOptions.of({"percent": 50, "parts": [1]}).parts
        (1,)
        >>> ListeningOptions.of({"reverb": True})
        Traceback (most recent call last):
        musictheory_nb.errors.MediaError: listening option 'reverb'; allowed: percent, count_in, metronome, drone, timbre, octaves, parts
        """
        for name in said:
            if name not in cls.__slots__:
                raise MediaError(f"listening option {name!r}; allowed: {', '.join(cls.__slots__)}")
        values = dict(said)
        try:
            parts = tuple(int(part) for part in values.pop("parts", ()))
        except (TypeError, ValueError):
            raise MediaError(f"parts {said['parts']!r}; allowed: a list of indices") from None
        for name in ("count_in", "metronome"):
            if type(values.get(name, False)) is not bool:
                raise MediaError(f"{name} {values[name]!r}; allowed: True or False")
        return cls(**values, parts=parts)


#: Music as it is.
PLAIN: Final = ListeningOptions()
