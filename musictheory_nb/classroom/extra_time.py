"""Extra time that a student has: how much later than the class's their work is due."""

import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Final

from musictheory_nb.classroom.due_time import DueTime, read_due, zone_of
from musictheory_nb.errors import ManifestError, RosterError

#: Unit -> (days, minutes) of one, by its first letters.
_UNITS: Final = (
    (re.compile(r"w(eeks?|k)?"), 7, 0),
    (re.compile(r"d(ays?)?"), 1, 0),
    (re.compile(r"h(ours?|rs?)?"), 0, 60),
    (re.compile(r"m(in(ute)?s?)?"), 0, 1),
)
_PART: Final = re.compile(r"(\d{1,4})\s*([a-z]+)\.?", re.ASCII)
_CLOCK: Final = re.compile(r"(\d{1,3}):([0-5]\d)", re.ASCII)
_ADVICE: Final = "write how much later it is due, as '2 days', '36 h' or '1 h 30 min'"


@dataclass(frozen=True, slots=True)
class ExtraTime:
    """Whole days, which end at the same time of day, and minutes, which pass on any clock."""

    days: int = 0
    minutes: int = 0


def read_extra_time(text: str) -> ExtraTime:
    """Return the extra time that a teacher's text means.

    Raises
    ------
    RosterError
        It is none. A share (``25 %``, ``1.25``) is refused: homework has no length of which it could be one.

    Examples
    --------
    >>> read_extra_time("2 days"), read_extra_time("1 h 30 min"), read_extra_time("36:00")
    (ExtraTime(days=2, minutes=0), ExtraTime(days=0, minutes=90), ExtraTime(days=0, minutes=2160))
    >>> read_extra_time("25 %")
    Traceback (most recent call last):
    musictheory_nb.errors.RosterError: extra time '25 %': write how much later it is due, as '2 days', '36 h' or '1 h 30 min'
    """
    plain = " ".join(text.casefold().replace(",", " ").split())
    if match := _CLOCK.fullmatch(plain):
        return ExtraTime(0, 60 * int(match[1]) + int(match[2]))
    days = minutes = 0
    if not plain or _PART.sub("", plain).replace("and", "").strip():
        raise RosterError(f"extra time {text!r}: {_ADVICE}")
    for number, unit in _PART.findall(plain):
        found = next((row for row in _UNITS if row[0].fullmatch(unit)), None)
        if found is None:
            raise RosterError(f"extra time {text!r}: {_ADVICE}")
        days += int(number) * found[1]
        minutes += int(number) * found[2]
    return ExtraTime(days, minutes)


def later_due(due: DueTime, extra: ExtraTime) -> DueTime:
    """Return when work is due for a student with extra time.

    Days are days of the calendar where it is due: a day later is the same time of day, though clocks change in the night.
    Hours and minutes are as long as they are.

    Raises
    ------
    RosterError
        That is after the year 9999.

    Examples
    --------
    >>> due = read_due("2026-10-31 23:59 America/New_York")
    >>> later_due(due, ExtraTime(days=1)), later_due(due, ExtraTime(minutes=24 * 60))
    (DueTime(utc='2026-11-02T04:59:00Z', written='2026-11-01 23:59 America/New_York'), DueTime(utc='2026-11-02T03:59:00Z', written='2026-11-01 22:59 America/New_York'))
    """
    try:
        zone, name = zone_of(due)
    except ManifestError:  # a due time of an old hand-out, written otherwise
        zone, name = UTC, "UTC"
    try:
        moment = datetime.fromisoformat(due.utc).astimezone(zone)
        if extra.days:
            shifted = (moment + timedelta(days=extra.days)).strftime("%Y-%m-%d %H:%M")
            moment = datetime.fromisoformat(read_due(f"{shifted} {name}").utc).astimezone(zone)
        later = moment.astimezone(UTC) + timedelta(minutes=extra.minutes)
        written = f"{later.astimezone(zone).strftime('%Y-%m-%d %H:%M')} {name}"
    except OverflowError:
        raise RosterError(f"extra time of {extra.days} days after {due.written!r}: no calendar goes so far") from None
    return DueTime(later.strftime("%Y-%m-%dT%H:%M:%SZ"), written)
