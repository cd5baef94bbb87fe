"""How long each measure really is, and which number players give it.

Conventions (common practice of engraving): a short first measure is a pickup and is not counted, so that the first full
bar is bar 1; where a repeat sign or double bar splits a bar, its two halves are one bar and share its number; endings
are counted one after the other. Numbers that the file gives are kept where they count so; where a file counts a
pickup or a half bar, later numbers move up by one (as printed analyses count too). A file that numbers nothing, or every
measure alike, is counted.
"""

from dataclasses import dataclass

from musictheory_nb.score.draft import DraftMeasure


@dataclass(slots=True)
class CountedMeasure:
    """What counting finds out about one measure; lengths in ticks."""

    length: int
    full: int
    offset: int
    number: str
    metre: str
    is_pickup: bool
    continues: bool


def measure_lengths(measures: list[DraftMeasure], ticks_per_quarter: int) -> list[tuple[int, int, str]]:
    """Return length, full length and metre of each measure.

    An empty measure is as long as its metre asks for, and so is one that only rests overfill. A last measure that
    only empty space makes full is as long as what stands in it, if that and the pickup make one bar.
    """
    found = []
    metre, full = "", 0
    for measure in measures:
        if measure.metre or measure.full:
            metre, full = measure.metre, measure.full
        length = (measure.content if measure.filled else 0) or full or measure.content or 4 * ticks_per_quarter
        if 0 < full < length and measure.sounding <= full:
            length = full
        found.append((length, full or length, metre))
    filled = measures[-1].filled
    if len(found) > 1 and 0 < found[0][0] < found[0][1] == found[-1][1] == found[0][0] + filled:
        found[-1] = (filled, *found[-1][1:])
    return found


def _splits(measures: list[DraftMeasure], sizes: list[tuple[int, int, str]], at: int) -> bool:
    """Whether measure `at` is the second half of the bar that the measure before it began."""
    if at == 0:
        return False
    before, after = measures[at - 1], measures[at]
    (length, full, metre), (next_length, next_full, next_metre) = sizes[at - 1], sizes[at]
    if metre != next_metre or full != next_full or length >= full or length + next_length != full:
        return False
    if before.ending_stop and after.ending_start:
        return False  # two endings are alternatives, not halves
    closed = before.repeat_end or after.repeat_start or before.barline in ("double", "final", "heavy")
    if not closed and not after.implicit and (not after.printed or _plain_number(after.printed) is not None):
        return False  # two short bars with nothing between them that would split one
    # A first measure that is printed 0 or not at all is a pickup, even before a short first bar.
    return not (at == 1 and not after.implicit and measures[0].printed in ("", "0"))


def count_measures(measures: list[DraftMeasure], ticks_per_quarter: int) -> list[CountedMeasure]:
    """Return length, place and number of every measure."""
    sizes = measure_lengths(measures, ticks_per_quarter)
    found: list[CountedMeasure] = []
    for at, (measure, (length, full, metre)) in enumerate(zip(measures, sizes, strict=True)):
        short = length < full
        continues = short and _splits(measures, sizes, at) and not found[-1].continues
        is_pickup = offset = 0
        if continues:
            offset = sizes[at - 1][0]
            if found[-1].is_pickup:  # the bar is whole: it began with its first half, not with a pickup
                found[-1].is_pickup, found[-1].offset = False, 0
        elif short and measure.filled and (at == 0 or _opens(measures, sizes, at)):
            is_pickup, offset = 1, full - length
        found.append(CountedMeasure(length, full, offset, "", metre, bool(is_pickup), continues))
    _number(measures, found)
    return found


def _opens(measures: list[DraftMeasure], sizes: list[tuple[int, int, str]], at: int) -> bool:
    """Whether a short measure amid the piece is the pickup of a new section: it follows a bar that is closed."""
    if at + 1 < len(measures) and _splits(measures, sizes, at + 1):
        return False
    before = measures[at - 1]
    closed = before.repeat_end or before.barline in ("double", "final") or before.ending_stop
    if measures[at].implicit:
        return at + 1 < len(measures)
    return closed and at + 1 < len(measures) and not (measures[at].repeat_end or measures[at].ending_stop)


def _plain_number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else None


def _number(measures: list[DraftMeasure], found: list[CountedMeasure]) -> None:
    printed = [_plain_number(measure.printed) for measure in measures]
    implicit = [measure.implicit for measure in measures]
    if 2 * sum(implicit) > len(measures) + 1:
        implicit = [False] * len(measures)  # a file that says so of every measure says nothing
    uncounted = [
        counted.continues or implicit[at] or (counted.is_pickup and at == 0) for at, counted in enumerate(found)
    ]
    values = [number for number, skip in zip(printed, uncounted, strict=True) if not skip]
    recount = all(value is None for value in values) or (len(values) > 1 and len(set(values)) == 1)
    shift, last = (-1 if printed[0] == 0 and not uncounted[0] else 0), 0  # a full first bar is bar 1
    for at, (measure, counted) in enumerate(zip(measures, found, strict=True)):
        number = printed[at]
        if uncounted[at]:
            shift += _takes_a_number(printed, at)
            if at == 0:
                last = 0 if number in (None, 1) else number or 0
                counted.number = str(last)
            else:
                counted.number = found[at - 1].number
        elif recount or not measure.printed:
            last += 1
            counted.number = str(last)
        elif number is None:
            counted.number = measure.printed
        else:
            last = max(number - shift, 0)
            counted.number = str(last)


def _takes_a_number(printed: list[int | None], at: int) -> bool:
    """Whether the file counts a measure that players do not: the next number goes on from its own."""
    number = printed[at]
    following = printed[at + 1] if at + 1 < len(printed) else None
    if number is None:
        return False
    if at == 0:
        return number == 1 and following == 2
    return printed[at - 1] == number - 1 and following in (None, number + 1)
