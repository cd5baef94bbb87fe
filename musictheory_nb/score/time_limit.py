"""A limit on how long a call may compute, for libraries that may never come back from a damaged file."""

import ctypes
import threading
import time
from collections.abc import Callable
from typing import Final, TypeVar

from musictheory_nb.errors import ScoreError

_Result = TypeVar("_Result")
#: Shortest time between two looks at the clock, in seconds.
_LOOK_S: Final = 0.05


class _TimeIsUp(BaseException):
    """Raised inside the call; no ``except Exception`` of a library catches it."""


def within_seconds(limit_s: float, what: str, call: Callable[[], _Result]) -> _Result:
    """Return what `call` returns, if the process computes at most so many seconds until then.

    Seconds of computing count, not those on the wall, so that a busy machine is no reason to stop.

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
    caller = ctypes.c_ulong(threading.get_ident())
    began = time.process_time()
    done = threading.Event()
    lock = threading.Lock()

    def watch() -> None:
        left = limit_s
        while not done.wait(max(left, _LOOK_S)):
            left = limit_s - (time.process_time() - began)
            if left <= 0:
                with lock:
                    if not done.is_set():
                        ctypes.pythonapi.PyThreadState_SetAsyncExc(caller, ctypes.py_object(_TimeIsUp))
                return

    watcher = threading.Thread(target=watch, name="time limit", daemon=True)
    watcher.start()
    try:
        try:
            return call()
        finally:
            with lock:
                done.set()
    except _TimeIsUp:
        raise ScoreError(f"{what} took longer than {limit_s:g} seconds; the file is damaged or far too long") from None
