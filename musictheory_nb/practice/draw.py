"""Hashed draws: the same choice for the same student and item, on every platform and Python."""

import hashlib
import json
from collections.abc import Sequence
from typing import Final, TypeVar

T = TypeVar("T")

_WIDTH_BYTES: Final = 8
_SPAN: Final = 1 << (8 * _WIDTH_BYTES)

#: Index of draws that concern all items of an exercise, such as the order in which it visits its questions.
WHOLE_EXERCISE: Final = -1


class Draw:
    """A stream of reproducible choices.

    Each draw is SHA-256 over lesson id, exercise id, version, seed, index and a counter that starts at 0.
    Nothing else enters: not the time, not the hash seed, not the platform.

    Parameters
    ----------
    lesson, exercise : str
        Ids of the lesson and of the exercise in it.
    version : int
        Version of the exercise family that draws.
    seed : int
        The student's seed.
    index : int
        The item's index from 0, or `WHOLE_EXERCISE`.

    Notes
    -----
    SHA-256 is FIPS 180-4. Integers are drawn without bias by rejecting the incomplete last stretch of the 64-bit range.

    Examples
    --------
    >>> Draw("demo", "first", 1, 7, 0).integer(12) == Draw("demo", "first", 1, 7, 0).integer(12)
    True
    >>> sorted(Draw("demo", "first", 1, 7, 0).shuffled("abc"))
    ['a', 'b', 'c']
    """

    __slots__ = ("_counter", "_hash")

    def __init__(self, lesson: str, exercise: str, version: int, seed: int, index: int) -> None:
        prefix = json.dumps([lesson, exercise, version, seed, index], ensure_ascii=True, separators=(",", ":"))
        self._hash = hashlib.sha256(prefix.encode("ascii"))
        self._counter = 0

    def _next(self) -> int:
        state = self._hash.copy()
        state.update(b"#%d" % self._counter)
        self._counter += 1
        return int.from_bytes(state.digest()[:_WIDTH_BYTES], "big")

    def integer(self, below: int) -> int:
        """Return an integer from 0 to `below` - 1, each equally likely.

        Raises
        ------
        ValueError
            `below` is not positive.
        """
        if below < 1:
            raise ValueError(f"below {below!r}: give a positive number of possibilities")
        limit = _SPAN - _SPAN % below
        while (value := self._next()) >= limit:
            pass
        return value % below

    def choice(self, options: Sequence[T]) -> T:
        """Return one of `options`, each equally likely."""
        return options[self.integer(len(options))]

    def shuffled(self, options: Sequence[T]) -> list[T]:
        """Return `options` in a drawn order (Fisher and Yates)."""
        items = list(options)
        for last in range(len(items) - 1, 0, -1):
            other = self.integer(last + 1)
            items[last], items[other] = items[other], items[last]
        return items
