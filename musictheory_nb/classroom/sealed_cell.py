"""The cells of a sealed copy that show its exercises."""

from musictheory_nb.practice.lesson_plan import LessonPlan


def sealed_source(exercise: str) -> str:
    """Return the source of the cell that shows a sealed exercise.

    Examples
    --------
    >>> sealed_source("first")
    'lesson.exercise("first")'
    """
    return f'lesson.exercise("{exercise}")'


def sealed_sources(plan: LessonPlan) -> dict[str, str]:
    """Return the source of the cell of each exercise in a sealed copy, by exercise id."""
    return {one.id: sealed_source(one.id) for one in plan.exercises}
