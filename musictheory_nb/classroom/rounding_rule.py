"""Rounding of a mark, and the pass mark."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.policy_section import Section, is_number, is_one_of, words_of
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

WAYS: Final = MappingProxyType(
    {
        "half up": "to the nearest step, halves up",
        "half even": "to the nearest step, halves to the even one",
        "up": "to the next step up",
        "down": "to the next step down",
    }
)
UNITS: Final = MappingProxyType({"percent": "the percentage", "points": "the points"})
#: Differences below this, in steps, come from how a computer adds: 0.1 + 0.2 is no more than 0.3.
_NOISE: Final = 1e-9

SECTION: Final = Section(
    "rounding",
    "How the final mark is rounded.",
    (
        Setting("to", 0, "Step to which it is rounded.", "0 (no rounding) to 50, as 1, 0.5 or 0.25", is_number(0, 50)),
        Setting("unit", "percent", "What is rounded.", words_of(UNITS), is_one_of(*UNITS)),
        Setting("way", "half up", "How.", words_of(WAYS), is_one_of(*WAYS)),
    ),
)

PASS_SECTION: Final = Section(
    "pass",
    "The pass mark.",
    (
        Setting(
            "percent",
            0,
            "Percent from which work is passed, after rounding; 0 for no pass mark.",
            "0 to 100",
            is_number(0, 100),
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class RoundingRule:
    """The rule on rounding; see `SECTION`."""

    to: float = 0.0
    unit: str = "percent"
    way: str = "half up"

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "RoundingRule":
        """Return the rule that checked settings state."""
        return cls(**settings)


def rounded(value: float, step: float, way: str = "half up") -> float:
    """Return `value` as a whole number of steps; a step of 0 leaves it as it is.

    Examples
    --------
    >>> [rounded(62.5, 1, way) for way in ("half up", "half even", "up", "down")]
    [63.0, 62.0, 63.0, 62.0]
    >>> rounded(0.1 + 0.2, 0.1, "up")
    0.3
    """
    if not step:
        return value
    steps = value / step
    if abs(steps - round(steps)) < _NOISE:
        count = round(steps)
    elif way == "up":
        count = math.ceil(steps)
    elif way == "down":
        count = math.floor(steps)
    elif abs(steps - math.floor(steps) - 0.5) < _NOISE:
        count = math.floor(steps)
        count += 1 if way == "half up" or count % 2 else 0
    else:
        count = round(steps)
    return float(round(count * step, 9))


def is_passed(percent: float, pass_percent: float) -> bool:
    """Return whether a mark reaches the pass mark.

    Examples
    --------
    >>> is_passed(59.99, 60), is_passed(100 * 0.6, 60)
    (False, True)
    """
    return percent >= pass_percent - _NOISE
