"""A limit on how long a call may take, for libraries that may never come back from a damaged file."""

import ctypes
import threading
from collections.abc import Callable
from typing import TypeVar

from musictheory_nb.errors import ScoreError

_Result = TypeVar("_Result")


class _TimeIsUp(BaseException):
    """Raised inside the call; no ``except Exception`` of a library catches it."""


def within_seconds(limit_s: float, what: str, call: Callable[[], _Result]) -> _Result:
    """Return what `call` returns, if that takes at most so many seconds of running Python code.

    Raises
    ------
    ScoreError
        It took longer; `what` says in the message what took so long.

    Notes
    -----
    CPython raises the exception between two instructions of Python code, so that a single long call into compiled
    code is not cut short.

    Examples
    --------
    >>> within_seconds(5, "adding", lambda: 1 + 1)
    2
    """
    thread = ctypes.c_ulong(threading.get_ident())
    lock = threading.Lock()
    running = True

    def stop() -> None:
        with lock:
            if running:
                ctypes.pythonapi.PyThreadState_SetAsyncExc(thread, ctypes.py_object(_TimeIsUp))

    timer = threading.Timer(limit_s, stop)
    timer.daemon = True
    timer.start()
    try:
        try:
            result = call()
        finally:
            with lock:
                running = False
            timer.cancel()
    except _TimeIsUp:
        raise ScoreError(f"{what} took longer than {limit_s:g} seconds; the file is damaged or far too long") from None
    return result
