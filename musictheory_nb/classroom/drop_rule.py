"""Items that are dropped from the mark: named ones, and each student's lowest."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.policy_section import ByName, Section, is_count, is_one_of, words_of
from musictheory_nb.practice.exercise import MAX_COUNT, is_slug
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

COUNTS: Final = MappingProxyType(
    {"left out": "as if it had not been asked", "full": "as if everybody had answered it rightly"}
)
_ITEM: Final = re.compile(r"(\S+) +(?:item +)?(\d{1,3})", re.ASCII)
_ITEMS_WORDS: Final = "a list of exercise id and item number from 1, as ['hear-tritones 3']"


def item_named(text: JSON) -> tuple[str, int] | None:
    """Return exercise and item index (from 0) that a text names; None where it names none.

    Examples
    --------
    >>> item_named("hear-tritones 3"), item_named("hear-tritones")
    (('hear-tritones', 2), None)
    """
    match = _ITEM.fullmatch(text.strip()) if isinstance(text, str) else None
    if match is None or not is_slug(match[1]) or not 1 <= int(match[2]) <= MAX_COUNT:
        return None
    return match[1], int(match[2]) - 1


def _are_items(value: JSON) -> bool:
    return isinstance(value, list | tuple) and all(item_named(one) is not None for one in value)


SECTION: Final = Section(
    "dropped",
    "Items that do not count.",
    (
        Setting("items", (), "Items dropped for everybody.", _ITEMS_WORDS, _are_items),
        Setting("counts", "left out", "What becomes of the dropped items of `items`.", words_of(COUNTS), is_one_of(*COUNTS)),
    ),
    (
        ByName(
            "lowest", "exercise", "How many of a student's lowest items of an exercise are left out.",
            f"1 to {MAX_COUNT - 1}", is_count(1, MAX_COUNT - 1), "hear-tritones = 1",
        ),
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class DropRule:
    """The rule on dropped items; see `SECTION`. `items` are (exercise, index from 0)."""

    items: tuple[tuple[str, int], ...] = ()
    counts: str = "left out"
    lowest: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "DropRule":
        """Return the rule that checked settings state."""
        items = dict.fromkeys(named for text in settings["items"] if (named := item_named(text)) is not None)
        return cls(tuple(items), settings["counts"], MappingProxyType(settings["lowest"]))


@dataclass(frozen=True, slots=True)
class Dropped:
    """One exercise without its dropped items.

    Parameters
    ----------
    scores : tuple of float
        Those that count.
    places : tuple of (int or None)
        Which item each of them is of (from 0); None where it counts as right whatever was answered.
    words : str
        What was dropped; empty for nothing.
    """

    scores: tuple[float, ...]
    places: tuple[int | None, ...]
    words: str = ""


def after_dropping(
    rule: DropRule, exercise: str, scores: Sequence[float | None], awaits: Sequence[int] = ()
) -> Dropped:
    """Return the scores that count; an item without an answer counts 0, and is among the lowest.

    Items that await a teacher's mark (`awaits`, from 0) are left out.

    Examples
    --------
    >>> after_dropping(DropRule(lowest={"first": 1}), "first", (1.0, None, 0.5))
    Dropped(scores=(1.0, 0.5), places=(0, 2), words='lowest 1 of first: item 2')
    >>> after_dropping(DropRule((("first", 1),), "full"), "first", (1.0, None, 0.5)).scores
    (1.0, 1.0, 0.5)
    """
    kept = {at: score or 0.0 for at, score in enumerate(scores) if score is None or at not in awaits}
    named = [at for id, at in rule.items if id == exercise and at in kept]
    told = []
    for at in named:
        if rule.counts == "full":
            kept[at] = 1.0
        else:
            del kept[at]
    if named:
        way = "counts as right" if rule.counts == "full" else "left out"
        told.append(f"{exercise} {_items(named)} {way}")
    # With nothing left but the lowest, the exercise keeps one item.
    count = min(rule.lowest.get(exercise, 0), len(kept) - 1)
    if count > 0:
        lowest = sorted(kept, key=lambda at: (kept[at], at))[:count]
        for at in lowest:
            del kept[at]
        told.append(f"lowest {count} of {exercise}: {_items(sorted(lowest))}")
    given = named if rule.counts == "full" else ()
    return Dropped(tuple(kept.values()), tuple(None if at in given else at for at in kept), "; ".join(told))


def _items(indices: Sequence[int]) -> str:
    numbers = ", ".join(str(at + 1) for at in indices)
    return f"item {numbers}" if len(indices) == 1 else f"items {numbers}"
