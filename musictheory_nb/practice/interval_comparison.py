"""The right interval and the one answered, from the same note, to be heard and seen side by side."""

from collections.abc import Sequence
from functools import lru_cache

from musictheory_nb.errors import PitchError
from musictheory_nb.practice.excerpt import ExcerptPart
from musictheory_nb.practice.interval_draw import two_notes
from musictheory_nb.practice.media_request import MediaRequest
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch


@lru_cache(maxsize=4096)
def second_note(first: str, names: tuple[str, ...], direction: str) -> str | None:
    """Return the note at an interval from `first`: of intervals that sound alike, the one with the plainest spelling.

    None where every one of them leaves the range of MIDI numbers or needs four accidentals.

    Examples
    --------
    >>> second_note("B3", ("A4", "d5"), "up"), second_note("F4", ("M3",), "down")
    ('F4', 'Db4')
    """
    start, spelled = Pitch(first), []
    for name in names:
        by = Interval(name)
        try:
            spelled.append(start.down(by) if direction == "down" else start.up(by))
        except PitchError:
            continue
    spelled = [pitch for pitch in spelled if 0 <= pitch.chromatic <= 127]
    if not spelled:
        return None
    return min(spelled, key=lambda pitch: (abs(pitch.alter), pitch.name)).name


def side_by_side(
    kinds: Sequence[str], rows: Sequence[tuple[str, tuple[str, str]]], together: bool, part: ExcerptPart
) -> tuple[MediaRequest, ...]:
    """Return each pair of notes under its label, once for each kind of media, in the clef and timbre of `part`."""
    look = part.clef, part.timbre, (part.chromatic, part.diatonic)
    return tuple(
        MediaRequest(kind, two_notes(first, second, together, *look), label, "answered")
        for kind in kinds
        for label, (first, second) in rows
    )
