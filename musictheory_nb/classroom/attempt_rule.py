"""Which of several answers to one item counts: the best, the last or the first."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.policy_section import Section, is_count, is_one_of, words_of
from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.plain_data import JSON

COUNTS: Final = MappingProxyType(
    {"first": "the first answer", "last": "the last answer", "best": "the answer with the best score, of equal ones the first"}
)  # fmt: skip

SECTION: Final = Section(
    "attempts",
    "Which of several answers to one item counts.",
    (
        Setting("counts", "first", "Which answer counts.", words_of(COUNTS), is_one_of(*COUNTS)),
        Setting("most", 0, "Attempts at each item that are looked at; later ones are left out.", "1 to 1000; 0 for all", is_count(0, 1000)),
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class AttemptRule:
    """The rule on attempts; see `SECTION`."""

    counts: str = "first"
    most: int = 0

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "AttemptRule":
        """Return the rule that checked settings state."""
        return cls(**settings)


@dataclass(frozen=True, slots=True)
class AttemptChoice:
    """An item with several answers: which counts (from 1), of how many, and its score beside that of the first."""

    exercise: str
    index: int
    chosen: int
    attempts: int
    first_score: float
    score: float


def answers_that_count(
    plan: LessonPlan,
    seed: int,
    answers: Iterable[AnswerLine],
    rule: AttemptRule,
    is_open: Callable[[str], bool] = lambda time: True,
) -> tuple[tuple[AnswerLine, ...], tuple[AttemptChoice, ...]]:
    """Return the answers from which `practice.marking.mark_lesson` makes the marks, at most one readable one an item.

    Parameters
    ----------
    plan : LessonPlan
        The lesson that was handed out.
    seed : int
        The student's, from the manifest.
    answers : iterable of AnswerLine
        All that were recorded, in any order.
    rule : AttemptRule
        Which one counts.
    is_open : callable
        Whether an answer given at that time (UTC) counts at all; see `late_rule.is_closed`.

    Returns
    -------
    tuple
        The answers that count (and, untouched, those that belong to no item, for `mark_lesson` to report), and a line
        for each item that had several.
    """
    exercises = {exercise.id: exercise for exercise in plan.exercises}
    kept: list[AnswerLine] = []
    by_item: dict[tuple[str, int], list[AnswerLine]] = {}
    for line in sorted(answers, key=lambda each: each.order):
        exercise = exercises.get(line.exercise)
        if exercise is None or line.version != exercise.version or line.index >= exercise.count:
            kept.append(line)
        elif is_open(line.time):
            by_item.setdefault((line.exercise, line.index), []).append(line)
    choices = []
    for (id, index), lines in by_item.items():
        if len(lines) == 1:
            kept += lines
            continue
        exercise = exercises[id]
        item = exercise.item(seed, index)
        scored: list[tuple[AnswerLine, float]] = []
        for line in lines:
            try:
                scored.append((line, exercise.mark(item, line.answer).score))
            except AnswerError:
                kept.append(line)  # marking reports it
        if not scored:
            continue
        looked_at = scored[: rule.most or None]
        at = chosen_attempt([score for _, score in looked_at], rule.counts)
        kept.append(looked_at[at][0])
        if len(scored) > 1:
            choices.append(AttemptChoice(id, index, at + 1, len(scored), scored[0][1], looked_at[at][1]))
    return tuple(sorted(kept, key=lambda each: each.order)), tuple(choices)


def chosen_attempt(scores: list[float], counts: str) -> int:
    """Return which of the scores counts, from 0.

    Examples
    --------
    >>> [chosen_attempt([0.5, 1.0, 1.0, 0.0], counts) for counts in ("first", "last", "best")]
    [0, 3, 1]
    """
    if counts == "first":
        return 0
    return len(scores) - 1 if counts == "last" else scores.index(max(scores))
