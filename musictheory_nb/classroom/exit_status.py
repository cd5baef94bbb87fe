"""What the exit status of marking says, for people and for CI."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.class_marks import ClassMarks

DONE: Final = 0
FAILED: Final = 1
MISUSED: Final = 2
RERUN_DISAGREES: Final = 3
TO_LOOK_AT: Final = 4

#: Exit status -> what it says; click gives 2.
STATUSES: Final[Mapping[int, str]] = MappingProxyType(
    {
        DONE: "done; what was wrong with single submissions is in the report",
        FAILED: "could not be done, or a student could not be marked; the reason is printed",
        MISUSED: "the command was written wrongly, or a score cannot be read",
        RERUN_DISAGREES: "a re-run of the teacher's notebook failed or came to other marks",
        TO_LOOK_AT: "done, and something handed in is to be looked at; only where that was asked for",
    }
)


def exit_status(lessons: Sequence[ClassMarks], *, reruns_agree: bool = True, fail_on_notices: bool = False) -> int:
    """Return the exit status of a marking that went through.

    Parameters
    ----------
    lessons : sequence of ClassMarks
        What was marked.
    reruns_agree : bool
        Whether every re-run came to the same marks.
    fail_on_notices : bool
        Whether a notice about a submission is to end the command with a status of its own.

    Examples
    --------
    >>> lesson = ClassMarks("x", "X", "", (), (), problems=("a stray folder",))
    >>> exit_status([lesson]), exit_status([lesson], fail_on_notices=True), exit_status([lesson], reruns_agree=False)
    (0, 4, 3)
    """
    students = [one for lesson in lessons for one in lesson.students]
    if any(one.failed for one in students):
        return FAILED
    if not reruns_agree:
        return RERUN_DISAGREES
    has_notices = any(one.problems for one in students) or any(lesson.problems for lesson in lessons)
    return TO_LOOK_AT if fail_on_notices and has_notices else DONE
