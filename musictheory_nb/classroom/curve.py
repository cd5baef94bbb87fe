"""Curves: a change of all marks of a class by one rule. Percent to percent, never out of order.

``add`` adds points; ``top`` multiplies so that the best mark of the class becomes ``to_top``; ``linear`` maps two marks to
two others and draws a line through them; ``square root`` takes ten times the square root of the percentage. Common
practice of teachers, no source.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.policy_section import Section, is_number, is_one_of, words_of
from musictheory_nb.errors import PolicyError
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

KINDS: Final = MappingProxyType(
    {
        "none": "no curve",
        "add": "adds points",
        "top": "scales so that the best mark becomes to_top",
        "linear": "maps two marks to two others, and all others on the line through them",
        "square root": "ten times the square root of the percentage",
    }
)


def _pair(value: JSON) -> bool:
    check = is_number(0, 100)
    return isinstance(value, list | tuple) and len(value) == 2 and all(map(check, value)) and value[0] < value[1]


_PAIR_WORDS: Final = "two numbers from 0 to 100, the lower first, as [40, 80]"

SECTION: Final = Section(
    "curve",
    "A change of the marks of all who answered something, before lateness is taken off.",
    (
        Setting("kind", "none", "Which curve.", words_of(KINDS), is_one_of(*KINDS)),
        Setting("add", 0, "With 'add': percentage points.", "0 to 100", is_number(0, 100)),
        Setting("to_top", 100, "With 'top': what the best mark becomes, in percent.", "1 to 100", is_number(1, 100)),
        Setting("from", (0, 100), "With 'linear': the two marks, in percent.", _PAIR_WORDS, _pair),
        Setting("to", (0, 100), "With 'linear': what they become, in percent.", _PAIR_WORDS, _pair),
        Setting("most", 100, "No mark is curved above this, in percent.", "1 to 200", is_number(1, 200)),
    ),
)


@dataclass(frozen=True, slots=True)
class Curve:
    """A curve; see `SECTION`."""

    kind: str = "none"
    add: float = 0.0
    to_top: float = 100.0
    given: tuple[float, float] = (0.0, 100.0)
    to: tuple[float, float] = (0.0, 100.0)
    most: float = 100.0

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "Curve":
        """Return the curve that checked settings state."""
        given = {name: value for name, value in settings.items() if name not in ("from", "to")}
        return cls(**given, given=tuple(settings["from"]), to=tuple(settings["to"]))


def curved(curve: Curve, percent: float, top: float) -> float:
    """Return a mark after the curve, in percent.

    Parameters
    ----------
    curve : Curve
        Which one.
    percent : float
        The mark, 0 to 100.
    top : float
        The best mark of the class; a class whose best mark is 0 is not scaled.

    Raises
    ------
    PolicyError
        The mark is no percentage.

    Examples
    --------
    >>> curved(Curve("square root"), 64, 80), curved(Curve("top"), 64, 80), curved(Curve("add", add=7), 64, 80)
    (80.0, 80.0, 71.0)
    >>> curved(Curve("linear", given=(40, 80), to=(50, 90)), 60, 80)
    70.0
    >>> curved(Curve(), 640, 80)
    Traceback (most recent call last):
    musictheory_nb.errors.PolicyError: mark 640: percent go from 0 to 100
    """
    if not 0 <= percent <= 100:
        raise PolicyError(f"mark {percent!r}: percent go from 0 to 100")
    if curve.kind == "none":
        return percent
    if curve.kind == "add":
        found = percent + curve.add
    elif curve.kind == "top":
        found = percent * curve.to_top / top if top > 0 else percent
    elif curve.kind == "linear":
        (low, high), (new_low, new_high) = curve.given, curve.to
        found = new_low + (percent - low) * (new_high - new_low) / (high - low)
    else:
        found = 10 * math.sqrt(percent)
    # A curve does not take what its limit would: a mark above the limit stays.
    return float(max(0.0, min(found, max(curve.most, percent))))


def curve_words(curve: Curve, top: float) -> str:
    """Return the curve in words that a student reads."""
    if curve.kind == "add":
        return f"curve: {number_text(curve.add)} percentage points added"
    if curve.kind == "top":
        return f"curve: scaled so that the best mark, {number_text(top)} %, becomes {number_text(curve.to_top)} %"
    if curve.kind == "linear":
        pairs = zip(curve.given, curve.to, strict=True)
        return "curve: " + " and ".join(f"{number_text(a)} % becomes {number_text(b)} %" for a, b in pairs)
    return "curve: ten times the square root of the percentage"
