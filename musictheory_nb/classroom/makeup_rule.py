"""Make-up work: a second piece of work by which a student may better a mark."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.policy_effect import percent_words
from musictheory_nb.classroom.policy_section import Section, is_number, is_one_of, words_of
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

COUNTS: Final = MappingProxyType(
    {
        "best": "the better of the two marks",
        "last": "the make-up work, better or not",
        "mean": "the mean of the two, where that is better",
    }
)

SECTION: Final = Section(
    "makeup",
    "What make-up work does to the mark of the first.",
    (
        Setting("counts", "best", "Which mark counts.", words_of(COUNTS), is_one_of(*COUNTS)),
        Setting(
            "most",
            100,
            "Most that make-up work is worth, in percent; a better first mark stays.",
            "0 to 100",
            is_number(0, 100),
        ),
    ),
)


@dataclass(frozen=True, slots=True)
class MakeupRule:
    """The rule on make-up work; see `SECTION`."""

    counts: str = "best"
    most: float = 100.0

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "MakeupRule":
        """Return the rule that checked settings state."""
        return cls(**settings)


def with_makeup(rule: MakeupRule, first: float, makeup: float) -> float:
    """Return the mark of both together, in percent.

    Examples
    --------
    >>> [with_makeup(MakeupRule(counts), 40, 90) for counts in ("best", "last", "mean")]
    [90, 90, 65.0]
    >>> with_makeup(MakeupRule("best", most=70), 40, 90), with_makeup(MakeupRule("best", most=70), 80, 90)
    (70, 80)
    """
    worth = min(makeup, rule.most)
    if rule.counts == "last":
        return worth
    return max(first, worth if rule.counts == "best" else (first + worth) / 2)


def makeup_words(rule: MakeupRule, makeup: float) -> str:
    """Return the rule in words that a student reads."""
    worth = percent_words(min(makeup, rule.most))
    limit = f", counted as {worth}" if makeup > rule.most else ""
    return f"make-up work: {percent_words(makeup)}{limit}; {COUNTS[rule.counts]} counts"
