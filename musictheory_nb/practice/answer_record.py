"""The answer record: one line per answer, as text, read as if nobody vouched for it.

Format 1: UTF-8, JSON lines. First line: ``{"format": 1, "lesson", "student", "digest"}``. Every other line is an
answer: its own ``id``, ``exercise``, ``version``, ``index``, ``answer``, ``attempt``, ``time`` (UTC), and as hints that
a student writes and no mark depends on, ``heard`` (times), ``ms`` (milliseconds) and ``twin`` (which twin of the question
was used). Answers of review items also carry the ``seed`` and ``settings`` from which the item was drawn.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from musictheory_nb.errors import RecordError
from musictheory_nb.practice.exercise import is_slug
from musictheory_nb.practice.plain_data import JSON, canonical_json, check_plain, strict_json, thawed
from musictheory_nb.practice.twin import USED

FORMAT: Final = 1
#: Limits on what is read: bytes of a record, bytes of a line, lines.
MAX_BYTES: Final = 16 * 1024 * 1024
MAX_LINE: Final = 64 * 1024
MAX_LINES: Final = 50_000
#: JSON text of so many bytes takes at most `MAX_LINE` when written again: a byte becomes six at the most (``\\u00e9``, ``1e15``).
SHORT_LINE: Final = MAX_LINE // 6 - 1
#: Problems are listed up to this number and then counted.
MAX_PROBLEMS: Final = 20

_ID: Final = re.compile(r"[0-9a-f]{32}")
_TIME: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d{1,6})?Z", re.ASCII)
_DIGEST: Final = re.compile(r"(sha256:[0-9a-f]{64})?")


@dataclass(frozen=True)
class RecordHeader:
    """Whose record it says it is. The grader believes the manifest, not this."""

    lesson: str
    student: str
    digest: str = ""

    def line(self) -> str:
        """Return the header as its line, with the line end."""
        data = {"format": FORMAT, "lesson": self.lesson, "student": self.student, "digest": self.digest}
        return canonical_json(data) + "\n"


@dataclass(frozen=True)
class AnswerLine:
    """One recorded answer; see the module for the fields."""

    id: str
    exercise: str
    version: int
    index: int
    answer: Mapping[str, JSON]
    attempt: int
    time: str
    heard: int | None = None
    ms: int | None = None
    seed: int | None = None
    settings: Mapping[str, JSON] | None = None
    twin: str | None = None

    def to_data(self) -> dict[str, JSON]:
        """Return JSON values; hints that are None are left out."""
        data = {
            "id": self.id,
            "exercise": self.exercise,
            "version": self.version,
            "index": self.index,
            "answer": thawed(self.answer),
            "attempt": self.attempt,
            "time": self.time,
        }
        hints = {
            "heard": self.heard,
            "ms": self.ms,
            "seed": self.seed,
            "settings": thawed(self.settings),
            "twin": self.twin,
        }
        return data | {name: value for name, value in hints.items() if value is not None}

    def says(self, data: Mapping[str, JSON]) -> bool:
        """Return whether `data`, of which nothing is known, says the very same."""
        return {name: value for name, value in vars(self).items() if value is not None} == data

    def line(self) -> str:
        """Return the answer as its line, with the line end."""
        return canonical_json(self.to_data()) + "\n"

    @property
    def order(self) -> tuple[str, str]:
        """Sort key: earliest first."""
        return self.time.rstrip("Z"), self.id


def utc_now() -> str:
    """Return the time as the record writes it, such as ``'2026-03-02T17:04:05.250Z'``."""
    return datetime.now(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")


def _whole(value: JSON, low: int, high: int) -> bool:
    return type(value) is int and low <= value <= high


def _a_time(value: JSON) -> bool:
    if not isinstance(value, str) or not _TIME.fullmatch(value):
        return False
    try:
        datetime.fromisoformat(value)
    except ValueError:
        return False
    return True


#: Field of an answer line -> (what is allowed in words, check, must be there).
_FIELDS: Final[Mapping[str, tuple[str, Callable[[JSON], bool], bool]]] = {
    "id": ("32 hexadecimal digits", lambda v: isinstance(v, str) and _ID.fullmatch(v) is not None, True),
    "exercise": ("an exercise id", is_slug, True),
    "version": ("1 to 1000", lambda v: _whole(v, 1, 1000), True),
    "index": ("0 to 10^6", lambda v: _whole(v, 0, 10**6), True),
    "answer": ("an object", lambda v: isinstance(v, dict), True),
    "attempt": ("1 to 1000", lambda v: _whole(v, 1, 1000), True),
    "time": ("UTC, as 2026-03-02T17:04:05.250Z", _a_time, True),
    "heard": ("0 to 10000", lambda v: _whole(v, 0, 10_000), False),
    "ms": ("0 to 10^9", lambda v: _whole(v, 0, 10**9), False),
    "seed": ("a number", lambda v: _whole(v, 0, 2**53), False),
    "settings": ("an object", lambda v: isinstance(v, dict), False),
    "twin": (", ".join(USED), lambda v: isinstance(v, str) and v in USED, False),
}


def _shown(value: JSON) -> str:
    try:
        text = repr(value)
    except (ValueError, RecursionError):  # a number of thousands of digits, or lists in lists in lists
        return f"a {type(value).__name__} too large to show"
    return text if len(text) <= 40 else text[:37] + "…"


def answer_from_data(data: JSON, *, is_plain: bool = False, is_short: bool = False) -> AnswerLine:
    """Return the answer line that `data` (JSON values) is.

    Parameters
    ----------
    data : JSON
        Of any shape.
    is_plain : bool
        Whether it comes from `strict_json`, and need not be checked again for what JSON has not.
    is_short : bool
        Whether it was read from so few bytes (`SHORT_LINE`) that it cannot be longer than a line when it is written again.

    Raises
    ------
    RecordError
        A field is missing, unknown, of the wrong type or out of bounds.

    Examples
    --------
    >>> answer_from_data({"id": 3})
    Traceback (most recent call last):
    musictheory_nb.errors.RecordError: id 3; allowed: 32 hexadecimal digits
    """
    if not is_plain:
        try:
            check_plain(data)
        except ValueError as error:
            raise RecordError(str(error)) from None
    if not isinstance(data, dict):
        raise RecordError(f"{_shown(data)} is no answer; an object is")
    for name in data:
        if name not in _FIELDS:
            raise RecordError(f"field {name[:40]!r}; allowed: {', '.join(_FIELDS)}")
    for name, (allowed, check, needed) in _FIELDS.items():
        if name not in data:
            if needed:
                raise RecordError(f"{name} is missing")
        elif not check(data[name]):
            raise RecordError(f"{name} {_shown(data[name])}; allowed: {allowed}")
    if not is_short and (size := len(canonical_json(data)) + 1) > MAX_LINE:  # as `AnswerLine.line` writes it
        raise RecordError(f"{size} bytes; at most {MAX_LINE} are read")
    return AnswerLine(**data)


def header_from_data(data: JSON) -> RecordHeader:
    """Return the header that `data` (JSON values) is.

    Raises
    ------
    RecordError
        It is of another format or has a field that is missing, unknown or wrong.
    """
    if not isinstance(data, dict) or set(data) != {"format", "lesson", "student", "digest"}:
        raise RecordError("the first line must hold exactly format, lesson, student and digest")
    if type(data["format"]) is not int or data["format"] != FORMAT:
        raise RecordError(f"format {_shown(data['format'])}; this version reads format {FORMAT}")
    for name in ("lesson", "student"):
        if not is_slug(data[name]):
            raise RecordError(f"{name} {_shown(data[name])}; allowed: lower-case letters, digits and hyphens")
    if not isinstance(data["digest"], str) or not _DIGEST.fullmatch(data["digest"]):
        raise RecordError(f"digest {_shown(data['digest'])}; allowed: sha256: and 64 hexadecimal digits")
    return RecordHeader(data["lesson"], data["student"], data["digest"])


@dataclass(frozen=True)
class RecordReading:
    """What a record holds.

    Parameters
    ----------
    header : RecordHeader or None
        None when no line is one.
    answers : tuple of AnswerLine
        In the order of the file, each id once (its first line).
    problems : tuple of str
        What could not be read, each with its line; the rest is not touched by it.
    """

    header: RecordHeader | None
    answers: tuple[AnswerLine, ...]
    problems: tuple[str, ...] = ()


def _parsed(raw: bytes, cut_off: bool) -> JSON:
    try:
        return strict_json(raw.decode("utf-8"))
    except UnicodeDecodeError:
        problem = "not UTF-8 text"
    except ValueError as error:
        problem = str(error)
    raise RecordError("the last line is incomplete (writing was cut off)" if cut_off else problem)


def read_record(data: bytes, name: str = "record") -> RecordReading:
    """Read a record from its bytes; never raises for what they hold.

    Parameters
    ----------
    data : bytes
        The whole file.
    name : str
        How the problems call it.

    Examples
    --------
    >>> reading = read_record(RecordHeader("demo", "ines-orta").line().encode() + b'{"id":')
    >>> reading.header.student, reading.problems[0][:30]
    ('ines-orta', 'record line 2: the last line i')
    """
    if len(data) > MAX_BYTES:
        return RecordReading(None, (), (f"{name}: {len(data)} bytes; at most {MAX_BYTES} are read",))
    header: RecordHeader | None = None
    answers: dict[str, AnswerLine] = {}
    problems: list[str] = []
    lines = data.removeprefix(b"\xef\xbb\xbf").split(b"\n")
    torn = lines.pop()  # what stands behind the last line end: nothing, unless writing was cut off
    if torn.strip():
        lines.append(torn)
    if len(lines) > MAX_LINES:
        problems.append(f"{name}: {len(lines)} lines; only the first {MAX_LINES} are read")
    for number, raw in enumerate(lines[:MAX_LINES], start=1):
        if not raw.strip():
            continue
        try:
            if len(raw) > MAX_LINE:
                raise RecordError(f"{len(raw)} bytes; at most {MAX_LINE} are read")
            parsed = _parsed(raw, cut_off=bool(torn.strip()) and number == len(lines))
            if isinstance(parsed, dict) and "format" in parsed:
                found = header_from_data(parsed)
                if header is not None and header != found:
                    raise RecordError("a second first line that differs; the first one stands")
                header = found
                continue
            answer = answer_from_data(parsed, is_plain=True, is_short=len(raw) <= SHORT_LINE)
            if answers.setdefault(answer.id, answer) != answer:
                raise RecordError(f"answer {answer.id} stands twice and differs; the first one stands")
        except RecordError as error:
            problems.append(f"{name} line {number}: {error}")
    if header is None and (answers or problems):
        problems.append(f"{name}: no first line that names lesson and student")
    if len(problems) > MAX_PROBLEMS:
        problems[MAX_PROBLEMS:] = [f"{name}: and {len(problems) - MAX_PROBLEMS} more lines that cannot be read"]
    return RecordReading(header, tuple(answers.values()), tuple(problems))


def merge_answers(*sources: tuple[AnswerLine, ...]) -> tuple[tuple[AnswerLine, ...], tuple[str, ...]]:
    """Return all answers of several copies of one record, earliest first, and the conflicts.

    Lines are matched by answer id. Where two copies of one id differ, the earlier one stands and it is reported.
    """
    merged: dict[str, AnswerLine] = {}
    conflicts: list[str] = []
    for answer in (answer for source in sources for answer in source):
        other = merged.setdefault(answer.id, answer)
        if other != answer:
            merged[answer.id] = min(other, answer, key=lambda each: each.order)
            conflicts.append(f"answer {answer.id} differs between the record and the notebook; the earlier one stands")
    return tuple(sorted(merged.values(), key=lambda each: each.order)), tuple(conflicts)
