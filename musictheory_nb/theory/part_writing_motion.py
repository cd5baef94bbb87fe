"""Faults of two voices in motion and of voices at one moment: parallels, hidden intervals, crossing, spacing, range."""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import Final, NamedTuple

from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.part_writing_rule import VOICE_RANGES, Fault
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.voice_leading import motion_of, step_of

_OCTAVE: Final = 12
#: Names of perfect intervals by (letters, semitones) within an octave.
_FIFTH: Final = (4, 7)
_UNISON: Final = (0, 0)


class Moment(NamedTuple):
    """What sounds at one beat: its label, and the pitch of each voice from the highest voice down (None: rests)."""

    beat: str
    pitches: tuple[Pitch | None, ...]


def motion_faults(voices: Sequence[str], before: Moment, after: Moment) -> Iterator[Fault]:
    """Faults between two moments that follow each other.

    Examples
    --------
    >>> before, after = Moment("1", (Pitch("G4"), Pitch("C4"))), Moment("2", (Pitch("A4"), Pitch("D4")))
    >>> [fault.rule for fault in motion_faults(("soprano", "bass"), before, after)]
    ['parallel fifths']
    """
    pairs = [
        (place, old, new)
        for place, (old, new) in enumerate(zip(before.pitches, after.pitches, strict=True))
        if old is not None and new is not None
    ]
    for (high, old_high, new_high), (low, old_low, new_low) in combinations(pairs, 2):
        names = (voices[high], voices[low])
        outer = high == 0 and low == len(voices) - 1
        yield from _perfects(names, (old_high, new_high), (old_low, new_low), outer, after.beat)
        if low == len(voices) - 1:
            yield from _unequal(names, (old_high, new_high), (old_low, new_low), after.beat)
        if low == high + 1:
            yield from _overlap(names, (old_high, new_high), (old_low, new_low), after.beat)
    yield from _cross_relations(voices, pairs, after.beat)
    moves = [new.chromatic - old.chromatic for _, old, new in pairs]
    if len(moves) > 3 and (all(move > 0 for move in moves) or all(move < 0 for move in moves)):
        way = "up" if moves[0] > 0 else "down"
        yield Fault(
            "all voices in one direction",
            tuple(voices[place] for place, _, _ in pairs),
            after.beat,
            tuple(_moved(old, new) for _, old, new in pairs),
            f"all voices move {way} to beat {after.beat}",
        )


def _moved(old: Pitch, new: Pitch) -> str:
    return f"{old.name} {new.name}"


