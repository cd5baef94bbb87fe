"""Pairs of notes to read or to write, drawn by rule or listed by the teacher, each once before any comes again."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, PitchError
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.family import Question, Setting
from musictheory_nb.practice.interval_choice import INTERVALS, SIMPLE
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.spelled_pair import SpelledPair, pairs_in_register
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.visiting_order import order_without_repeats, visiting_order
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

_LISTED: Final = "a list of different pairs of pitches, as ['B3 F4', 'Eb4 C4'], or [] for pairs drawn by rule"


@lru_cache(maxsize=1024)
def _read(text: str) -> tuple[Pitch, Pitch] | None:
    try:
        first, second = (Pitch(one) for one in text.split())
    except (PitchError, ValueError):
        return None
    between = Interval.between(first, second)
    return (first, second) if str(between.as_ascending) in INTERVALS and min(first.midi, second.midi) > 0 else None


def _are_pairs(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and all(isinstance(one, str) and _read(one) is not None for one in value)
        and len(set(value)) == len(value)
    )


def intervals_setting(meaning: str) -> Setting:
    """Return the setting of the intervals that are asked for."""
    allowed = f"a list of different intervals from {', '.join(INTERVALS)}"
    return Setting("intervals", list(SIMPLE), meaning, allowed, several_of(INTERVALS))


ITEMS: Final = Setting(
    "items",
    [],
    "Pairs of notes of your own, in place of those drawn by rule: first the one that comes first. They are written as they "
    "stand, in whatever register.",
    _LISTED,
    _are_pairs,
)


@dataclass(frozen=True, slots=True)
class IntervalCase:
    """Two notes in the order that they are met.

    Parameters
    ----------
    interval, direction : str
        Name without direction, and ``'up'``, ``'down'`` or ``'together'``.
    first, second : str
        Written pitches; together, the lower one first.
    scale : str
        Where both are found, as `spelled_pair` tells it; empty for none.
    first_degree, second_degree : int
        Their degrees in it; 0 without one.
    """

    interval: str
    direction: str
    first: str
    second: str
    scale: str = ""
    first_degree: int = 0
    second_degree: int = 0


@lru_cache(maxsize=1024)
def _listed_case(text: str, together: bool) -> IntervalCase:
    found = _read(text)
    assert found is not None  # the setting was checked
    first, second = sorted(found, key=lambda pitch: pitch.diatonic) if together else found
    between = Interval.between(first, second)
    name = str(between.as_ascending)
    way = "together" if together else "up" if between.direction >= 0 else "down"
    low, high = (second, first) if way == "down" else (first, second)
    known = next(
        (
            pair
            for pair in pairs_in_register(name, low.midi, high.midi)
            if (pair.low, pair.high) == (low.name, high.name)
        ),
        None,
    )
    if known is None:
        return IntervalCase(name, way, first.name, second.name)
    degrees = (known.high_degree, known.low_degree) if way == "down" else (known.low_degree, known.high_degree)
    return IntervalCase(name, way, first.name, second.name, known.scale, *degrees)


@lru_cache(maxsize=2048)
def _order(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    names: tuple[str, ...],
    directions: tuple[str, ...],
    register: Register,
) -> tuple[IntervalCase, ...]:
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    pools = [fitting_pairs(name, register) for name in names]
    order = order_without_repeats(
        draw, [Interval(name).semitones for name in names], [len(one) for one in pools], count
    )
    ways: list[str] = []
    while len(ways) < count:
        ways += draw.shuffled(directions)
    cases = []
    for (kind, at), way in zip(order, ways, strict=False):
        pair = pools[kind][at]
        if way == "down":
            cases.append(
                IntervalCase(names[kind], way, pair.high, pair.low, pair.scale, pair.high_degree, pair.low_degree)
            )
        else:
            cases.append(
                IntervalCase(names[kind], way, pair.low, pair.high, pair.scale, pair.low_degree, pair.high_degree)
            )
    return tuple(cases)


@lru_cache(maxsize=256)
def signature_of(scale: str) -> int:
    """Return the sharps (flats below 0) in the signature of a scale of `spelled_pair`; 0 for none.

    Examples
    --------
    >>> signature_of("E♭ major"), signature_of("F harmonic minor"), signature_of("")
    (-3, -4, 0)
    """
    if not scale:
        return 0
    tonic, _, kind = scale.partition(" ")
    return Key.of(PitchName(tonic), "minor" if "minor" in kind else "major").fifths


@lru_cache(maxsize=1024)
def fitting_pairs(name: str, register: Register) -> tuple[SpelledPair, ...]:
    """Return the pairs of `pairs_in_register`, one for each two pitches: the one of the key with the fewest accidentals."""
    found: dict[tuple[str, str], SpelledPair] = {}
    for pair in pairs_in_register(name, register.low_midi, register.high_midi):
        known = found.get((pair.low, pair.high))
        if known is None or abs(signature_of(pair.scale)) < abs(signature_of(known.scale)):
            found[pair.low, pair.high] = pair
    return tuple(found.values())


def case_of(question: Question, register: Register) -> IntervalCase:
    """Return the two notes of an item."""
    settings = question.settings
    directions = tuple(settings["directions"])
    if listed := settings["items"]:
        order = _listed_order(
            question.lesson, question.exercise, question.version, question.seed, question.count, len(listed)
        )
        return _listed_case(listed[order[question.index]], directions == ("together",))
    return _order(
        question.lesson,
        question.exercise,
        question.version,
        question.seed,
        question.count,
        tuple(settings["intervals"]),
        directions,
        register,
    )[question.index]


@lru_cache(maxsize=1024)
def _listed_order(lesson: str, exercise: str, version: int, seed: int, count: int, size: int) -> tuple[int, ...]:
    return visiting_order(Draw(lesson, exercise, version, seed, WHOLE_EXERCISE), range(size), count)


def check_pool(settings: Mapping[str, JSON], register: Register) -> None:
    """Raise unless every interval that can be asked for fits between the lowest and the highest note.

    Raises
    ------
    ExerciseError
        One does not, or a unison is asked for as two notes together.
    """
    if settings["items"]:
        return
    for name in settings["intervals"]:
        if not fitting_pairs(name, register):
            raise ExerciseError(
                f"low {settings['low']!r} and high {settings['high']!r} in the {register.clef} clef: no "
                f"{Interval(name).name} fits between them; widen the register or leave out {name!r}"
            )
