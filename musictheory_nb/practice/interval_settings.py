"""What a teacher sets of an interval exercise: the table, what goes together, and what follows from it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, PitchError
from musictheory_nb.practice.display_settings import (
    AUTO,
    CLEF,
    DEGREES,
    NAMING,
    PARTIAL,
    TIMBRE,
    TRANSPOSITION,
    Display,
    clef_for,
)
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.interval_choice import INTERVALS, SIMPLE, IntervalChoice, interval_choices
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.response import ChoiceInput
from musictheory_nb.practice.setting_check import one_of, several_of
from musictheory_nb.practice.spelled_pair import pairs_in_register
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.spelling import spell_midi

#: How two notes may follow each other.
DIRECTIONS: Final = ("up", "down", "together")
#: What may be given before the answer.
PRESENTATIONS: Final = ("sound", "notation", "both")
#: How an interval may be answered.
INPUTS: Final = ("buttons", "keys")
#: Lowest and highest note of a register, C1 and C7: an answer may lie two octaves beyond.
LOWEST_MIDI: Final = 24
HIGHEST_MIDI: Final = 96


@lru_cache(maxsize=256)
def _midi(text: str) -> int:
    return Pitch(text).midi


def _is_limit(value: JSON) -> bool:
    try:
        return isinstance(value, str) and LOWEST_MIDI <= _midi(value) <= HIGHEST_MIDI
    except PitchError:
        return False


_LIMIT: Final = f"a pitch from {spell_midi(LOWEST_MIDI).name} to {spell_midi(HIGHEST_MIDI).name}, such as 'G3'"
SETTINGS: Final = (
    Setting(
        "intervals",
        list(SIMPLE),
        "The intervals that are asked for; they are the answers to choose from, too.",
        f"a list of different intervals from {', '.join(INTERVALS)}",
        several_of(INTERVALS),
    ),
    Setting(
        "directions",
        list(DIRECTIONS),
        "How the two notes follow: the second one higher, lower, or both at once.",
        f"a list of at least one of {', '.join(map(repr, DIRECTIONS))}",
        several_of(DIRECTIONS),
    ),
    Setting("low", "G3", "The lowest note that is drawn; without effect on notes of an excerpt.", _LIMIT, _is_limit),
    Setting("high", "E5", "The highest note that is drawn; without effect on notes of an excerpt.", _LIMIT, _is_limit),
    Setting(
        "present",
        "sound",
        "What is given: the sound, the notation (which needs no hearing), or both. Where the notes are seen before the "
        "answer, spelling counts.",
        ", ".join(map(repr, PRESENTATIONS)),
        one_of(PRESENTATIONS),
    ),
    Setting(
        "inputs",
        list(INPUTS),
        "How it is answered: by name, or on piano keys. Keys are offered only where the notes are heard and not seen.",
        f"a list of at least one of {', '.join(map(repr, INPUTS))}",
        several_of(INPUTS),
    ),
    Setting(
        "excerpt",
        "",
        "A piece from whose measures neighbouring notes are drawn, or notes that sound together in one part. A measure "
        "or two are heard, then the two notes alone.",
        "the name of an excerpt frozen into the lesson, or '' for notes drawn by rule",
        lambda value: isinstance(value, str),
    ),
    CLEF,
    TIMBRE,
    PARTIAL,
    *NAMING,
    DEGREES,
    replace(
        TRANSPOSITION,
        meaning=f"{TRANSPOSITION.meaning} Without effect on notes of an excerpt, whose parts have their own.",
    ),
)


@dataclass(frozen=True)
class IntervalPlan:
    """What the settings say, worked out once.

    Parameters
    ----------
    names, directions : tuple of str
        As the teacher gives them.
    low_midi, high_midi : int
        The register, as MIDI numbers.
    heard, seen : bool
        Whether the notes sound, and whether they are seen, before the answer.
    choices : tuple of IntervalChoice
        The answers by name.
    buttons : ChoiceInput or None
        The choice itself, if it is offered.
    keys : bool
        Whether the piano is offered.
    clef : str
        Of notes drawn by rule.
    display : Display
        How notes are named and written.
    """

    names: tuple[str, ...]
    directions: tuple[str, ...]
    low_midi: int
    high_midi: int
    heard: bool
    seen: bool
    choices: tuple[IntervalChoice, ...]
    buttons: ChoiceInput | None
    keys: bool
    clef: str
    display: Display


@lru_cache(maxsize=512)
def _plan(
    names: tuple[str, ...],
    directions: tuple[str, ...],
    low: str,
    high: str,
    present: str,
    inputs: tuple[str, ...],
    clef: str,
    display: Display,
) -> IntervalPlan:
    seen = present != "sound"
    choices = interval_choices(names, not seen)
    low_midi, high_midi = _midi(low), _midi(high)
    return IntervalPlan(
        names,
        directions,
        low_midi,
        high_midi,
        present != "notation",
        seen,
        choices,
        ChoiceInput(tuple(choice.option for choice in choices)) if "buttons" in inputs else None,
        "keys" in inputs and not seen,
        clef_for(display.transposition, low_midi, high_midi) if clef == AUTO else clef,
        display,
    )


def plan_of(settings: Mapping[str, JSON]) -> IntervalPlan:
    """Return what complete settings say."""
    return _plan(
        tuple(settings["intervals"]),
        tuple(settings["directions"]),
        settings["low"],
        settings["high"],
        settings["present"],
        tuple(settings["inputs"]),
        settings["clef"],
        Display.of(settings),
    )


def check_plan(settings: Mapping[str, JSON]) -> None:
    """Raise unless complete settings go together.

    Raises
    ------
    ExerciseError
        They do not; the message says what to change.
    """
    plan = plan_of(settings)
    if plan.buttons is None and not plan.keys:
        raise ExerciseError("inputs ['keys']: where the notes are seen they are named; write inputs ['buttons']")
    if plan.buttons is not None and len(plan.choices) < 2:
        told = "that can be told apart by ear, " if not plan.seen else ""
        raise ExerciseError(
            f"intervals {settings['intervals']}: give at least two {told}so that there is something to choose"
        )
    if "P1" in plan.names and "together" in plan.directions:
        raise ExerciseError("intervals: a unison cannot be heard together; leave out 'P1' or 'together'")
    if settings["excerpt"]:
        return
    for name in plan.names:
        if not pairs_in_register(name, plan.low_midi, plan.high_midi):
            raise ExerciseError(
                f"low {settings['low']!r} and high {settings['high']!r}: no {Interval(name).name} fits between "
                "them; widen the register"
            )
