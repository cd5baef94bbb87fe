"""A lesson as data: its id, its title and its exercises in order."""

from dataclasses import dataclass

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.plain_data import digest


@dataclass(frozen=True)
class LessonPlan:
    """The exercises of one lesson.

    Parameters
    ----------
    id : str
        Slug.
    title : str
        The notebook's first heading.
    exercises : tuple of Exercise
        In the order of the notebook.

    Raises
    ------
    ExerciseError
        Two exercises share an id, or one belongs to another lesson.

    Examples
    --------
    >>> plan = LessonPlan("demo", "Demo", (Exercise("first", "interval-by-ear", count=3, lesson="demo"),))
    >>> plan.exercise("first").count, plan.count
    (3, 3)
    >>> plan.exercise("second")
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: exercise 'second' is not in lesson 'demo'; it has: first
    """

    id: str
    title: str
    exercises: tuple[Exercise, ...]

    def __post_init__(self) -> None:
        ids = [exercise.id for exercise in self.exercises]
        for exercise in self.exercises:
            if ids.count(exercise.id) > 1:
                raise ExerciseError(f"lesson {self.id!r}: two exercises have the id {exercise.id!r}; give each its own")
            if exercise.lesson != self.id:
                raise ExerciseError(f"lesson {self.id!r}: exercise {exercise.id!r} belongs to {exercise.lesson!r}")

    @property
    def count(self) -> int:
        """Number of items in all exercises."""
        return sum(exercise.count for exercise in self.exercises)

    @property
    def points(self) -> float:
        """Points that can be reached."""
        return sum(exercise.points for exercise in self.exercises)

    @property
    def digest(self) -> str:
        """``'sha256:…'`` over everything that decides items and marks."""
        return digest({"id": self.id, "exercises": [exercise.to_data() for exercise in self.exercises]})

    def exercise(self, id: str) -> Exercise:
        """Return the exercise of that id.

        Raises
        ------
        ExerciseError
            There is none.
        """
        for exercise in self.exercises:
            if exercise.id == id:
                return exercise
        raise ExerciseError(
            f"exercise {id!r} is not in lesson {self.id!r}; it has: {', '.join(e.id for e in self.exercises)}"
        )
