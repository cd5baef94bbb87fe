"""Where the bundled lessons are: in the ``lessons`` folder of a clone."""

from pathlib import Path
from typing import Final

from musictheory_nb.errors import LessonError

FOLDER: Final = "lessons"


def _notebooks(folder: Path) -> tuple[Path, ...]:
    try:
        return tuple(sorted(path for path in folder.glob("*.ipynb") if path.is_file()))
    except OSError:
        return ()


def lesson_folder() -> Path:
    """Return the folder of the bundled lessons: ``lessons`` in the clone that is installed, or else where you are.

    Raises
    ------
    LessonError
        Neither holds a notebook.
    """
    # The clone first: what lies where a grader happens to be may be a student's.
    for place in (Path(__file__).parents[2], Path.cwd()):
        if _notebooks(place / FOLDER):
            return place / FOLDER
    raise LessonError(
        f"no folder {FOLDER!r} with notebooks here; change to your clone of the repository, or name the notebook or folder"
    )


def bundled_lessons() -> tuple[Path, ...]:
    """Return the bundled lesson notebooks, in order.

    Raises
    ------
    LessonError
        There are none.
    """
    return _notebooks(lesson_folder())


def find_lesson(given: Path) -> Path:
    """Return the notebook that a teacher names: the file itself, or the bundled lesson of that name.

    Parameters
    ----------
    given : Path
        A path; or ``lessons/NAME.ipynb``, ``NAME.ipynb`` or ``NAME`` of a bundled lesson.

    Raises
    ------
    LessonError
        There is neither.

    Examples
    --------
    >>> find_lesson(Path("no/such/lesson.ipynb"))
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: lesson 'no/such/lesson.ipynb': there is no such file; name a lesson notebook
    """
    if given.is_file():
        return given
    if given.is_dir():
        inside = ", ".join(path.name for path in _notebooks(given)[:6])
        raise LessonError(
            f"lesson '{given.as_posix()}' is a folder; name one notebook{': ' + inside if inside else ''}"
        )
    bare = given.parent in (Path("."), Path(FOLDER)) and not given.is_absolute()
    if bare:
        try:
            bundled = {path.stem: path for path in bundled_lessons()}
        except LessonError:
            bundled = {}
        if given.stem in bundled and given.suffix in ("", ".ipynb"):
            return bundled[given.stem]
        if bundled:
            raise LessonError(
                f"lesson '{given.as_posix()}': there is no such file, and no bundled lesson of that name; "
                f"bundled: {', '.join(bundled)}"
            )
    raise LessonError(f"lesson '{given.as_posix()}': there is no such file; name a lesson notebook")
