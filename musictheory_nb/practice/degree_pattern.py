"""Short patterns in a key, drawn by rule: notes of its degrees that go by steps and leaps within an octave."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.degree_pool import degree_places, keys_of
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.practice.question_turn import turn_of
from musictheory_nb.practice.setting_check import is_switch, one_of, whole_number
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.theory.pitch import Pitch

#: Fewest and most notes of a pattern.
FEWEST, MOST = 2, 8
#: On which degrees a pattern may begin.
STARTS: Final = ("tonic", "tonic chord", "any")
_START_DEGREES: Final = {"tonic": ("1",), "tonic chord": ("1", "3", "5")}
#: All notes lie within so many semitones of the first, so that the pattern can be sung.
_REACH: Final = 12
#: Of so many moves one is a step, where there is one; the others are drawn from all.
_STEPS_OF: Final = 2

LENGTH: Final = Setting(
    "notes",
    4,
    "How many notes a pattern has.",
    f"a whole number from {FEWEST} to {MOST}",
    whole_number(FEWEST, MOST),
)
WIDEST: Final = Setting(
    "widest",
    3,
    "The widest leap, in steps of the scale: 1 for steps alone, 2 for a third, 4 for a fifth, 7 for an octave.",
    "a whole number from 1 to 7",
    whole_number(1, 7),
)
START: Final = Setting(
    "start",
    "tonic chord",
    "On which degree a pattern begins: the tonic, a note of the tonic chord, or any that is asked for.",
    ", ".join(map(repr, STARTS)),
    one_of(STARTS),
)
ENDS_HOME: Final = Setting("ends_home", False, "Whether a pattern ends on the tonic.", "True or False", is_switch)


@dataclass(frozen=True, slots=True)
class Pattern:
    """A pattern: its key, its degrees, its written pitches."""

    key: str
    degrees: tuple[str, ...]
    pitches: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Place:
    degree: str
    pitch: str
    chromatic: int
    diatonic: int


@lru_cache(maxsize=1024)
def _places(key: str, asked: tuple[str, ...], register: Register) -> tuple[_Place, ...]:
    found = []
    for degree in asked:
        for name in degree_places(key, degree, register):
            pitch = Pitch(name)
            found.append(_Place(degree, name, pitch.chromatic, pitch.diatonic))
    return tuple(sorted(found, key=lambda place: (place.chromatic, place.diatonic)))


@lru_cache(maxsize=4096)
def _ways(
    key: str, asked: tuple[str, ...], register: Register, widest: int, first: _Place, notes: int, ends_home: bool
) -> tuple[tuple[tuple[_Place, ...], ...], ...] | None:
    """Return, for each note but the last, where each place may go so that the pattern can be finished; None for nowhere.

    Row r holds, for the places in order, those to which note r may go on.
    """
    places = [place for place in _places(key, asked, register) if abs(place.chromatic - first.chromatic) <= _REACH]
    good = {place for place in places if not ends_home or place.degree == "1"}
    rows = []
    for _ in range(notes - 1):
        row = {
            place: tuple(
                other
                for other in places
                if other in good
                and other.chromatic != place.chromatic
                and abs(other.diatonic - place.diatonic) <= widest
            )
            for place in places
        }
        rows.append(tuple(row[place] for place in places))
        good = {place for place in places if row[place]}
    return tuple(rows[::-1]) if first in good else None


@lru_cache(maxsize=2048)
def _starts(
    key: str, asked: tuple[str, ...], register: Register, widest: int, start: str, notes: int, ends_home: bool
) -> tuple[_Place, ...]:
    degrees = _START_DEGREES.get(start, asked)
    return tuple(
        place
        for place in _places(key, asked, register)
        if place.degree in degrees and _ways(key, asked, register, widest, place, notes, ends_home) is not None
    )


def _starts_in(settings: CompleteSettings, key: str, register: Register) -> tuple[_Place, ...]:
    return _starts(
        key,
        tuple(settings["asked"]),
        register,
        settings["widest"],
        settings["start"],
        settings["notes"],
        settings["ends_home"],
    )


@lru_cache(maxsize=512)
def check_patterns(settings: CompleteSettings, register: Register) -> None:
    """Raise unless a pattern can be made in every key.

    Raises
    ------
    ExerciseError
        None can.
    """
    for key in keys_of(settings):
        if not _starts_in(settings, key, register):
            raise ExerciseError(
                f"asked {settings['asked']}: no pattern of {settings['notes']} notes in {key} begins and ends so with leaps of "
                f"at most {settings['widest']} steps; ask for more degrees, or allow wider leaps"
            )


def pattern_of(question: Question, register: Register) -> Pattern:
    """Return the pattern of an item: keys in turn, the notes by chance."""
    settings = question.settings
    keys = keys_of(settings)
    key = keys[turn_of(question, keys)]
    draw = question.draw()
    asked = tuple(settings["asked"])
    line = [draw.choice(_starts_in(settings, key, register))]
    ways = _ways(key, asked, register, settings["widest"], line[0], settings["notes"], settings["ends_home"])
    assert ways is not None
    places = [place for place in _places(key, asked, register) if abs(place.chromatic - line[0].chromatic) <= _REACH]
    for row in ways:
        line.append(_next(draw, line, row[places.index(line[-1])]))
    return Pattern(key, tuple(place.degree for place in line), tuple(place.pitch for place in line))


def _next(draw: Draw, line: list[_Place], options: tuple[_Place, ...]) -> _Place:
    """Return where a pattern goes: not back and forth between two notes where that can be avoided, half the time by step."""
    before = line[-2] if len(line) > 1 else None
    fresh = [place for place in options if place != before] or list(options)
    steps = [place for place in fresh if abs(place.diatonic - line[-1].diatonic) <= 1]
    return draw.choice(steps if steps and draw.integer(_STEPS_OF) == 0 else fresh)


@lru_cache(maxsize=256)
def other_key(key: str) -> str:
    """Return a key of the same mode a whole step away, with the fewer sharps or flats.

    Examples
    --------
    >>> other_key("C major"), other_key("Eb major"), other_key("F# minor")
    ('D major', 'F major', 'E minor')
    """
    home = key_named(key)
    name = min((home.tonic.up("M2"), home.tonic.down("M2")), key=lambda tonic: abs(_fifths(tonic.name, home.mode)))
    return f"{name.name} {home.mode}"


def _fifths(tonic: str, mode: str) -> int:
    return key_named(f"{tonic} {mode}").fifths


@lru_cache(maxsize=2048)
def in_other_key(pitches: tuple[str, ...], key: str) -> tuple[str, ...]:
    """Return pitches in `other_key`.

    Examples
    --------
    >>> in_other_key(("G4", "E4"), "C major")
    ('A4', 'F#4')
    """
    is_up = Pitch.from_name(key_named(other_key(key)).tonic, 4).chromatic % 12 == (
        (Pitch.from_name(key_named(key).tonic, 4).chromatic + 2) % 12
    )
    return tuple((Pitch(name).up("M2") if is_up else Pitch(name).down("M2")).name for name in pitches)
