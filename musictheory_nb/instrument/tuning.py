"""How the strings of an instrument are tuned, and where on them a pitch lies (`Tuning`).

Strings are numbered as players and MusicXML number them: string 1 is the last in the list of open strings, the highest
one of most instruments. Frets are counted in half steps from the nut, on an unfretted fingerboard too. Where a string
has a nut of its own, its frets are still counted from the common nut: the open low C of a double bass with extension is
at fret -4 and its gate at 0; the short fifth string of a banjo is open at fret 5.
The named tunings are in ``tuning.tsv`` beside this file, with their sources.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import InstrumentError, PitchError
from musictheory_nb.instrument.hand import HANDS
from musictheory_nb.instrument.named_row import Row, parted, plain_name, read_rows, row_named
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch

#: Most strings and most frets that are read.
MOST_STRINGS: Final = 12
MOST_FRETS: Final = 36
#: What a tuning written as notes is taken to have when nothing is said.
_FRETS: Final = 24
_FARTHEST_NUT: Final = 12
#: A note, with or without octave; anything else is a name.
_NOTE: Final = re.compile(r"[A-Ga-g](#{1,3}|x|b{1,3}|[♯♭]*)-?[0-9]*")
#: Several notes with no blanks between them.
_RUN_TOGETHER: Final = re.compile(r"(?:[A-G][#b♯♭]?[0-9]?[-/|;]?){2,}")

_set = object.__setattr__


@lru_cache(maxsize=1)
def _rows() -> MappingProxyType[str, Row]:
    return MappingProxyType(
        {
            plain_name(name): row
            for row in read_rows("tuning.tsv")
            for name in (row["name"], *parted(row["other_names"]))
        }
    )


def tuning_names() -> tuple[str, ...]:
    """Names of the tunings in the table.

    Examples
    --------
    >>> tuning_names()[:2]
    ('bass guitar', '5-string bass guitar')
    """
    return tuple(row["name"] for row in read_rows("tuning.tsv"))


@dataclass(frozen=True, slots=True)
class StringPlace:
    """Where a pitch lies.

    Parameters
    ----------
    string : int
        Number of the string, from 1.
    fret : int
        Half steps above the nut.
    is_open : bool
        Whether no finger stops it.
    """

    string: int
    fret: int
    is_open: bool


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Tuning:
    """Open strings, and the fingerboard over them. Equal tunings have equal strings, frets and hands.

    Parameters
    ----------
    text : str, Tuning or iterable of pitches
        A name (``"bass guitar"``), or sounding pitches of the open strings in their order across the fingerboard,
        the string numbered last first: ``"E1 A1 D2 G2"``.
    frets : int, optional
        Number of frets; without frets, the half steps above the open string up to which it is stopped. A name brings
        its own; 24 for open strings given as notes.
    fretted : bool, optional
        A name brings its own; True for notes.
    hand : str, optional
        The left hand that is usual on it, one of `hand.HANDS`; 'one finger a fret' for notes.
    nuts : iterable of int, optional
        Where each string's own nut lies, in half steps above the common one.

    Raises
    ------
    InstrumentError
        Neither a name in the table nor open strings; or frets, nuts or hand that cannot be.
    AmbiguousError
        A name that several tunings bear.

    Examples
    --------
    >>> t = Tuning("bass guitar")
    >>> [str(pitch) for pitch in t.strings], t.frets, t.fretted
    (['E1', 'A1', 'D2', 'G2'], 20, True)
    >>> Tuning("D1 A1 D2 G2", frets=20) == Tuning("bass guitar in drop D")
    True
    >>> Tuning("E A D G")
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: tuning 'E A D G': open strings need octave numbers, such as 'E1 A1 D2 G2'
    """

    name: str = field(compare=False)
    strings: tuple[Pitch, ...]
    nuts: tuple[int, ...]
    frets: int
    fretted: bool
    hand: str

    def __init__(
        self,
        text: "str | Tuning | Iterable[Pitch | str]",
        *,
        frets: int | None = None,
        fretted: bool | None = None,
        hand: str | None = None,
        nuts: Iterable[int] | None = None,
    ) -> None:
        start = _read(text)
        _set(self, "name", start.name)
        _set(self, "strings", start.strings)
        _set(self, "nuts", start.nuts if nuts is None else _checked_nuts(nuts, len(start.strings)))
        _set(self, "frets", start.frets if frets is None else _checked_frets(frets))
        _set(self, "fretted", start.fretted if fretted is None else bool(fretted))
        if hand is not None and not (isinstance(hand, str) and hand in HANDS):
            raise InstrumentError(f"hand {hand!r}: must be one of {', '.join(map(repr, HANDS))}")
        _set(self, "hand", start.hand if hand is None else hand)

    @property
    def is_reentrant(self) -> bool:
        """Whether the strings do not rise from each to the next.

        Examples
        --------
        >>> Tuning("ukulele").is_reentrant, Tuning("guitar").is_reentrant
        (True, False)
        """
        pairs = zip(self.strings, self.strings[1:], strict=False)
        return any(upper.chromatic <= lower.chromatic for lower, upper in pairs)

    @property
    def lowest(self) -> Pitch:
        """Lowest open string."""
        return min(self.strings)

    @property
    def highest_chromatic(self) -> int:
        """Semitones above C-1 (the MIDI number) of the highest stopped note."""
        return max(self._top(index) for index in range(len(self.strings)))

    def _top(self, index: int) -> int:
        return self.strings[index].chromatic + self.frets - self.nuts[index]

    def string_name(self, string: int) -> str:
        """Name of a string in words, such as ``'A string'``; with its octave where two are alike.

        Raises
        ------
        InstrumentError
            No such string.

        Examples
        --------
        >>> Tuning("bass guitar").string_name(3), Tuning("guitar").string_name(6)
        ('A string', 'E2 string')
        >>> Tuning("bass guitar").string_name(5)
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: string 5: 'bass guitar' has strings 1 to 4
        """
        if not isinstance(string, int) or not 1 <= string <= len(self.strings):
            raise InstrumentError(f"string {string!r}: {self.name!r} has strings 1 to {len(self.strings)}")
        pitch = self.strings[-string]
        alike = sum(other.pitch_name == pitch.pitch_name for other in self.strings)
        return f"{pitch.display if alike > 1 else pitch.pitch_name.display} string"

    def places(self, pitch: Pitch | str) -> tuple[StringPlace, ...]:
        """Everywhere on the fingerboard where a sounding pitch lies, from string 1 on.

        An empty tuple means that the instrument does not have the note.

        Raises
        ------
        PitchError
            `pitch` cannot be read.

        Examples
        --------
        >>> [(place.string, place.fret) for place in Tuning("bass guitar").places("A2")]
        [(1, 2), (2, 7), (3, 12), (4, 17)]
        >>> Tuning("violin").places("C3")
        ()
        >>> [(place.fret, place.is_open) for place in Tuning("double bass with C extension").places("Eb1")]
        [(-1, False)]
        """
        return self.places_of(Pitch(pitch).chromatic)

    def places_of(self, number: int) -> tuple[StringPlace, ...]:
        """Everywhere that a MIDI number (semitones above C-1) lies, as `places`.

        Examples
        --------
        >>> [(place.string, place.fret) for place in Tuning("mandolin").places_of(76)]
        [(1, 0), (2, 7), (3, 14)]
        """
        found = []
        for string in range(1, len(self.strings) + 1):
            nut = self.nuts[-string]
            fret = number - self.strings[-string].chromatic + nut
            if nut <= fret <= self.frets:
                # A longer string is closed at the common nut by a gate: that note too needs no finger.
                found.append(StringPlace(string, fret, fret == nut or (nut < 0 and fret == 0)))
        return tuple(found)

    def pitch_at(self, string: int, fret: int) -> int:
        """MIDI number (semitones above C-1) of a string stopped at a fret.

        Raises
        ------
        InstrumentError
            No such string, or the fret is not on it.

        Examples
        --------
        >>> Tuning("bass guitar").pitch_at(3, 3)
        36
        >>> Tuning("bass guitar").pitch_at(3, 21)
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: fret 21: the A string of 'bass guitar' has frets 0 to 20
        """
        name = self.string_name(string)
        nut = self.nuts[-string]
        if not isinstance(fret, int) or not nut <= fret <= self.frets:
            raise InstrumentError(f"fret {fret!r}: the {name} of {self.name!r} has frets {nut} to {self.frets}")
        return self.strings[-string].chromatic + fret - nut

    def __str__(self) -> str:
        return " ".join(pitch.name for pitch in self.strings)

    def __repr__(self) -> str:
        return f"<Tuning {self.name}: {self}, {self.frets} frets>" if self.fretted else f"<Tuning {self.name}: {self}>"


class _Parts(NamedTuple):
    name: str
    strings: tuple[Pitch, ...]
    nuts: tuple[int, ...]
    frets: int
    fretted: bool
    hand: str


def _read(text: object) -> _Parts:
    """Parts of a tuning that is named or written as open strings."""
    if isinstance(text, Tuning):
        return _Parts(text.name, text.strings, text.nuts, text.frets, text.fretted, text.hand)
    if isinstance(text, str) and _RUN_TOGETHER.fullmatch(text.strip()):
        raise InstrumentError(
            f"tuning {text!r}: write open strings with blanks between them and octave numbers, such as 'E1 A1 D2 G2'"
        )
    if isinstance(text, str) and not (text.strip() and all(map(_NOTE.fullmatch, note_list(text)))):
        row = row_named(text, "tuning", _rows())
        strings = tuple(map(Pitch, row["strings"].split()))
        nuts = tuple(map(int, row["nuts"].split())) or (0,) * len(strings)
        return _Parts(row["name"], strings, nuts, int(row["frets"]), row["fretted"] == "yes", row["hand"])
    return _written(text)


def _written(text: object) -> _Parts:
    """Parts of a tuning given by its open strings."""
    shown = text if isinstance(text, str) else repr(text)
    if not isinstance(text, Iterable) or isinstance(text, bytes):
        raise InstrumentError(
            f"tuning {shown!r}: write a name such as 'bass guitar' or open strings such as 'E1 A1 D2 G2'"
        )
    try:
        notes: list[Pitch | str] = note_list(text)
        if any(isinstance(note, str) and not note[-1:].isdigit() for note in notes):
            raise InstrumentError(f"tuning {shown!r}: open strings need octave numbers, such as 'E1 A1 D2 G2'")
        strings = tuple(map(Pitch, notes))
    except PitchError as error:
        raise InstrumentError(
            f"tuning {shown!r}: write a name such as 'bass guitar' or open strings such as 'E1 A1 D2 G2' ({error})"
        ) from None
    if not 1 <= len(strings) <= MOST_STRINGS:
        raise InstrumentError(f"tuning {shown!r}: must have 1 to {MOST_STRINGS} strings, not {len(strings)}")
    name = " ".join(pitch.name for pitch in strings)
    return _Parts(name, strings, (0,) * len(strings), _FRETS, True, next(iter(HANDS)))


def _checked_frets(frets: object) -> int:
    if isinstance(frets, bool) or not isinstance(frets, int) or not 1 <= frets <= MOST_FRETS:
        raise InstrumentError(f"frets {frets!r}: must be a whole number from 1 to {MOST_FRETS}")
    return frets


def _checked_nuts(nuts: Iterable[int], strings: int) -> tuple[int, ...]:
    """Nuts, one a string."""
    given = tuple(nuts) if isinstance(nuts, Iterable) else ()
    whole = all(isinstance(nut, int) and abs(nut) <= _FARTHEST_NUT for nut in given)
    if len(given) != strings or not whole:
        raise InstrumentError(
            f"nuts {nuts!r}: must be {strings} whole numbers, one a string, from {-_FARTHEST_NUT} to {_FARTHEST_NUT}"
        )
    return given
