"""Extra time that a student has: how much later than the class's their work is due."""

import re
from datetime import UTC
from typing import Final

from musictheory_nb.classroom.due_time import DueTime, zone_of
from musictheory_nb.classroom.time_span import TimeSpan, moment_after, read_span
from musictheory_nb.errors import ManifestError, PolicyError, RosterError

#: Short forms of units as tables have them -> the unit in full.
_UNITS: Final = (
    (re.compile(r"\b(w|wks?)\b"), "weeks"),
    (re.compile(r"\bd\b"), "days"),
    (re.compile(r"\b(h|hrs?)\b"), "hours"),
    (re.compile(r"\b(m|mins?)\b"), "minutes"),
)
_CLOCK: Final = re.compile(r"(\d{1,3}):([0-5]\d)", re.ASCII)
_ADVICE: Final = "write how much later it is due, as '2 days', '36 h' or '1 h 30 min'"


def read_extra_time(text: str) -> TimeSpan:
    """Return the extra time that a teacher's text means.

    Raises
    ------
    RosterError
        It is none. A share (``25 %``, ``1.25``) is refused: homework has no length of which it could be one.

    Examples
    --------
    >>> [str(read_extra_time(text)) for text in ("2 days", "1h 30min", "36:00")]
    ['2 days', '1 hour 30 minutes', '36 hours']
    >>> read_extra_time("25 %")
    Traceback (most recent call last):
    musictheory_nb.errors.RosterError: extra time '25 %': write how much later it is due, as '2 days', '36 h' or '1 h 30 min'
    """
    if match := _CLOCK.fullmatch(text.strip()):
        return TimeSpan(0, 60 * int(match[1]) + int(match[2]))
    plain = re.sub(r"(?<=\d)(?=[a-z])", " ", text.casefold()).replace(".", "")
    for short, unit in _UNITS:
        plain = short.sub(unit, plain)
    try:
        span = read_span(plain)
    except PolicyError:
        span = TimeSpan()
    if not span:
        raise RosterError(f"extra time {text!r}: {_ADVICE}")
    return span


def later_due(due: DueTime, extra: TimeSpan) -> DueTime:
    """Return when work is due for a student with extra time; see `moment_after`.

    Raises
    ------
    RosterError
        That is after the year 9999.

    Examples
    --------
    >>> from musictheory_nb.classroom.due_time import read_due
    >>> due = read_due("2026-10-31 23:59 America/New_York")
    >>> later_due(due, TimeSpan(days=1)).written, later_due(due, TimeSpan(minutes=24 * 60)).written
    ('2026-11-01 23:59 America/New_York', '2026-11-01 22:59 America/New_York')
    """
    try:
        zone, name = zone_of(due)
    except ManifestError:  # a due time of an old hand-out, written otherwise
        zone, name = UTC, "UTC"
    try:
        later = moment_after(due, extra).astimezone(UTC)
        written = f"{later.astimezone(zone).strftime('%Y-%m-%d %H:%M')} {name}"
    except OverflowError:
        raise RosterError(f"extra time of {extra} after {due.written!r}: no calendar goes so far") from None
    return DueTime(later.strftime("%Y-%m-%dT%H:%M:%SZ"), written)
