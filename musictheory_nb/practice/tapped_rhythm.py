"""A tapped rhythm against the one asked for: taps are brought to beats, then compared by what lies between them.

A tap tells where a note begins, not how long it lasts: notes are compared up to where the next one begins, and rests
belong to the note before them.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Final

from musictheory_nb.practice.aligned_distance import LineNote, line_notes
from musictheory_nb.practice.metre_beat import beat_quarters, measure_quarters
from musictheory_nb.practice.rhythm_figure import NOTE
from musictheory_nb.practice.rhythm_input import RhythmInput

#: A tap that meets no note asked for is brought to the nearest sixteenth.
_GRID: Final = Fraction(1, 4)


def onsets_of(notes: Sequence[LineNote]) -> tuple[Fraction, ...]:
    """Return where notes begin, in quarters from the beginning; rests do not count."""
    return tuple(note.onset for note in notes if note.pitch)


def taps_of(onsets: Sequence[Fraction], asked: RhythmInput) -> list[int]:
    """Return the milliseconds at which onsets fall.

    Examples
    --------
    >>> taps_of([Fraction(0), Fraction(3, 2), Fraction(2)], RhythmInput(tempo=60))
    [0, 1500, 2000]
    """
    return [round(onset / beat_quarters(asked.metre) * asked.beat_ms) for onset in onsets]


def quantised(
    taps: Sequence[int], onsets: Sequence[Fraction], asked: RhythmInput, tolerance_ms: int
) -> tuple[Fraction, ...]:
    """Return the onsets that taps mean, in quarters.

    Parameters
    ----------
    taps : sequence of int
        Milliseconds after the first beat, ascending.
    onsets : sequence of Fraction
        Where the notes asked for begin.
    asked : RhythmInput
        Metre and tempo.
    tolerance_ms : int
        A tap that is at most so far from a note, and nearer to it than to any other, is on it; never more than half of
        what lies between two notes. Of several taps on one note the nearest is it.

    Examples
    --------
    >>> asked = RhythmInput(measures=1, tempo=60)
    >>> [str(onset) for onset in quantised([-30, 1040, 1480, 2990], [Fraction(0), Fraction(1), Fraction(2)], asked, 120)]
    ['0', '1', '3/2', '3']
    """
    beat = beat_quarters(asked.metre)
    places_ms = [float(onset / beat * asked.beat_ms) for onset in onsets]
    nearest: dict[int, tuple[float, int]] = {}
    for number, tap in enumerate(taps):
        off, place = min((abs(tap - ms), at) for at, ms in enumerate(places_ms))
        if off <= tolerance_ms:
            nearest[place] = min(nearest.get(place, (off, number)), (off, number))
    met = {number for _, number in nearest.values()}
    found = {onsets[place] for place in nearest}
    for number, tap in enumerate(taps):
        if number not in met:
            onset = max(Fraction(0), round(tap / asked.beat_ms * beat / _GRID) * _GRID)
            while onset in found:
                onset += _GRID
            found.add(onset)
    return tuple(sorted(found))


def tapped_line(onsets: Sequence[Fraction], metre: str, measures: int) -> tuple[LineNote, ...]:
    """Return notes that last until the next one begins, the last to the end; a rest before the first.

    Examples
    --------
    >>> [(note.pitch, str(note.quarters)) for note in tapped_line([Fraction(1), Fraction(5, 2)], "4/4", 1)]
    [('', '1'), ('B4', '3/2'), ('B4', '3/2')]
    """
    end = max(measures * measure_quarters(metre), onsets[-1] + _GRID)
    lengths = [following - onset for onset, following in zip(onsets, [*onsets[1:], end], strict=True)]
    first = [("", onsets[0])] if onsets[0] > 0 else []
    return line_notes([*first, *((NOTE, length) for length in lengths)])
