"""A sealed lesson while it is open in a notebook: questions from the file beside it, answers into the same record as ever."""

from pathlib import Path
from typing import Any

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.exercise import is_slug
from musictheory_nb.practice.sealed_exercise import MAX_BYTES, SealedExercise, SealedLesson, sealed_name
from musictheory_nb.widgets.environment_check import check_environment
from musictheory_nb.widgets.hand_in import AnsweredExercise
from musictheory_nb.widgets.lesson_session import LessonSession
from musictheory_nb.widgets.sealed_view import SealedView


class SealedSession(LessonSession):
    """One open sealed lesson; made by `open_sealed`.

    Parameters
    ----------
    sealed : SealedLesson
        The questions.
    student, seed, digest, folder, attempts
        As for `LessonSession`; the seed tells whose copy it is, and nothing is drawn from it.

    Raises
    ------
    ExerciseError, RecordError
        As for `LessonSession`.
    """

    def __init__(
        self, sealed: SealedLesson, student: str, seed: int, digest: str, folder: Path | None = None, attempts: int = 1
    ) -> None:
        self.sealed = sealed
        self._sealed_shown: dict[str, SealedExercise] = {}
        super().__init__(sealed.lesson, student, seed, digest, folder, attempts)

    def exercise(self, id: str) -> SealedView:  # type: ignore[override]
        """Show a sealed exercise; running its cell again keeps what was answered.

        Raises
        ------
        ExerciseError
            The sealed copy has none of that id.
        """
        self._catch_up()
        exercise = self.sealed.exercise(id)
        self._sealed_shown[id] = exercise
        view = SealedView(
            exercise,
            self._lines_of(exercise),
            self._recorder(exercise),
            preview=not self.student,
            recorded=self._refresh_hand_in,
            left=self._tries_of(exercise),
        )
        return self._shown(id, view)

    def _answered(self) -> tuple[AnsweredExercise, ...]:
        return tuple(
            AnsweredExercise(one.id, one.count, len(self._lines_of(one))) for one in self._sealed_shown.values()
        )

    def _marks(self) -> None:
        return None


def open_sealed(
    lesson: str, *, student: str = "", seed: int = 0, digest: str = "", folder: Any = None, attempts: int = 1
) -> SealedSession:
    """Open a sealed lesson in its notebook.

    Parameters
    ----------
    lesson, student, seed, digest
        As the parameters cell says.
    attempts : int
        How often an item may be answered; 0 for no limit.
    folder : path, optional
        Where the sealed file lies and the record goes; the current folder by default.

    Raises
    ------
    ExerciseError
        The sealed file is not there, is damaged or somebody else's; or a parameter that cannot be.
    RecordError
        The record cannot be opened.
    SetupError
        The notebook's environment has widgets that are too old.

    Examples
    --------
    >>> open_sealed("demo", student="ines-orta")
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: sealed file 'demo.sealed.json' is not beside the notebook; put it there
    """
    check_environment()
    if not is_slug(lesson):
        raise ExerciseError(f"lesson {lesson!r}: write lower-case letters, digits and hyphens, as 'hear-intervals'")
    home = Path.cwd() if folder is None else Path(folder)
    path = home / sealed_name(lesson)
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except FileNotFoundError:
        raise ExerciseError(f"sealed file {path.name!r} is not beside the notebook; put it there") from None
    except OSError as error:
        raise ExerciseError(f"sealed file {path.name!r} cannot be opened: {error.strerror}") from None
    sealed = SealedLesson.from_bytes(data)
    if (sealed.lesson, sealed.student) != (lesson, student):
        raise ExerciseError(
            f"sealed file {path.name!r} is of {sealed.student!r}, lesson {sealed.lesson!r}; this notebook is of {student!r}"
        )
    return SealedSession(sealed, student, seed, digest, home, attempts)
