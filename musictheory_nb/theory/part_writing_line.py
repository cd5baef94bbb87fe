"""Faults of one voice: augmented and wide melodic intervals, leaps that are not made good."""

from collections.abc import Iterator, Sequence
from functools import lru_cache
from typing import Final

from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.part_writing_rule import Fault
from musictheory_nb.theory.pitch import Pitch

_WIDE: Final = 6


def line_faults(voice: str, is_bass: bool, pitches: Sequence[Pitch | None], beats: Sequence[str]) -> Iterator[Fault]:
    """Faults of the intervals of one voice.

    Parameters
    ----------
    voice : str
        Its name.
    is_bass : bool
        Whether it is the lowest voice, which leaps more freely.
    pitches : sequence of Pitch or None
        Its pitches, None where it rests.
    beats : sequence of str
        Label of each.

    Examples
    --------
    >>> [fault.reason for fault in line_faults("alto", False, [Pitch("F4"), Pitch("G#4")], ["1", "2"])]
    ['alto goes up an augmented second, F4 to G#4, at beat 2']
    """
    for place in range(1, len(pitches)):
        old, new = pitches[place - 1], pitches[place]
        if old is None or new is None or old == new:
            continue
        interval = _interval(old, new)
        rule = _leap(interval)
        if rule:
            yield _fault(rule, voice, beats[place], old, new, interval)
            continue
        after = next((pitch for pitch in pitches[place + 1 :] if pitch != new), None)
        if after is None or interval.number < 3:
            continue
        turns = (after.chromatic - new.chromatic) * interval.semitones < 0
        if interval.quality[0] == "d" and not turns:
            yield _fault("unrecovered diminished leap", voice, beats[place], old, new, interval)
        elif interval.number >= _WIDE and not turns and not is_bass:
            yield _fault("unrecovered leap", voice, beats[place], old, new, interval)


@lru_cache(maxsize=4096)
def _interval(old: Pitch, new: Pitch) -> Interval:
    return Interval.between(old, new)


@lru_cache(maxsize=1024)
def _leap(interval: Interval) -> str:
    """Rule that an interval breaks by itself, or an empty text."""
    if interval.number > 8 or (interval.number == 8 and interval.quality[0] == "A"):
        return "leap beyond the octave"
    if interval.quality[0] == "A" and interval.number > 1:
        return "augmented second" if interval.number == 2 else "augmented interval"
    return "seventh leap" if interval.number == 7 and interval.quality[0] != "d" else ""


def _fault(rule: str, voice: str, beat: str, old: Pitch, new: Pitch, interval: Interval) -> Fault:
    article = "an" if interval.as_ascending.name[0] in "aeiou" else "a"
    way = "down" if interval.direction < 0 else "up"
    behind = ", and does not turn back" if rule.startswith("unrecovered") else ""
    reason = (
        f"{voice} goes {way} {article} {interval.as_ascending.name}, {old.name} to {new.name}, at beat {beat}{behind}"
    )
    return Fault(rule, (voice,), beat, (f"{old.name} {new.name}",), reason)
