"""Marks of a lesson, recomputed from recorded answers; no stored mark is ever believed."""

from collections.abc import Iterable
from dataclasses import dataclass

from musictheory_nb.errors import AnswerError
from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.item import Item, Mark
from musictheory_nb.practice.lesson_plan import LessonPlan
from musictheory_nb.practice.twin import twin_words, twins_in


@dataclass(frozen=True)
class MarkedItem:
    """One item of one student: the answer that counts (None when there is none), its mark, and a confusion if any."""

    item: Item
    line: AnswerLine | None
    mark: Mark
    confusion: tuple[str, str] | None = None


@dataclass(frozen=True)
class MarkedExercise:
    """One exercise of one student."""

    exercise: Exercise
    items: tuple[MarkedItem, ...]

    @property
    def answered(self) -> int:
        """Number of items with an answer that counts."""
        return sum(item.line is not None for item in self.items)

    @property
    def awaiting(self) -> int:
        """Number of answers that a teacher has still to mark."""
        return sum(item.mark.awaits_teacher for item in self.items)

    @property
    def score(self) -> float:
        """Mean score of the items, 0 to 1; one without an answer counts 0, one that awaits its mark is left out."""
        marked = [item.mark.score for item in self.items if not item.mark.awaits_teacher]
        return sum(marked) / len(marked) if marked else 0.0

    @property
    def points(self) -> float:
        """Points reached; those of answers that await their mark are not among them."""
        return sum(item.mark.score for item in self.items) / len(self.items) * self.exercise.points


@dataclass(frozen=True)
class MarkedLesson:
    """All exercises of one student, and what was left out of the marks and why.

    Parameters
    ----------
    plan, exercises
        What was asked, and its marks.
    notes : tuple of str
        Answers that were left out and cost nothing; twins of questions that were used.
    unread : tuple of str
        Answers that cannot be read where no other one counts: these items have no mark.
    """

    plan: LessonPlan
    exercises: tuple[MarkedExercise, ...]
    notes: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()

    @property
    def answered(self) -> int:
        """Number of items with an answer that counts."""
        return sum(exercise.answered for exercise in self.exercises)

    @property
    def points(self) -> float:
        """Points reached."""
        return sum(exercise.points for exercise in self.exercises)


def _twin_notes(plan: LessonPlan, counted: Iterable[MarkedItem]) -> list[str]:
    """Which items were answered by a twin, and whether it was granted."""
    used: dict[tuple[str, str], list[int]] = {}
    for one in counted:
        if one.line is not None and one.line.twin:
            used.setdefault((one.item.exercise, one.line.twin), []).append(one.item.index + 1)
    notes = []
    for (id, twin), numbers in used.items():
        granted = set(twins_in(twin)) <= set(twins_in(plan.exercise(id).twin))
        which = f"item {numbers[0]}" if len(numbers) == 1 else f"items {', '.join(map(str, sorted(numbers)))}"
        notes.append(f"{id} {which}: {twin_words(twin)} ({'granted' if granted else 'not granted beforehand'})")
    return notes


NOT_ANSWERED = Mark(0.0, "Not answered yet.")


def mark_lesson(plan: LessonPlan, seed: int, answers: Iterable[AnswerLine]) -> MarkedLesson:
    """Return the marks that `answers` deserve.

    Of several answers to one item the earliest that can be read counts. Answers that belong to no item of the lesson
    or have not the shape that the item asks for are left out and named.

    Parameters
    ----------
    plan : LessonPlan
        The teacher's lesson.
    seed : int
        The student's seed, from the manifest.
    answers : iterable of AnswerLine
        In any order.
    """
    notes: list[str] = []
    counted: dict[tuple[str, int], MarkedItem] = {}
    exercises = {exercise.id: exercise for exercise in plan.exercises}
    # Each item is drawn once, however many answers to it there are.
    items = {(one.id, index): one.item(seed, index) for one in plan.exercises for index in range(one.count)}
    repeated = 0
    odd: list[tuple[tuple[str, int], str]] = []
    for line in sorted(answers, key=lambda each: each.order):
        exercise = exercises.get(line.exercise)
        if exercise is None or line.version != exercise.version or line.index >= exercise.count:
            notes.append(
                f"an answer to {line.exercise!r} (version {line.version}) item {line.index + 1}: no such item here"
            )
            continue
        place = (line.exercise, line.index)
        if place in counted:
            repeated += 1
            continue
        item = items[place]
        try:
            answer = item.response.check(line.answer)
        except AnswerError as error:
            odd.append((place, f"{line.exercise} item {line.index + 1}: {error}"))
            continue
        mark = exercise.mark_checked(item, answer)
        confusion = None if mark.score >= 1 else exercise.confusion_checked(item, answer)
        counted[place] = MarkedItem(item, line, mark, confusion)
    notes += [told for place, told in odd if place in counted]
    unread = [f"{told}; the item has no mark" for place, told in odd if place not in counted]
    if repeated:
        notes.append(f"{repeated} later answers to items already answered; the first of each counts")
    notes += _twin_notes(plan, counted.values())
    for place, item in items.items():
        counted.setdefault(place, MarkedItem(item, None, NOT_ANSWERED))
    marked = [
        MarkedExercise(one, tuple(counted[one.id, index] for index in range(one.count))) for one in plan.exercises
    ]
    return MarkedLesson(plan, tuple(marked), tuple(notes), tuple(unread))
