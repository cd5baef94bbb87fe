"""Late work: how late it is, and what that takes from a mark.

A *started* day or hour counts whole. Days end at the clock time of the due time in the zone in which it is written, so
that the hour that summer time adds or takes makes nobody later (see `time_span.moment_after`).
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from types import MappingProxyType
from typing import Final

from musictheory_nb.classroom.due_time import DueTime
from musictheory_nb.classroom.number_text import number_text
from musictheory_nb.classroom.policy_section import ByName, Section, is_number, is_one_of, words_of
from musictheory_nb.classroom.time_span import ALLOWED, NO_TIME, TimeSpan, is_span, moment_after, read_span, utc_moment
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON

PER: Final = MappingProxyType(
    {"none": "late work counts in full", "day": "each started day", "hour": "each started hour"}
)
OF: Final = MappingProxyType(
    {"mark": "percent of the mark reached", "full": "percentage points, as percent of the full mark"}
)
BY: Final = MappingProxyType(
    {
        "hand-in": "all work is as late as its latest answer that counts",
        "answers": "each answer by itself; answers in time keep their full mark",
    }
)
#: No work is later than this many units.
MAX_UNITS: Final = 24 * 3660

SECTION: Final = Section(
    "late",
    "What late work loses.",
    (
        Setting("per", "none", "What is counted.", words_of(PER), is_one_of(*PER)),
        Setting("takes", 10, "Percent that each of them takes.", "0 to 100", is_number(0, 100)),
        Setting("of", "mark", "Percent of what.", words_of(OF), is_one_of(*OF)),
        Setting("by", "hand-in", "Which time decides.", words_of(BY), is_one_of(*BY)),
        Setting("grace", "", "Time after the due time that costs nothing.", ALLOWED, is_span),
        Setting("most", 100, "Most that lateness can take, in percent.", "0 to 100", is_number(0, 100)),
        Setting("closes", "", "Time after the due time from which answers count nothing.", ALLOWED, is_span),
    ),
    (
        ByName(
            "extra", "student", "Extra time of a student: the due time, and all that follows, is later by it.",
            ALLOWED, is_span, '"ines-orta" = "2 days"',
        ),
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class LateRule:
    """The rule on late work; see `SECTION` for what each field means."""

    per: str = "none"
    takes: float = 10.0
    of: str = "mark"
    by: str = "hand-in"
    grace: TimeSpan = NO_TIME
    most: float = 100.0
    closes: TimeSpan = NO_TIME
    extra: Mapping[str, TimeSpan] = field(default_factory=lambda: MappingProxyType({}))

    @classmethod
    def from_settings(cls, settings: Mapping[str, JSON]) -> "LateRule":
        """Return the rule that checked settings state."""
        spans = {name: read_span(settings[name]) for name in ("grace", "closes")}
        extra = MappingProxyType({student: read_span(text) for student, text in settings["extra"].items()})
        return cls(**{**settings, **spans, "extra": extra})


def started_units(rule: LateRule, due: DueTime, time: str, extra: TimeSpan = NO_TIME) -> int:
    """Return how many days or hours late `time` is, each started one counted; 0 in time or within the grace.

    Parameters
    ----------
    rule : LateRule
        Which unit, and the grace.
    due : DueTime
        The due time of the class.
    time : str
        UTC, as the record writes it.
    extra : TimeSpan
        The student's extra time.

    Examples
    --------
    >>> from musictheory_nb.classroom.due_time import read_due
    >>> due = read_due("2026-11-06 18:00 UTC")
    >>> [started_units(LateRule("day"), due, f"2026-11-0{day}T18:00:01Z") for day in (5, 6, 7)]
    [0, 1, 2]
    """
    if rule.per == "none":
        return 0
    moment = utc_moment(time)
    free = extra + rule.grace
    if moment <= moment_after(due, free):
        return 0
    if rule.per == "hour":
        late = moment - moment_after(due, free)
        return min(MAX_UNITS, -(-late // timedelta(hours=1)))
    # Close to it by the calendar, then exactly: a day may have 23 or 25 hours.
    units = max(1, (moment - moment_after(due, free)).days - 1)
    while units < MAX_UNITS and moment > moment_after(due, free + TimeSpan(days=units)):
        units += 1
    return units


def is_closed(rule: LateRule, due: DueTime, time: str, extra: TimeSpan = NO_TIME) -> bool:
    """Return whether an answer given at `time` comes too late to count at all."""
    return bool(rule.closes) and utc_moment(time) > moment_after(due, extra + rule.closes)


def deduction(rule: LateRule, units: int) -> float:
    """Return what `units` of lateness take, in percent, 0 to 100.

    Examples
    --------
    >>> deduction(LateRule("day", takes=10, most=25), 2), deduction(LateRule("day", takes=10, most=25), 9)
    (20, 25)
    """
    return min(rule.most, 100, units * rule.takes)


def late_words(rule: LateRule, units: int) -> str:
    """Return the deduction in words.

    Examples
    --------
    >>> late_words(LateRule("day"), 2), late_words(LateRule("hour", of="full"), 1)
    ('late 2 days: −20 % of the mark', 'late 1 hour: −10 % of the full mark')
    """
    unit = rule.per if units == 1 else f"{rule.per}s"
    what = "the mark" if rule.of == "mark" else "the full mark"
    return f"late {units} {unit}: −{number_text(deduction(rule, units))} % of {what}"
