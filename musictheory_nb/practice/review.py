"""Review without marks and without an end: what is asked next, from what was answered before.

The state is the record, replayed: every answer says of one or several skills that they were shown or not. A skill is what an
item asks for, such as the tritone among the intervals of an exercise. What is due comes first, the weakest first; then what was
never met; then, for as long as one likes, what is weakest. When a skill is due is worked out elsewhere (`Due`): this
room needs the standard library alone.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Final, TypeAlias

from musictheory_nb.errors import AnswerError, ExerciseError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES
from musictheory_nb.practice.item import Item
from musictheory_nb.practice.mastery import Tracing
from musictheory_nb.practice.response import Answer, ChoiceInput

#: Items that are drawn to see which skills an exercise has, and tries to find an item for one of them.
_LOOKED_AT: Final = 120
_TRIES: Final = 160
#: Chance of a right answer by guessing where it is no choice.
_BLIND: Final = 0.05
_MOST_GUESS: Final = 0.5
#: Items of an exercise that is made for review.
COUNT: Final = 20
#: Why a question is asked -> as it is told, without what would give the answer away.
REASONS: Final[Mapping[str, str]] = {
    "due": "something that is due again",
    "new": "something that you have not met yet",
    "weak": "something that you are not sure of yet",
}


@dataclass(frozen=True, slots=True, order=True)
class Skill:
    """What an item asks for: an answer to a step of an exercise, or the exercise as a whole.

    Parameters
    ----------
    exercise, step, value : str
        Ids; `step` and `value` are empty for the exercise as a whole.
    label : str
        In words.
    """

    exercise: str
    step: str
    value: str
    label: str


@dataclass(frozen=True, slots=True)
class Evidence:
    """That a skill was shown or not, when, and with what chance by guessing; and what was taken for what."""

    skill: Skill
    right: bool
    time: datetime
    guess: float
    confusion: tuple[str, str] | None = None


#: When each skill is due again, from all evidence, earliest first.
Due: TypeAlias = Callable[[Sequence[Evidence]], Mapping[Skill, datetime]]


def _choice(item: Item, step_id: str) -> ChoiceInput | None:
    step = next(each for each in item.response.steps if each.id == step_id)
    return next((entry for entry in step.inputs if isinstance(entry, ChoiceInput) and not entry.many), None)


def skills_of(exercise: Exercise, item: Item) -> tuple[tuple[Skill, float], ...]:
    """Return the skills that an item asks for, each with the chance of a right answer by guessing.

    Examples
    --------
    >>> hear = Exercise("hear", "interval-by-ear", {"intervals": ["A4", "P8"], "inputs": ["buttons"]}, lesson="demo")
    >>> [(skill.exercise, skill.step, guess) for skill, guess in skills_of(hear, hear.item(7, 0))]
    [('hear', 'interval', 0.5)]
    """
    found = []
    for step, right in item.solution.items():
        choice = _choice(item, step)
        if choice is None or choice.id not in right:
            continue
        value = right[choice.id][0]
        label = next(option.label for option in choice.options if option.value == value)
        named = label if len(item.response.steps) == 1 else f"{step}: {label}"
        guess = min(_MOST_GUESS, len(right[choice.id]) / len(choice.options))
        found.append((Skill(exercise.id, step, str(value), named), guess))
    return tuple(found) or ((Skill(exercise.id, "", "", exercise.family.title), _BLIND),)


def evidence_of(exercise: Exercise, item: Item, answer: Answer, time: datetime) -> tuple[Evidence, ...]:
    """Return what a checked answer says of the skills that the item asks for; nothing where a teacher marks it."""
    mark = exercise.mark_checked(item, answer)
    if mark.awaits_teacher:
        return ()
    confusion = exercise.confusion_checked(item, answer)
    asked = skills_of(exercise, item)
    found = []
    for skill, guess in asked:
        right = mark.score == 1.0
        if not right and len(asked) > 1:
            ((entry, value),) = answer[skill.step].items()
            right = value in item.solution[skill.step].get(entry, ())
        found.append(Evidence(skill, right, time, guess, None if right else confusion))
    return tuple(found)


def evidence_in(lines: Sequence[AnswerLine], pool: "ReviewPool", seed: int | None = None) -> tuple[Evidence, ...]:
    """Return what recorded answers say, earliest first.

    Parameters
    ----------
    lines : sequence of AnswerLine
        Those of review items carry their seed and settings. Lines that belong to no exercise of the pool are left out.
    pool : ReviewPool
        The exercises.
    seed : int, optional
        Of lines that carry none: the student's, in a lesson.
    """
    found: list[Evidence] = []
    for line in sorted(lines, key=lambda each: each.order):
        exercise = pool.by_id.get(line.exercise)
        own = line.seed if line.seed is not None else seed
        if exercise is None or own is None or line.version != exercise.version or line.index >= exercise.count:
            continue
        try:
            if line.settings is not None and line.settings != exercise.settings:
                exercise = with_settings(exercise, line.settings)
            item = exercise.item(own, line.index)
            answer = item.response.check(line.answer)
        except (AnswerError, ExerciseError):
            continue
        found += evidence_of(exercise, item, answer, datetime.fromisoformat(line.time))
    return tuple(found)


def with_settings(exercise: Exercise, settings: Mapping[str, object]) -> Exercise:
    """Return the exercise with other settings."""
    return Exercise(
        exercise.id, exercise.kind, settings, exercise.count, exercise.points, exercise.version, exercise.lesson,
        exercise.excerpts,
    )  # fmt: skip


def mastery(evidence: Sequence[Evidence]) -> dict[Skill, float]:
    """Return how likely each skill that was met is learned (see `mastery.Tracing`)."""
    known: dict[Skill, float] = {}
    for one in evidence:
        model = Tracing(guess=one.guess)
        known[one.skill] = model.after(known.get(one.skill, model.known), right=one.right)
    return known


def skills_in(exercise: Exercise) -> tuple[Skill, ...]:
    """Return the skills that the items of an exercise ask for, as far as a look at some of them tells."""
    draw = Draw(exercise.lesson, exercise.id, exercise.version, 0, 0)
    found: dict[Skill, None] = {}
    for _ in range(_LOOKED_AT):
        item = exercise.item(draw.integer(1 << 48), draw.integer(exercise.count))
        found.update((skill, None) for skill, _ in skills_of(exercise, item))
    return tuple(sorted(found))


def can_be_reviewed(exercise: Exercise) -> bool:
    """Return whether answers are marked at once, as review needs."""
    return bool(exercise.item(0, 0).solution)


def review_pool(kinds: Sequence[str] = (), lesson: str = "review") -> "ReviewPool":
    """Return an exercise of each kind at its defaults; by default of all that need no music of a piece.

    Raises
    ------
    ExerciseError
        A kind that is not known, or that needs settings.

    Examples
    --------
    >>> [one.kind for one in review_pool(["interval-by-ear"]).exercises]
    ['interval-by-ear']
    """
    versions = {kind: version for kind, version in sorted(FAMILIES)}
    pool = []
    for kind in kinds or versions:
        try:
            exercise = Exercise(kind, kind, {}, COUNT, 0, versions.get(kind, 1), lesson)
            if can_be_reviewed(exercise):
                pool.append(exercise)
        except ExerciseError:
            if kinds:
                raise
    return ReviewPool(tuple(pool))


@dataclass(frozen=True)
class ReviewPool:
    """The exercises from which questions are drawn.

    Parameters
    ----------
    exercises : tuple of Exercise
        Their ids differ.

    Raises
    ------
    ExerciseError
        There is none, or two share an id.
    """

    exercises: tuple[Exercise, ...]

    def __post_init__(self) -> None:
        ids = [one.id for one in self.exercises]
        if not ids:
            raise ExerciseError("review: there is no exercise to draw from; name at least one")
        if twice := sorted({id for id in ids if ids.count(id) > 1}):
            raise ExerciseError(f"review: two exercises have the id {twice[0]!r}; give each its own")

    @cached_property
    def by_id(self) -> Mapping[str, Exercise]:
        """The exercises by id."""
        return {one.id: one for one in self.exercises}

    @cached_property
    def skills(self) -> tuple[Skill, ...]:
        """What they ask for."""
        return tuple(skill for exercise in self.exercises for skill in skills_in(exercise))


@dataclass(frozen=True, slots=True)
class Next:
    """The question that comes next: an item of an exercise, for a skill, and why (a key of `REASONS`)."""

    exercise: Exercise
    seed: int
    index: int
    skill: Skill
    reason: str


def _wanted(
    skills: Sequence[Skill], known: Mapping[Skill, float], due: Mapping[Skill, datetime], now: datetime, draw: Draw
) -> tuple[Skill, str]:
    weakest = sorted(skills, key=lambda skill: (known.get(skill, 0.0), skill))
    if ready := [skill for skill in weakest if skill in due and due[skill] <= now]:
        return ready[0], "due"
    if new := [skill for skill in skills if skill not in known]:
        return draw.choice(new), "new"
    # among the weakest third, so that it is not one and the same for ever
    return draw.choice(weakest[: max(2, len(weakest) // 3)]), "weak"


def next_question(
    pool: ReviewPool,
    evidence: Sequence[Evidence],
    due: Mapping[Skill, datetime],
    now: datetime,
    draw: Draw,
    *,
    last: Skill | None = None,
) -> Next:
    """Return what is asked next.

    Parameters
    ----------
    pool : ReviewPool
        From which it is drawn.
    evidence : sequence of Evidence
        All so far.
    due : Mapping of Skill to datetime
        When each skill that was met is due again.
    now : datetime
        With its zone.
    draw : Draw
        Choices among equals.
    last : Skill, optional
        What was asked before, which does not come twice in a row where there is another.
    """
    others = [skill for skill in pool.skills if skill != last] or list(pool.skills)
    skill, reason = _wanted(others, mastery(evidence), due, now, draw)
    exercise = pool.by_id[skill.exercise]
    for _ in range(_TRIES):
        seed, index = draw.integer(1 << 48), draw.integer(exercise.count)
        asked = [each for each, _ in skills_of(exercise, exercise.item(seed, index))]
        if skill in asked:
            break
    else:
        skill = asked[0]
    return Next(exercise, seed, index, skill, reason)
