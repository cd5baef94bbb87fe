"""Where notes are drawn: on or near the staff of the student's clef, within reach of the student's instrument."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ExerciseError, PitchError
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.practice.display_settings import AUTO, clef_for
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.theory.pitch import Pitch

#: Written pitches of each clef from the note under the first ledger line below the staff to that over the first above.
COMFORTABLE: Final = MappingProxyType(
    {
        "treble": ("B3", "B5"),
        "bass": ("D2", "D4"),
        "alto": ("C3", "C5"),
        "tenor": ("A2", "A4"),
        "treble-8": ("B2", "B4"),
    }
)
#: Lowest and highest pitch that a teacher may set, as MIDI numbers: C1 and C7.
LOWEST_MIDI, HIGHEST_MIDI = 24, 96
#: An instrument's easy range narrows that of the clef only where so many semitones are left.
_ROOM_SEMITONES: Final = 16
_ALLOWED: Final = "a pitch from C1 to C7, such as 'G3', or '' for what is easy to read in the clef"


@lru_cache(maxsize=256)
def _midi(text: str) -> int:
    return Pitch(text).midi


def _is_limit(value: JSON) -> bool:
    if value == "":
        return True
    try:
        return isinstance(value, str) and LOWEST_MIDI <= _midi(value) <= HIGHEST_MIDI
    except PitchError:
        return False


LOW: Final = Setting(
    "low",
    "",
    "The lowest note that is written; by itself one ledger line below the staff, within the instrument's easy range.",
    _ALLOWED,
    _is_limit,
)
HIGH: Final = Setting(
    "high",
    "",
    "The highest note that is written; by itself one ledger line above the staff, within the instrument's easy range.",
    _ALLOWED,
    _is_limit,
)


@dataclass(frozen=True, slots=True)
class Register:
    """The clef, and lowest and highest written note as MIDI numbers.

    Examples
    --------
    >>> register_of("auto", "", "", ""), register_of("auto", "bass guitar", "", "")
    (Register(clef='treble', low_midi=59, high_midi=83), Register(clef='bass', low_midi=40, high_midi=62))
    """

    clef: str
    low_midi: int
    high_midi: int


@lru_cache(maxsize=256)
def register_of(clef: str, transposition: str, low: str, high: str) -> Register:
    """Return the register of these settings.

    Raises
    ------
    ExerciseError
        The lowest note is not below the highest one.
    """
    if clef == AUTO:
        given = [_midi(text) for text in (low, high) if text]
        clef = clef_for(transposition, given[0], given[-1]) if given else clef_for(transposition, 60, 60)
    easy_low, easy_high = (_midi(text) for text in COMFORTABLE[clef])
    if transposition and not transposition[-1].isdigit():
        reach = Instrument(transposition).easy_range
        inside = max(easy_low, reach.low.midi), min(easy_high, reach.high.midi)
        if inside[1] - inside[0] >= _ROOM_SEMITONES:
            easy_low, easy_high = inside
    low_midi, high_midi = _midi(low) if low else easy_low, _midi(high) if high else easy_high
    if low_midi >= high_midi:
        raise ExerciseError(
            f"low {low!r} and high {high!r} in the {clef} clef: the lowest note must be below the highest"
        )
    return Register(clef, low_midi, high_midi)


def register(settings: Mapping[str, JSON]) -> Register:
    """Return the register of complete settings that have `LOW`, `HIGH`, ``clef`` and ``transposition``."""
    return register_of(settings["clef"], settings["transposition"], settings["low"], settings["high"])
