"""Instruments: transposition, clefs, ranges, and the tuning of those with strings (`Instrument`).

The table ``instrument.tsv`` beside this file says where its rows come from. Ranges are guides: players and instruments
differ, and a student's own teacher knows better.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.named_row import Row, parted, plain_name, read_rows, row_named
from musictheory_nb.instrument.transposition import Transposition, read_transposition
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch

#: The ranges of an instrument, with what each is.
RANGES: Final = MappingProxyType(
    {
        "full": "all that a good player reaches on a usual instrument",
        "easy": "where most students who play it are at ease",
    }
)

_set = object.__setattr__


class PitchRange(NamedTuple):
    """Lowest and highest pitch."""

    low: Pitch
    high: Pitch

    def holds(self, pitch: Pitch | str) -> bool:
        """Whether a pitch sounds from the lowest to the highest.

        Examples
        --------
        >>> PitchRange(Pitch("C4"), Pitch("C5")).holds("B#4"), PitchRange(Pitch("C4"), Pitch("C5")).holds("C#5")
        (True, False)
        """
        return self.low.chromatic <= Pitch(pitch).chromatic <= self.high.chromatic


@dataclass(frozen=True, slots=True)
class OutOfRange:
    """A note that an instrument does not have, or not easily.

    Parameters
    ----------
    index : int
        Where in the line, from 0.
    pitch : Pitch
        As written.
    why : str
        In words.
    """

    index: int
    pitch: Pitch
    why: str


@lru_cache(maxsize=1)
def _rows() -> MappingProxyType[str, Row]:
    return MappingProxyType(
        {
            plain_name(name): row
            for row in read_rows("instrument.tsv")
            for name in (row["name"], *parted(row["other_names"]))
        }
    )


def instrument_names() -> tuple[str, ...]:
    """Names of the instruments in the table.

    Examples
    --------
    >>> "bass guitar" in instrument_names(), "English horn" in instrument_names()
    (True, True)
    """
    return tuple(row["name"] for row in read_rows("instrument.tsv"))


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Instrument:
    """An instrument of the table. Ranges are written pitches; `sounding` tells how they sound.

    Parameters
    ----------
    name : str or Instrument
        As musicians write it: ``"clarinet in Bb"``, ``"B♭ clarinet"``, ``"cor anglais"``, ``"bass guitar"``.

    Attributes
    ----------
    name, family : str
        Name shown; woodwind, brass, strings, plucked, keyboard, percussion or voice.
    transposition : Transposition
        From written to sounding pitch.
    clefs : tuple of str
        The usual one first.
    tuning_name : str
        Name of its tuning, or empty.

    Raises
    ------
    AmbiguousError
        Several instruments have the word in their names: "bass", "saxophone".
    InstrumentError
        No such instrument in the table.

    Examples
    --------
    >>> clarinet = Instrument("B♭ clarinet")
    >>> clarinet.name, clarinet.clef, clarinet.sounding("C4"), clarinet.written("C4")
    ('clarinet in Bb', 'treble', Pitch('Bb3'), Pitch('D4'))
    >>> Instrument("saxophone")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: instrument 'saxophone': say which: 'soprano saxophone', 'alto saxophone', 'tenor saxophone' or 'baritone saxophone'
    """

    name: str
    family: str
    transposition: Transposition
    clefs: tuple[str, ...]
    full_range: PitchRange
    easy_range: PitchRange
    tuning_name: str

    def __init__(self, name: "str | Instrument") -> None:
        if not isinstance(name, str | Instrument):
            raise InstrumentError(f"instrument {name!r}: write a name, such as 'bass guitar'")
        row = row_named(name if isinstance(name, str) else name.name, "instrument", _rows())
        _set(self, "name", row["name"])
        _set(self, "family", row["family"])
        _set(self, "transposition", read_transposition(row["written_c4_sounds"]))
        _set(self, "clefs", parted(row["clefs"]))
        _set(self, "full_range", PitchRange(Pitch(row["low"]), Pitch(row["high"])))
        _set(self, "easy_range", PitchRange(Pitch(row["easy_low"]), Pitch(row["easy_high"])))
        _set(self, "tuning_name", row["tuning"])

    @property
    def clef(self) -> str:
        """The usual clef."""
        return self.clefs[0]

    @property
    def has_strings(self) -> bool:
        """Whether it has a tuning, so that lines can be fingered on it."""
        return bool(self.tuning_name)

    @property
    def tuning(self) -> Tuning:
        """Its usual tuning.

        Raises
        ------
        InstrumentError
            It has no strings over a fingerboard.

        Examples
        --------
        >>> str(Instrument("double bass").tuning)
        'E1 A1 D2 G2'
        >>> Instrument("flute").tuning
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: instrument 'flute': has no strings over a fingerboard
        """
        if not self.tuning_name:
            raise InstrumentError(f"instrument {self.name!r}: has no strings over a fingerboard")
        return Tuning(self.tuning_name)

    def sounding(self, written: Pitch | str, *, exact: bool = False) -> Pitch:
        """Sounding pitch of a written one; see `Transposition.sounding`.

        Raises
        ------
        PitchError
            `written` cannot be read.

        Examples
        --------
        >>> Instrument("double bass").sounding("E2"), Instrument("horn in F").sounding("C5")
        (Pitch('E1'), Pitch('F4'))
        """
        return self.transposition.sounding(written, exact=exact)

    def written(self, sounding: Pitch | str, *, exact: bool = False) -> Pitch:
        """Written pitch of a sounding one; see `Transposition.written`.

        Raises
        ------
        PitchError
            `sounding` cannot be read.

        Examples
        --------
        >>> Instrument("alto saxophone").written("C4")
        Pitch('A4')
        """
        return self.transposition.written(sounding, exact=exact)

    def range(self, which: str = "full", *, sounding: bool = False) -> PitchRange:
        """Range in written pitches, or in sounding ones.

        Parameters
        ----------
        which : {'full', 'easy'}
            One of `RANGES`.

        Raises
        ------
        InstrumentError
            No such range.

        Examples
        --------
        >>> [pitch.name for pitch in Instrument("bass guitar").range(sounding=True)]
        ['E1', 'Eb4']
        >>> Instrument("bass guitar").range("wide")
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: which 'wide': must be one of 'full', 'easy'
        """
        if not isinstance(which, str) or which not in RANGES:
            raise InstrumentError(f"which {which!r}: must be one of {', '.join(map(repr, RANGES))}")
        found = self.full_range if which == "full" else self.easy_range
        return PitchRange(self.sounding(found.low), self.sounding(found.high)) if sounding else found

    def out_of_range(self, written: Iterable[Pitch | str] | str, which: str = "full") -> tuple[OutOfRange, ...]:
        """Notes of a written line outside a range, each with its index, from 0, and the reason in words.

        Raises
        ------
        InstrumentError
            No such range.
        PitchError
            A note cannot be read.

        Examples
        --------
        >>> [(note.index, note.why) for note in Instrument("flute").out_of_range("G4 B3 C4")]
        [(1, 'B3 is below C4, the lowest written note of the flute')]
        """
        span = self.range(which)
        most = "" if which == "full" else "easy "
        found = []
        for index, note in enumerate(note_list(written)):
            pitch = Pitch(note)
            if not span.holds(pitch):
                below = pitch.chromatic < span.low.chromatic
                side, end, edge = ("below", "lowest", span.low) if below else ("above", "highest", span.high)
                why = f"{pitch.display} is {side} {edge.display}, the {end} {most}written note of the {self.name}"
                found.append(OutOfRange(index, pitch, why))
        return tuple(found)

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Instrument({self.name!r})"
