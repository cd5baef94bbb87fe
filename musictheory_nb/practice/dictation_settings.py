"""Settings that the families of dictation share: metres, level, length, tempo, what slips cost."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Final

from musictheory_nb.practice.aligned_distance import SlipCosts
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.metre_beat import beat_quarters
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.rhythm_figure import LEVELS, METRES
from musictheory_nb.practice.setting_check import is_switch, several_of, whole_number

#: Tempos of a dictation in beats a minute.
SLOWEST, FASTEST = 40, 120

LEVEL_WORDS: Final = "; ".join(f"{level}: {words}" for level, words in LEVELS.items())


def metres_setting(default: tuple[str, ...], metres: tuple[str, ...] = METRES) -> Setting:
    """Return the setting of the metres that are drawn."""
    allowed = f"a list of different metres from {', '.join(metres)}"
    return Setting(
        "metres", list(default), "The metres; each comes once before any comes again.", allowed, several_of(metres)
    )


def measures_setting(default: int) -> Setting:
    """Return the setting of the length."""
    return Setting(
        "measures", default, "How many measures are dictated.", "a whole number from 1 to 8", whole_number(1, 8)
    )


def rhythm_level_setting(default: int) -> Setting:
    """Return the setting of the rhythmic level."""
    return Setting(
        "level", default, f"Which rhythms there are, each level with those before it. {LEVEL_WORDS}.",
        f"a whole number from 1 to {max(LEVELS)}", whole_number(1, max(LEVELS)),
    )  # fmt: skip


RESTS: Final = Setting("rests", False, "Whether there are rests.", "True or False", is_switch)
TIES: Final = Setting(
    "ties", False, "Whether notes are tied from beat to beat and over barlines.", "True or False", is_switch
)
TEMPO: Final = Setting(
    "tempo",
    72,
    "Beats a minute, dotted ones in compound metres; quarters a minute in odd metres of eighths.",
    f"a whole number from {SLOWEST} to {FASTEST}",
    whole_number(SLOWEST, FASTEST),
)


def _is_cost(value: JSON) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0 < value <= 2


def cost_setting(name: str, what: str) -> Setting:
    """Return the setting of what a kind of slip costs."""
    return Setting(name, 1, f"What {what} costs, in slips.", "a number above 0, at most 2", _is_cost)


PITCH_COST: Final = cost_setting("pitch_cost", "a note of the wrong pitch")
LENGTH_COST: Final = cost_setting("length_cost", "a note of the wrong length, or one that begins too early or late,")
#: What earns what, for the docstrings.
CREDIT: Final = (
    ("every note and rest right", "1"),
    ("a note or rest missing; its time may have gone to its neighbour", "less 1/n"),
    ("a note or rest too many; it may have taken its time from its neighbour", "less 1/n"),
    ("a note of the wrong length, or that begins too early or late", "less ``length_cost``/n"),
)
PITCH_CREDIT: Final = (
    ("a note of the wrong pitch", "less ``pitch_cost``/n"),
    ("a note that sounds right and is spelled otherwise; in full with ``enharmonic``", "half of that"),
    ("all of it an octave too high or too low", "less 1/n, once"),
)


def quarters_a_minute(metre: str, tempo: int) -> Fraction:
    """Return a tempo in quarters a minute: odd metres of eighths are counted in quarters, others in their beats.

    Examples
    --------
    >>> [str(quarters_a_minute(metre, 60)) for metre in ("4/4", "6/8", "7/8", "2/2")]
    ['60', '90', '60', '120']
    """
    return tempo * max(Fraction(1), beat_quarters(metre))


def costs_of(key: Mapping[str, JSON]) -> SlipCosts:
    """Return what slips cost by an item's key; 1 where it says nothing."""
    return SlipCosts(float(key.get("pitch_cost", 1)), float(key.get("length_cost", 1)))
