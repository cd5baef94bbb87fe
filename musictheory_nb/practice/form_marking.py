"""How one part of a step in a guide through a form is marked: measures, a number, a choice, several choices."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.section_verdict import SectionRule, sections_verdict

#: What is near what among single choices, and earns half.
NEAR: Final = (
    frozenset({"perfect authentic", "imperfect authentic"}),
    frozenset({"perfect authentic", "authentic"}),
    frozenset({"imperfect authentic", "authentic"}),
    frozenset({"imperfect authentic", "leading-tone"}),
    frozenset({"half", "Phrygian half"}),
    frozenset({"deceptive", "evaded"}),
    frozenset({"binary", "rounded binary"}),
    frozenset({"ternary", "rounded binary"}),
    frozenset({"ternary", "minuet and trio"}),
)
NEAR_SCORE: Final = 0.5
CREDIT: Final = (
    ("sections", "as section marking: boundaries within `tolerance`, letters by `label_weight`", "0 to 1"),
    ("measures", "F measure of the measures marked against those that are right", "0 to 1"),
    ("a number", "the number; one measure more or less", "1.0; 0.5"),
    ("one choice", "the choice; one that is near it, such as an imperfect for a perfect cadence", "1.0; 0.5"),
    ("several choices", "(right ones chosen - wrong ones chosen) / right ones, not below 0", "0 to 1"),
)


@dataclass(frozen=True, slots=True)
class Judging:
    """What judging an answer may look at beside it: the music, the rule for sections, labels of choices."""

    excerpt: Excerpt
    rule: SectionRule
    labels: Mapping[str, str]


def _sections(context: Judging, truth: JSON, value: JSON) -> tuple[float, str]:
    rows = [[(start, label) for start, label in rows] for rows in (truth, value)]
    return sections_verdict(context.excerpt, rows[0], rows[1], context.rule)


def covered(spans: Sequence[Sequence[int]]) -> set[int]:
    """Return the indices of all measures in spans.

    Examples
    --------
    >>> sorted(covered([[0, 1], [4, 4]]))
    [0, 1, 4]
    """
    return {index for first, last in spans for index in range(first, last + 1)}


def measures_score(truth: Sequence[Sequence[int]], value: Sequence[Sequence[int]]) -> float:
    """Return the F measure of the measures in `value` against those in `truth`, both spans of indices.

    Examples
    --------
    >>> measures_score([[0, 3]], [[0, 3]]), measures_score([[0, 3]], [[0, 1]]), measures_score([[0, 3]], [[5, 5]])
    (1.0, 0.6666666666666666, 0.0)
    """
    right, marked = covered(truth), covered(value)
    return 2 * len(right & marked) / (len(right) + len(marked))


def _measures(context: Judging, truth: JSON, value: JSON) -> tuple[float, str]:
    right, marked = covered(truth), covered(value)
    number = [measure.number for measure in context.excerpt.measures]
    told = [f"{len(right & marked)} of {len(right)} {'measure' if len(right) == 1 else 'measures'} found."]
    if extra := sorted(marked - right):
        told.append(
            f"Not in {'measure' if len(extra) == 1 else 'measures'} {listed([number[at] for at in extra], 'or')}."
        )
    return measures_score(truth, value), " ".join(told)


def _number(context: Judging, truth: JSON, value: JSON) -> tuple[float, str]:
    if value == truth:
        return 1.0, f"Right: {value}."
    return (NEAR_SCORE if abs(value - truth) == 1 else 0.0), f"It is {truth}, not {value}."


def _choice(context: Judging, truth: JSON, value: JSON) -> tuple[float, str]:
    if value == truth:
        return 1.0, f"Right: {context.labels.get(value, value)}."
    near = {value, truth} in NEAR
    words = f"{context.labels.get(truth, truth)}, not {context.labels.get(value, value)}"
    return (NEAR_SCORE, f"Near: it is {words}.") if near else (0.0, f"It is {words}.")


def _many(context: Judging, truth: JSON, value: JSON) -> tuple[float, str]:
    right, chosen = set(truth), set(value)
    score = max(0.0, (len(right & chosen) - len(chosen - right)) / len(right))
    if right == chosen:
        return 1.0, "Right."
    told = [f"{len(right & chosen)} of {len(right)} found."]
    wrong = [context.labels.get(one, one) for one in value if one not in right]
    missed = [context.labels.get(one, one) for one in truth if one not in chosen]
    if missed:
        told.append(f"Missed: {listed(missed)}.")
    if wrong:
        told.append(f"Not {listed(wrong, 'or')}.")
    return score, " ".join(told)


#: How an answer is judged, by what it is.
JUDGES: Final[Mapping[str, Callable[[Judging, JSON, JSON], tuple[float, str]]]] = MappingProxyType(
    {"sections": _sections, "measures": _measures, "number": _number, "choice": _choice, "many": _many}
)