def _apart(high: Pitch, low: Pitch) -> tuple[int, int]:
    """Letters and semitones from the lower to the higher of two pitches, octaves left out."""
    letters, semitones = high.diatonic - low.diatonic, high.chromatic - low.chromatic
    if (letters, semitones) < (0, 0):
        letters, semitones = -letters, -semitones
    return letters % 7, semitones - _OCTAVE * (letters // 7)


def _perfects(
    names: tuple[str, str], high: tuple[Pitch, Pitch], low: tuple[Pitch, Pitch], outer: bool, beat: str
) -> Iterator[Fault]:
    second = _apart(high[1], low[1])
    if second not in (_FIFTH, _UNISON):
        return
    motion = motion_of(high, low)
    if motion in ("static", "oblique"):
        return
    first = _apart(high[0], low[0])
    notes = (_moved(*high), _moved(*low))
    what = f"between {names[0]} and {names[1]} at beat {beat}: {high[0].name}/{low[0].name} to {high[1].name}/{low[1].name}"
    if first == second:
        if second == _FIFTH:
            kind = "contrary fifths" if motion == "contrary" else "parallel fifths"
        elif motion == "contrary":
            kind = "contrary octaves"
        else:
            kind = "parallel unisons" if high[0] == low[0] and high[1] == low[1] else "parallel octaves"
        yield Fault(kind, names, beat, notes, f"{kind} {what}")
    elif outer and motion != "contrary" and first[0] != second[0] and step_of(*high) == "leap":
        kind = "hidden fifths" if second == _FIFTH else "hidden octaves"
        yield Fault(kind, names, beat, notes, f"{kind} {what}, {names[0]} by leap")


def _unequal(names: tuple[str, str], high: tuple[Pitch, Pitch], low: tuple[Pitch, Pitch], beat: str) -> Iterator[Fault]:
    is_unequal = _apart(high[1], low[1]) == _FIFTH and _apart(high[0], low[0]) == (4, 6)
    if is_unequal and motion_of(high, low) in ("parallel", "similar"):
        reason = f"a diminished fifth between {names[0]} and {names[1]} moves to a perfect one at beat {beat}"
        yield Fault("unequal fifths", names, beat, (_moved(*high), _moved(*low)), reason)


def _overlap(names: tuple[str, str], high: tuple[Pitch, Pitch], low: tuple[Pitch, Pitch], beat: str) -> Iterator[Fault]:
    if high[0].chromatic < low[0].chromatic or high[1].chromatic < low[1].chromatic:
        return  # they cross, which is told of the moment
    upper, lower = names
    if low[1].chromatic > high[0].chromatic:
        reason = f"{lower} goes to {low[1].name} at beat {beat}, above {high[0].name}, where {upper} just was"
        yield Fault("overlap", names, beat, (_moved(*high), _moved(*low)), reason)
    if high[1].chromatic < low[0].chromatic:
        reason = f"{upper} goes to {high[1].name} at beat {beat}, below {low[0].name}, where {lower} just was"
        yield Fault("overlap", names, beat, (_moved(*high), _moved(*low)), reason)


def _cross_relations(voices: Sequence[str], pairs: list[tuple[int, Pitch, Pitch]], beat: str) -> Iterator[Fault]:
    """A note, then its alteration in another voice, while the voice that had it does not itself go there."""
    for place, old, new in pairs:
        if new.step == old.step and new.alter != old.alter:
            continue
        for other, other_old, other_new in pairs:
            itself = other_old.step == other_new.step
            if other != place and other_new.step == old.step and other_new.alter != old.alter and not itself:
                names = tuple(voices[index] for index in sorted((place, other)))
                reason = f"{voices[place]} has {old.name} and {voices[other]} {other_new.name} right after it, at beat {beat}"
                yield Fault("cross relation", names, beat, (old.name, other_new.name), reason)


def moment_faults(voices: Sequence[str], moment: Moment) -> Iterator[Fault]:
    """Faults of what sounds at one beat: crossing, spacing, range.

    Examples
    --------
    >>> [fault.reason for fault in moment_faults(("alto", "tenor"), Moment("3", (Pitch("C4"), Pitch("E4"))))]
    ['alto (C4) lies below tenor (E4) at beat 3']
    """
    beat = moment.beat
    for place, pitch in enumerate(moment.pitches):
        limits = VOICE_RANGES.get(voices[place].lower())
        if pitch is not None and limits:
            low, high = Pitch(limits[0]), Pitch(limits[1])
            if not low.chromatic <= pitch.chromatic <= high.chromatic:
                side = "above" if pitch > high else "below"
                reason = f"{voices[place]} has {pitch.name} at beat {beat}, {side} its range {low.name} to {high.name}"
                yield Fault("range", (voices[place],), beat, (pitch.name,), reason)
    sounding = [(place, pitch) for place, pitch in enumerate(moment.pitches) if pitch is not None]
    for (high_place, upper), (low_place, lower) in pairwise(sounding):
        names = (voices[high_place], voices[low_place])
        if upper.chromatic < lower.chromatic:
            reason = f"{names[0]} ({upper.name}) lies below {names[1]} ({lower.name}) at beat {beat}"
            yield Fault("crossing", names, beat, (upper.name, lower.name), reason)
        elif low_place < len(voices) - 1 and upper.chromatic - lower.chromatic > _OCTAVE:
            wide = Interval.between(lower, upper)
            reason = f"{names[0]} ({upper.name}) and {names[1]} ({lower.name}) lie a {wide.name} apart at beat {beat}"
            yield Fault("spacing", names, beat, (upper.name, lower.name), reason)
