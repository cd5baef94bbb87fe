"""A length of time as a teacher writes it: "10 minutes", "2 days", "1 day 12 hours"."""

import re
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.due_time import DueTime, read_due
from musictheory_nb.errors import ManifestError, PolicyError

#: Unit -> (days, minutes).
UNITS: Final = MappingProxyType({"minute": (0, 1), "hour": (0, 60), "day": (1, 0), "week": (7, 0)})
ALLOWED: Final = "a number and minutes, hours, days or weeks, as '10 minutes' or '1 day 12 hours'; '' for none"
#: Longest span, in days.
MAX_DAYS: Final = 3660

_PART: Final = re.compile(r"(\d{1,6})\s*(minute|hour|day|week)s?", re.ASCII)
_TEXT: Final = re.compile(r"\s*(?:\d{1,6}\s*(?:minute|hour|day|week)s?\s*)*", re.ASCII)
_DATE: Final = re.compile(r"(\d{4}-\d\d-\d\d)(.*)", re.ASCII)


@dataclass(frozen=True, slots=True)
class TimeSpan:
    """Whole days, as the calendar counts them, and minutes, as a clock does."""

    days: int = 0
    minutes: int = 0

    def __bool__(self) -> bool:
        return bool(self.days or self.minutes)

    def __add__(self, other: "TimeSpan") -> "TimeSpan":
        return TimeSpan(self.days + other.days, self.minutes + other.minutes)

    def __str__(self) -> str:
        hours, minutes = divmod(self.minutes, 60)
        parts = ((self.days, "day"), (hours, "hour"), (minutes, "minute"))
        told = [f"{count} {unit}" if count == 1 else f"{count} {unit}s" for count, unit in parts if count]
        return " ".join(told) or "0 minutes"


#: No time at all.
NO_TIME: Final = TimeSpan()


def read_span(text: str) -> TimeSpan:
    """Return the span that `text` means; an empty text is none.

    Raises
    ------
    PolicyError
        It is no span.

    Examples
    --------
    >>> str(read_span("1 day 12 hours")), str(read_span("90 minutes"))
    ('1 day 12 hours', '1 hour 30 minutes')
    >>> read_span("soon")
    Traceback (most recent call last):
    musictheory_nb.errors.PolicyError: time 'soon'; allowed: a number and minutes, hours, days or weeks, as '10 minutes' or '1 day 12 hours'; '' for none
    """
    if not isinstance(text, str) or not _TEXT.fullmatch(text):
        raise PolicyError(f"time {text!r}; allowed: {ALLOWED}")
    days = minutes = 0
    for number, unit in _PART.findall(text):
        days += int(number) * UNITS[unit][0]
        minutes += int(number) * UNITS[unit][1]
    if days + minutes / 1440 > MAX_DAYS:
        raise PolicyError(f"time {text!r}; at most {MAX_DAYS} days")
    return TimeSpan(days, minutes)


def is_span(text: object) -> bool:
    """Return whether `text` can be read by `read_span`."""
    try:
        read_span(text)  # type: ignore[arg-type]
    except PolicyError:
        return False
    return True


def utc_moment(utc: str) -> datetime:
    """Return the moment that a record or a due time writes in UTC.

    Examples
    --------
    >>> utc_moment("2026-03-02T10:00:00.250Z").isoformat()
    '2026-03-02T10:00:00.250000+00:00'
    """
    return datetime.fromisoformat(utc)


def moment_after(due: DueTime, span: TimeSpan) -> datetime:
    """Return the moment `span` after `due`.

    Days end at the same clock time in the zone in which the due time is written, whatever summer time does in between;
    hours and minutes are those of a clock that is never changed.

    Examples
    --------
    >>> due = read_due("2026-10-24 23:59 Europe/Berlin")  # summer time ends in the night that follows
    >>> moment_after(due, TimeSpan(days=1)) - moment_after(due, TimeSpan())
    datetime.timedelta(days=1, seconds=3600)
    """
    moment = utc_moment(due.utc)
    if span.days:
        moment += timedelta(days=span.days)
        if match := _DATE.match(due.written):
            try:
                later = date.fromisoformat(match[1]) + timedelta(days=span.days)
                moment = utc_moment(read_due(f"{later.isoformat()}{match[2]}").utc)
            except (ManifestError, ValueError, OverflowError):
                pass  # written otherwise: 24 hours a day
    return moment + timedelta(minutes=span.minutes)
