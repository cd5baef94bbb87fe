"""Phrases of a section, from the line that has its melody (`section_phrases`).

Conventions: a phrase ends where the line rests or stays on a long note, and surely under a fermata; phrases like to have two or four bars, about ten
notes in a song, and to begin at the same place of the bar. Of all ways to divide the section the best is taken (dynamic
programming). They are lettered a, b, c from the section's start; one that begins like an earlier one takes its letter, with
a prime where it goes on otherwise. The levels below are not told.

Notes
-----
The principles (gap after a note, number of notes, parallel metre) are those of D. Temperley, The Cognition of Basic Musical
Structures (2001), chapter 3, from memory; the length in bars is added, and the weights are ours: they were set by half of
the bundled songs of the Essen collection, whose lines are phrases.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import log2
from typing import Final

from musictheory_nb.score.melodic_line import MelodicLine
from musictheory_nb.score.score import Score

#: Notes of a usual phrase, and bars' worth of notes where notes are quick; what it costs to have twice as many, or half.
_NOTES: Final = 10.0
_BARS_OF_NOTES: Final = 2.5
_COUNT: Final = 1.25
#: What it costs to be twice as long as two or four bars, or half as long; and to begin elsewhere in the bar.
_USUAL_BARS: Final = (2, 4)
_LENGTH: Final = 2.0
_PLACE: Final = 1.0
#: Longest phrase in bars; the least length of a note, in those of the mean, behind which one may begin elsewhere in the bar.
_MOST_BARS: Final = 12
_LONG: Final = 1.2
#: What a fermata adds to the gap behind its note.
_HELD: Final = 6.0
#: Share of the notes of the shorter phrase that must be the same from its start on, for the same letter; at least so many.
_SAME: Final = 0.5
_LEAST_SAME: Final = 4


@dataclass(frozen=True, slots=True)
class Phrase:
    """One phrase of a section.

    Parameters
    ----------
    label : str
        ``'a'``, ``"a'"``, ``'b'`` ...
    start, end : Fraction
        Quarters from the start of the score as it is played; a rest behind it belongs to none.
    first, last : int
        Indices of the measures in which it begins and ends, among those of `Score.played`.
    first_measure, last_measure : str
        Their numbers, as players count.
    part : int
        Index of the part that has the melody.
    """

    label: str
    start: Fraction
    end: Fraction
    first: int
    last: int
    first_measure: str
    last_measure: str
    part: int


@dataclass(frozen=True, slots=True)
class LineNotes:
    """Notes of one line between two places.

    Parameters
    ----------
    starts, ends, places, bars : tuple of Fraction
        Quarters from the start of the score; from the start of the bar; the length of the bar.
    pitches, measures : tuple of int
        MIDI numbers; indices of the measures.
    held : tuple of bool
        Under a fermata.
    """

    starts: tuple[Fraction, ...]
    ends: tuple[Fraction, ...]
    places: tuple[Fraction, ...]
    pitches: tuple[int, ...]
    measures: tuple[int, ...]
    bars: tuple[Fraction, ...]
    held: tuple[bool, ...]

    def __len__(self) -> int:
        return len(self.starts)


def section_phrases(played: Score, lines: Sequence[MelodicLine], start: Fraction, end: Fraction) -> tuple[Phrase, ...]:
    r"""Return the phrases between two places of a score.

    Parameters
    ----------
    played : Score
        The score as it is played.
    lines : sequence of MelodicLine
        Its lines.
    start, end : Fraction
        Quarters from the start of the score; a pickup before belongs to the section.

    Examples
    --------
    >>> from musictheory_nb.score.load import load_score
    >>> from musictheory_nb.score.melodic_line import melodic_lines
    >>> tune = load_score(b"X:1\nM:4/4\nL:1/4\nK:C\nCDEF|GEC2|CDEF|GED2|cBAG|FED2|CDEF|GEC2|]\n", cache=False)
    >>> found = section_phrases(tune, melodic_lines(tune), Fraction(0), tune.length)
    >>> [(phrase.label, phrase.first_measure, phrase.last_measure) for phrase in found]
    [('a', '1', '2'), ("a'", '3', '4'), ('b', '5', '6'), ('a', '7', '8')]
    """
    line = _leading(lines, start, end)
    if line is None:
        return ()
    notes = line_notes(played, line, start, end)
    edges = [0, *phrase_starts(notes), len(notes)]
    found = []
    for first, after in pairwise(edges):
        begin, last = notes.measures[first], notes.measures[after - 1]
        numbers = played.measures[begin].number, played.measures[last].number
        found.append(Phrase("", notes.starts[first], notes.ends[after - 1], begin, last, *numbers, line.part))
    return tuple(replace(one, label=label) for one, label in zip(found, _labels(notes, edges), strict=True))


def line_notes(played: Score, line: MelodicLine, start: Fraction, end: Fraction) -> LineNotes:
    """Return the notes of a line that begin between two places."""
    unit = line.ticks_per_quarter
    rows = _rows(line, start, end)
    fermatas = played.notes.column("fermata")
    measures = [played.measures[line.measures[at]] for at in rows]
    starts = tuple(Fraction(line.starts[at], unit) for at in rows)
    return LineNotes(
        starts,
        tuple(Fraction(line.ends[at], unit) for at in rows),
        tuple(one - measure.start + measure.offset for one, measure in zip(starts, measures, strict=True)),
        tuple(line.pitches[at] for at in rows),
        tuple(line.measures[at] for at in rows),
        tuple(measure.full_length or measure.length or Fraction(4) for measure in measures),
        tuple(bool(fermatas[line.rows[at]]) for at in rows),
    )


def phrase_starts(notes: LineNotes) -> tuple[int, ...]:
    """Return with which notes phrases begin, the first one aside."""
    count = len(notes)
    if count < 2 or notes.starts[-1] == notes.starts[0]:
        return ()
    starts, ends = [float(one) for one in notes.starts], [float(one) for one in notes.ends]
    mean = (starts[-1] - starts[0]) / (count - 1)
    gaps = [0.0, *((2 * starts[at] - starts[at - 1] - ends[at - 1]) / mean for at in range(1, count)), 0.0]
    gaps = [gap + _HELD * (0 < at < count and notes.held[at - 1]) for at, gap in enumerate(gaps)]
    bars = [float(one) for one in notes.bars]
    usual = max(_NOTES, _BARS_OF_NOTES * (sum(bars) / count) / mean)
    places = [float(one) for one in notes.places]
    may = [
        at
        for at in range(1, count)
        if starts[at] - starts[at - 1] >= _LONG * mean
        or starts[at] > ends[at - 1]
        or places[at] == places[0]
        or notes.held[at - 1]
    ]
    best, came = {0: 0.0}, {0: 0}
    for after in [*may, count]:
        until = starts[after] if after < count else ends[-1]
        options = []
        for first in best:
            length = (until - starts[first]) / bars[first]
            if length > _MOST_BARS:
                continue
            cost = _COUNT * abs(log2((after - first) / usual))
            if after < count:
                cost += _LENGTH * min(abs(log2(length / one)) for one in _USUAL_BARS)
                cost += _PLACE * (places[first] != places[after])
            options.append((best[first] + gaps[after] - cost, first))
        if options:
            best[after], came[after] = max(options, key=lambda option: (option[0], option[1]))
    found: list[int] = []
    at = came.get(count, 0)
    while at > 0:
        found.append(at)
        at = came[at]
    return tuple(reversed(found))


def _leading(lines: Sequence[MelodicLine], start: Fraction, end: Fraction) -> MelodicLine | None:
    """Return the highest of the lines that sound for most of the time."""
    sums: list[tuple[float, float, int]] = []  # quarters that it sounds, mean pitch, index
    for index, line in enumerate(lines):
        if rows := _rows(line, start, end):
            sounding = sum(line.ends[at] - line.starts[at] for at in rows) / line.ticks_per_quarter
            sums.append((sounding, sum(line.pitches[at] for at in rows) / len(rows), index))
    most = max((sounding for sounding, _, _ in sums), default=0.0)
    chosen = [(pitch, -index) for sounding, pitch, index in sums if 2 * sounding >= most]
    return lines[-max(chosen)[1]] if chosen else None


def _rows(line: MelodicLine, start: Fraction, end: Fraction) -> range:
    """Return which notes of a line begin between two places."""
    unit = line.ticks_per_quarter
    return range(bisect_left(line.starts, start * unit), bisect_left(line.starts, end * unit))


def _labels(notes: LineNotes, edges: Sequence[int]) -> list[str]:
    """Return the letters of phrases."""
    starts = [float(one) for one in notes.starts]
    shapes = [
        [(starts[at] - starts[first], notes.pitches[at]) for at in range(first, after)]
        for first, after in pairwise(edges)
    ]
    letters: list[str] = []
    names: list[str] = []
    for at, shape in enumerate(shapes):
        like = next((other for other in range(at) if _begins_alike(shapes[other], shape)), None)
        if like is None:
            doubled, place = divmod(len(set(letters)), 26)
            letters.append(chr(ord("a") + place) * (doubled + 1))
            names.append(letters[at])
            continue
        letters.append(letters[like])
        group = [other for other in range(at) if letters[other] == letters[at]]
        same = next((other for other in group if shapes[other] == shape), None)
        primes = len({names[other] for other in group})
        names.append(names[same] if same is not None else letters[at] + "'" * primes)
    return names


def _begins_alike(one: Sequence[tuple[float, int]], other: Sequence[tuple[float, int]]) -> bool:
    run = 0
    for left, right in zip(one, other, strict=False):
        if left != right:
            break
        run += 1
    return run >= max(min(_LEAST_SAME, len(one), len(other)), _SAME * min(len(one), len(other)))
