"""What the answers of one student show of how and when they were given, packed: thousands of students fit into memory."""

import json
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from musictheory_nb.practice.answer_record import AnswerLine
from musictheory_nb.practice.plain_data import JSON


@dataclass(frozen=True, slots=True)
class PackedAnswers:
    """Answers without what was answered, in the order of the record; made by `packed`.

    Iterating gives an `AnswerLine` for each.
    """

    data: bytes = field(default=b"", repr=False)
    count: int = 0

    def __len__(self) -> int:
        return self.count

    def __iter__(self) -> Iterator[AnswerLine]:
        for id, exercise, version, index, attempt, time, ms, seed in self.rows():
            yield AnswerLine(id, exercise, version, index, {}, attempt, time, None, ms, seed)

    def rows(self) -> list[JSON]:
        """Return a list for each: id, exercise, version, index, attempt, time, milliseconds, seed."""
        found: list[JSON] = json.loads(zlib.decompress(self.data)) if self.count else []
        return found


def packed_rows(rows: list[JSON]) -> PackedAnswers:
    """Return what `PackedAnswers.rows` gives, packed again.

    Examples
    --------
    >>> made = packed_rows([["0" * 32, "first", 1, 0, 1, "2026-03-02T10:00:00Z", 900, None]])
    >>> len(made), made.rows()[0][1], next(iter(made)).ms
    (1, 'first', 900)
    """
    if not rows:
        return PackedAnswers()
    return PackedAnswers(zlib.compress(json.dumps(rows, separators=(",", ":")).encode("utf-8"), 1), len(rows))


def packed(lines: Iterable[AnswerLine]) -> PackedAnswers:
    """Return answers packed; what is packed already stays as it is."""
    if isinstance(lines, PackedAnswers):
        return lines
    return packed_rows(
        [[one.id, one.exercise, one.version, one.index, one.attempt, one.time, one.ms, one.seed] for one in lines]
    )
