"""When work is due: a time with its zone, so that a grader anywhere means the same moment."""

import re
import zoneinfo
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from typing import Final

from musictheory_nb.errors import ManifestError

_FORM: Final = re.compile(r"(\d{4}-\d\d-\d\d)[ T]+(\d\d?:\d\d)(?::00)?[ ]*(\S+)?", re.ASCII)
_OFFSET: Final = re.compile(r"([+-])(\d\d):?(\d\d)", re.ASCII)
_ADVICE: Final = "write date, time and zone, as '2026-11-01 23:59 America/New_York' or '2026-11-01 23:59 +01:00'"


@dataclass(frozen=True, slots=True)
class DueTime:
    """A moment: in UTC, as the record writes time, and as the teacher wrote it."""

    utc: str
    written: str


def _zone(text: str) -> tzinfo:
    if text in ("Z", "UTC"):
        return UTC
    if match := _OFFSET.fullmatch(text):
        minutes = 60 * int(match[2]) + int(match[3])
        if minutes < 24 * 60 and int(match[3]) < 60:
            return timezone(timedelta(minutes=minutes if match[1] == "+" else -minutes))
    try:
        return zoneinfo.ZoneInfo(text)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        raise ManifestError(f"due: the zone {text!r} is not known; {_ADVICE}") from None


def zone_of(due: DueTime) -> tuple[tzinfo, str]:
    """Return the zone in which a due time was written, and its name.

    Raises
    ------
    ManifestError
        It was not written as `read_due` reads it.

    Examples
    --------
    >>> zone_of(read_due("2026-11-01 23:59 Europe/Berlin"))[1]
    'Europe/Berlin'
    """
    match = _FORM.fullmatch(due.written)
    if match is None or match[3] is None:
        raise ManifestError(f"due {due.written!r}: {_ADVICE}")
    return _zone(match[3]), match[3]


def read_due(text: str) -> DueTime:
    """Return the moment that a teacher's text means.

    A time that a clock shows twice, when summer time ends, means the later one; a time that it skips means the same
    clock an hour on. Both are in the student's favour.

    Parameters
    ----------
    text : str
        Date, time and zone (a name such as ``America/New_York``, an offset such as ``+01:00``, or ``UTC``).

    Raises
    ------
    ManifestError
        A part is missing, or is no time or zone.

    Notes
    -----
    Zone rules: the IANA time zone database, as Python's `zoneinfo` reads it.

    Examples
    --------
    >>> read_due("2026-11-01 01:30 America/New_York").utc
    '2026-11-01T06:30:00Z'
    >>> read_due("2026-11-01 23:59")
    Traceback (most recent call last):
    musictheory_nb.errors.ManifestError: due '2026-11-01 23:59': no zone; write date, time and zone, as '2026-11-01 23:59 America/New_York' or '2026-11-01 23:59 +01:00'
    """
    written = " ".join(text.split())
    match = _FORM.fullmatch(written)
    if match is None:
        raise ManifestError(f"due {written!r}: {_ADVICE}")
    if match[3] is None:
        raise ManifestError(f"due {written!r}: no zone; {_ADVICE}")
    try:
        local = datetime.strptime(f"{match[1]} {match[2]}", "%Y-%m-%d %H:%M")
        zone = _zone(match[3])
        moment = max(local.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    except (ValueError, OverflowError) as error:
        if isinstance(error, ManifestError):
            raise
        raise ManifestError(f"due {written!r}: {error}; {_ADVICE}") from None
    return DueTime(moment.strftime("%Y-%m-%dT%H:%M:%SZ"), written)
