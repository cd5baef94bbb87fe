"""What a teacher sets of a scale-over-chord exercise, and which chords its items get."""

from collections.abc import Mapping
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.chord_scale_facts import chord_scale_facts
from musictheory_nb.practice.display_settings import NAMING, TIMBRE
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import one_of, whole_number
from musictheory_nb.practice.visiting_order import visiting_order
from musictheory_nb.theory.pitch_name import PitchName

#: Chords of each level: what stands behind the root, and where the root lies above the tonic of a major key ('' for no
#: key, so that the chord stands for itself).
LEVELS: Final[Mapping[str, tuple[tuple[str, str], ...]]] = MappingProxyType(
    {
        "modes": (
            ("maj7", "P1"), ("m7", "M2"), ("m7", "M3"), ("maj7", "P4"), ("7", "P5"), ("m7", "M6"), ("m7b5", "M7"),
        ),
        "dominants": (
            ("7", ""), ("7#11", ""), ("7(b9)", ""), ("13(b9)", ""), ("9(b13)", ""), ("7sus4(b9)", ""), ("7#5", ""),
        ),
        "altered": (
            ("7alt", ""), ("7(b9,b13)", ""), ("13(b9)", ""), ("7#5", ""), ("7#11", ""), ("maj7#11", ""), ("m(maj7)", ""),
        ),
    }
)  # fmt: skip
#: Roots, or tonics of keys, with few enough accidentals.
ROOTS: Final = ("C", "Db", "D", "Eb", "E", "F", "G", "Ab", "A", "Bb")
#: The steps of an item, each with its share of the score where all are asked.
STEPS: Final[Mapping[str, float]] = MappingProxyType({"scales": 0.5, "avoid": 0.25, "why": 0.25})
#: What an answer that would be right for another fitting scale, marked as well, is worth in the last two steps.
OTHER_SCALE_CREDIT: Final = 0.5
#: How many scales there are to choose from.
FEWEST_OFFERED: Final = 3
MOST_OFFERED: Final = 8
#: At most so many of the scales offered fit.
MOST_FITTING: Final = 3


def _are_chords(value: JSON) -> bool:
    return isinstance(value, list) and all(isinstance(one, str) for one in value) and len(set(value)) == len(value)


def _are_roots(value: JSON) -> bool:
    if not isinstance(value, list) or not value or len(set(map(str, value))) != len(value):
        return False
    try:
        return all(isinstance(one, str) and abs(PitchName(one).alter) <= 1 for one in value)
    except TheoryError:
        return False


SETTINGS: Final = (
    Setting(
        "level",
        "modes",
        "Which chords are asked: 'modes' takes the seventh chords on every degree of a major key, each in its key; "
        + "; ".join(
            f"{level!r} {' '.join(suffix for suffix, _ in rows)}" for level, rows in LEVELS.items() if not rows[0][1]
        )
        + ".",
        ", ".join(map(repr, LEVELS)),
        one_of(tuple(LEVELS)),
    ),
    Setting(
        "roots",
        list(ROOTS),
        "The roots on which the chords of the level stand; for 'modes' the tonics of the keys.",
        "a list of different pitch names with at most one accidental, as ['C', 'Eb']",
        _are_roots,
    ),
    Setting(
        "chords",
        [],
        "Chords to ask instead of those of the level.",
        "a list of different chord symbols for which scales are taught, each with its key if you wish, as "
        "['G7alt', 'Em7 in C major']; [] for the level's",
        _are_chords,
    ),
    Setting(
        "offered",
        5,
        f"How many scales there are to choose from; one to {MOST_FITTING} of them fit.",
        f"a whole number from {FEWEST_OFFERED} to {MOST_OFFERED}",
        whole_number(FEWEST_OFFERED, MOST_OFFERED),
    ),
    Setting(
        "ask",
        list(STEPS),
        "Which steps an item has: the scales that fit, the notes to avoid, the reason. Where teachers differ about the "
        "notes to avoid, only the first is asked.",
        "['scales'], ['scales', 'avoid'] or ['scales', 'avoid', 'why']",
        lambda value: isinstance(value, list) and bool(value) and value == list(STEPS)[: len(value)],
    ),
    TIMBRE,
    *NAMING,
)


@lru_cache(maxsize=1024)
def _on_root(root: str, suffix: str, above_tonic: str) -> str:
    """Return the chord as `chord_scale_facts` reads it; with `above_tonic`, `root` is the tonic of its key."""
    if not above_tonic:
        return root + suffix
    return f"{PitchName(root).up(above_tonic).name}{suffix} in {root} major"


@lru_cache(maxsize=2048)
def order_of_chords(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    chords: tuple[str, ...],
    level: str,
    roots: tuple[str, ...],
) -> tuple[str, ...]:
    """Return the chord of every item: each chord, or each kind of chord and each root, once a round."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    if chords:
        return tuple(chords[place] for place in visiting_order(draw, chords, count))
    rows = LEVELS[level]
    kinds, places = visiting_order(draw, rows, count), visiting_order(draw, roots, count)
    return tuple(_on_root(roots[place], *rows[kind]) for kind, place in zip(kinds, places, strict=True))


def check_chords(settings: Mapping[str, JSON]) -> None:
    """Raise unless every chord that complete settings can ask for has scales that fit, and enough that do not.

    Raises
    ------
    ExerciseError
        A chord cannot be read, or has too few.
    """
    own, offered = settings["chords"], settings["offered"]
    asked = own or [_on_root(root, *row) for root in settings["roots"] for row in LEVELS[settings["level"]]]
    for text in asked:
        try:
            facts = chord_scale_facts(text)
        except TheoryError as error:
            raise ExerciseError(f"{'chords' if own else 'roots'}: {error}") from None
        if len(facts.lacking) < offered - 1:
            raise ExerciseError(
                f"offered {offered}: only {len(facts.lacking)} scales do not fit {text}; offer fewer, or ask a chord "
                "with more tones"
            )
