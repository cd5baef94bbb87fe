"""One wrapper for every callback of a widget: what fails is shown to the student, recorded, and raised again.

A toolkit that calls callbacks for the browser logs what they raise and goes on, so that neither a student nor a test
would notice. `guarded` is put around each of ours.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, Final, Protocol

#: What a student reads; the braces are filled with the error's class name and message.
STUDENT_MESSAGE: Final = (
    "This did not work: {kind}: {message} Answers given before are kept. "
    "Run the cell again; if it happens once more, show this line to your teacher."
)


@dataclass(frozen=True, slots=True)
class CallbackFailure:
    """A callback that raised: what it was doing, and the error."""

    doing: str
    error: Exception


class ReportsFailures(Protocol):
    """Something with a line for the student and a list for tests."""

    problem: str
    failures: list[CallbackFailure]


def student_message(error: Exception) -> str:
    """Return the one line that a student reads about `error`.

    Examples
    --------
    >>> student_message(ValueError("no such measure"))[:54]
    'This did not work: ValueError: no such measure. Answer'
    """
    message = " ".join(str(error).split()) or "no further words"
    if message[-1] not in ".!?":
        message += "."
    return STUDENT_MESSAGE.format(kind=type(error).__name__, message=message)


def guarded(callback: Callable[..., Any], reporter: ReportsFailures, doing: str = "") -> Callable[..., Any]:
    """Return `callback` with a guard around it.

    When the callback raises, `reporter.problem` becomes a line for the student, the failure is appended to
    `reporter.failures`, and the error is raised again: a notebook cell or a test that caused the call fails. Each call
    begins with an empty line.

    Parameters
    ----------
    callback : callable
        Any arguments are passed on.
    reporter : ReportsFailures
        Usually the widget.
    doing : str
        What the callback is for, in words; by default its name.

    Raises
    ------
    Exception
        Whatever the callback raises.

    Examples
    --------
    >>> class Line:
    ...     problem = ""
    ...     failures: list = []
    >>> line = Line()
    >>> guarded(lambda: 1 / 0, line)()
    Traceback (most recent call last):
    ZeroDivisionError: division by zero
    >>> line.problem[:60], len(line.failures)
    ('This did not work: ZeroDivisionError: division by zero. Answ', 1)
    """
    name = doing or getattr(callback, "__name__", "callback")

    @wraps(callback)
    def call(*args: Any, **kwargs: Any) -> Any:
        reporter.problem = ""
        try:
            return callback(*args, **kwargs)
        except Exception as error:
            reporter.failures.append(CallbackFailure(name, error))
            reporter.problem = student_message(error)
            raise

    return call
