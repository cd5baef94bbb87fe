"""Due times: a zone is kept, and the doubtful hours of clock changes go the student's way.

Changes in 2026, from memory of the rules in force (US: second Sunday of March and first of November at 2:00 local time,
Energy Policy Act of 2005; EU: last Sundays of March and October at 1:00 UTC, Directive 2000/84/EC).
"""

import pytest

from musictheory_nb.classroom.due_time import read_due
from musictheory_nb.errors import ManifestError


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2026-11-01 01:30 America/New_York", "2026-11-01T06:30:00Z"),  # case F13: twice on the clock, EST is the later
        ("2026-11-01 00:59 America/New_York", "2026-11-01T04:59:00Z"),  # still EDT, UTC-4
        ("2026-11-01 02:00 America/New_York", "2026-11-01T07:00:00Z"),  # EST, UTC-5
        ("2026-03-08 02:30 America/New_York", "2026-03-08T07:30:00Z"),  # skipped by the clock: 3:30 EDT
        ("2026-10-25 02:30 Europe/Berlin", "2026-10-25T01:30:00Z"),  # twice: CET, UTC+1, is the later
        ("2026-03-29 02:30 Europe/Berlin", "2026-03-29T01:30:00Z"),  # skipped: 3:30 CEST
        ("2026-07-01 23:59 Asia/Kolkata", "2026-07-01T18:29:00Z"),  # UTC+5:30, no changes
        ("2026-07-01 23:59 +05:30", "2026-07-01T18:29:00Z"),
        ("2026-07-01 23:59 -0330", "2026-07-02T03:29:00Z"),
        ("2026-07-01T23:59Z", "2026-07-01T23:59:00Z"),
        ("2026-07-01  9:05 UTC", "2026-07-01T09:05:00Z"),
    ],
)
def test_moment_in_utc(text, utc):
    assert read_due(text).utc == utc
    assert read_due(text).written == " ".join(text.split())


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("23:59", "write date, time and zone"),
        ("2026-11-01 23:59", "no zone; write date, time and zone"),
        ("2026-11-01", "write date, time and zone"),
        ("2026-02-30 23:59 UTC", "due '2026-02-30 23:59 UTC'"),
        ("2026-11-01 24:30 UTC", "due '2026-11-01 24:30 UTC'"),
        ("2026-11-01 23:59 EasternTime", "the zone 'EasternTime' is not known"),
        ("2026-11-01 23:59 ../../etc/passwd", "is not known"),
        ("2026-11-01 23:59 +25:00", "is not known"),
        ("01.11.2026 23:59 UTC", "write date, time and zone"),
        ("", "due ''"),
    ],
)
def test_a_moment_in_doubt_is_refused(text, message):
    with pytest.raises(ManifestError, match=message):
        read_due(text)
