"""How a note is written in its metre: cut at barlines and where a beat would not be seen, into single tied values.

Notes
-----
The rules of engravers, common practice, no source: a note that begins and ends on beats is one value where there is one
for it; a dotted beat with the half of the next, and the syncopation of half a beat, a beat and half a beat, are written
so in simple time; whatever else crosses a beat is tied over it. The middle of a measure of four beats, and where groups
of an odd metre begin, are crossed only by a note from beat to beat. A rest is written beat by beat, except half a measure
of four beats and a whole measure.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from musictheory_nb.practice.aligned_distance import LineNote
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.rhythm_figure import accents_of, beats_of
from musictheory_nb.practice.written_duration import single_values, written_value


@lru_cache(maxsize=64)
def _places(metre: str, grouping: tuple[int, ...]) -> tuple[tuple[Fraction, ...], frozenset[Fraction], bool]:
    """Where beats begin, with the end of the measure; which of them are strong; whether beats divide in three."""
    beats = beats_of(metre, grouping)
    onsets = (*(beat.onset for beat in beats), measure_quarters(metre))
    strong = {onsets[0], onsets[-1], *accents_of(metre, grouping)}
    if len(beats) == 4:
        strong.add(onsets[2])
    return onsets, frozenset(strong), any(beat.kind == "compound" for beat in beats)


def strong_places(metre: str, grouping: tuple[int, ...] = ()) -> tuple[Fraction, ...]:
    """Return the strong beats of a measure, in quarters from its beginning.

    Examples
    --------
    >>> [[str(at) for at in strong_places(metre)] for metre in ("4/4", "3/4", "12/8", "5/4")]
    [['0', '2'], ['0'], ['0', '3'], ['0', '3']]
    """
    onsets, strong, _ = _places(metre, grouping)
    return tuple(sorted(strong - {onsets[-1]}))


def _is_shown(start: Fraction, end: Fraction, metre: str, grouping: tuple[int, ...], is_rest: bool) -> bool:
    """Return whether a note or rest within one measure may be one value."""
    onsets, strong, in_threes = _places(metre, grouping)
    if written_value(end - start) is None:
        return False
    first = bisect_right(onsets, start)
    if end <= onsets[first]:
        return True
    if is_rest:
        return start in strong and end in strong and not (grouping and end - start < onsets[-1])
    from_beat = start in onsets
    if from_beat and end in onsets:
        return not grouping or start in strong or not any(start < place < end for place in strong)
    if in_threes or any(start < place < end for place in strong):
        return False
    beat = onsets[1] - onsets[0]
    return end - start == (beat * Fraction(3, 2) if from_beat else beat) and (end - onsets[0]) % (beat / 2) == 0


@lru_cache(maxsize=8192)
def metric_pieces(
    onset: Fraction,
    quarters: Fraction,
    metre: str,
    grouping: tuple[int, ...] = (),
    pickup: Fraction = Fraction(0),
    is_rest: bool = False,
) -> tuple[Fraction, ...]:
    """Return the written values of a note, in quarters, in order.

    Parameters
    ----------
    onset : Fraction
        Quarters from the beginning of the line, pickup included.
    quarters : Fraction
        How long it lasts.
    metre : str
        Such as ``'6/8'``.
    grouping : tuple of int
        Of an odd metre.
    pickup : Fraction
        Quarters before the first full measure.
    is_rest : bool
        Whether it is a rest.

    Examples
    --------
    >>> [str(piece) for piece in metric_pieces(Fraction(0), Fraction(5, 2), "6/8")]
    ['3/2', '1']
    >>> [str(piece) for piece in metric_pieces(Fraction(1, 2), Fraction(1), "4/4")]
    ['1']
    >>> [str(piece) for piece in metric_pieces(Fraction(3, 2), Fraction(1), "4/4")]
    ['1/2', '1/2']
    """
    full = measure_quarters(metre)
    onsets, _, _ = _places(metre, grouping)
    found: list[Fraction] = []
    at, end = onset, onset + quarters
    while at < end:
        start = (at - pickup) % full
        stop = min(start + end - at, full)
        ends = [stop, *(place for place in reversed(onsets) if start < place < stop)]
        cut = next((place for place in ends if _is_shown(start, place, metre, grouping, is_rest)), ends[-1])
        found += [cut - start] if written_value(cut - start) is not None else single_values(cut - start)
        at += cut - start
    return tuple(found)


def metric_rows(
    notes: Sequence[LineNote],
    metre: str,
    grouping: tuple[int, ...] = (),
    pickup: Fraction = Fraction(0),
    pitch: str = "",
) -> list[JSON]:
    """Return notes as rows of a staff, each cut as its metre has it; with `pitch` all sounding ones on that pitch.

    Examples
    --------
    >>> metric_rows([LineNote("C4", Fraction(5, 2)), LineNote("", Fraction(1, 2), Fraction(5, 2))], "3/4")
    [[['C4'], '2', True], [['C4'], '1/2', False], [[], '1/2', False]]
    """
    rows: list[JSON] = []
    for note in notes:
        pieces = metric_pieces(note.onset, note.quarters, metre, grouping, pickup, not note.pitch)
        for number, piece in enumerate(pieces):
            tied = bool(note.pitch) and number + 1 < len(pieces)
            rows.append([[pitch or note.pitch] if note.pitch else [], str(piece), tied])
    return rows
