"""Two voices drawn by rule: an upper and a lower line in one key that go together.

Notes
-----
The rules are those of two-part writing, common practice, no source: where both voices begin they make a third, fifth,
sixth or octave; a note between is consonant, or passes or turns by step; perfect intervals do not follow each other in
parallel, and are not reached by both voices in one direction unless the upper one steps; the voices do not cross; both
end on the tonic.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate, pairwise
from typing import Final

from musictheory_nb.practice.aligned_distance import LineNote, line_notes
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.drawn_melody import (
    TONIC_PLACES,
    is_singable,
    melody_on,
    moves_from,
    place_pitch,
    raised_by,
    reach_of,
    tonic_place,
)
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.rhythm_figure import NOTE, beats_of, drawn_rhythm
from musictheory_nb.theory.pitch import Pitch

#: Steps and semitones within the octave of what is consonant: octaves, thirds, fifths, sixths; semitones of the perfect.
CONSONANT: Final = frozenset({(0, 0), (2, 3), (2, 4), (4, 7), (5, 8), (5, 9)})
_PERFECT: Final = frozenset({0, 7})
#: Registers of the voices, as MIDI numbers: C4 to G5 and G2 to D4.
UPPER: Final = (60, 79)
LOWER: Final = (43, 62)
#: Nearest and farthest that the voices are, in semitones.
_NEAREST, _FARTHEST = 3, 28
#: How often one pair of rhythms is tried, and how many pairs.
_TRIES, _RHYTHMS = 20, 200


@dataclass
class _Way:
    """The places of both voices so far, and what must follow."""

    places: tuple[list[int], list[int]] = field(default_factory=lambda: ([], []))
    steps_on: set[int] = field(default_factory=set)  # voices that must leave by step
    met: tuple[int, int] | None = None  # where both last began


def _slow_rhythm(draw: Draw, metre: str, measures: int, grouping: tuple[int, ...]) -> list[tuple[str, Fraction]]:
    """Return a rhythm of beats, some of them joined in twos."""
    found: list[tuple[str, Fraction]] = []
    beats = beats_of(metre, grouping)
    for _ in range(measures):
        at = 0
        while at < len(beats):
            joined = at + 1 < len(beats) and beats[at].quarters == beats[at + 1].quarters and draw.integer(2) == 0
            found.append((NOTE, beats[at].quarters * (2 if joined else 1)))
            at += 2 if joined else 1
    return found


def drawn_rhythms(
    draw: Draw, metre: str, measures: int, level: int, grouping: tuple[int, ...], together: bool
) -> tuple[tuple[LineNote, ...], tuple[LineNote, ...]]:
    """Return the rhythms of the upper and the lower voice; the last measure is one note.

    Parameters
    ----------
    draw : Draw
        Where they come from.
    metre : str
        One of `rhythm_figure.METRES`.
    measures : int
        At least 2.
    level : int
        Of the upper voice, a key of `rhythm_figure.LEVELS`.
    grouping : tuple of int
        Of an odd metre.
    together : bool
        Whether both have one rhythm; else the lower one goes in beats.

    Examples
    --------
    >>> upper, lower = drawn_rhythms(Draw("demo", "first", 1, 7, 0), "3/4", 2, 1, (), True)
    >>> upper == lower, upper[-1].onset
    (True, Fraction(3, 1))
    """
    last = (NOTE, measure_quarters(metre))
    upper = [
        (note.pitch, note.quarters) for note in drawn_rhythm(draw, metre, measures - 1, level, grouping, flowing=True)
    ]
    lower = upper if together else _slow_rhythm(draw, metre, measures - 1, grouping)
    return line_notes([*upper, last]), line_notes([*lower, last])


def _events(rhythms: Sequence[Sequence[LineNote]]) -> list[tuple[bool, bool]]:
    """Return for each moment at which something begins which voices begin."""
    onsets = [{note.onset for note in rhythm} for rhythm in rhythms]
    return [(at in onsets[0], at in onsets[1]) for at in sorted(onsets[0] | onsets[1])]


def _are_consonant(upper: Pitch, lower: Pitch) -> bool:
    return ((upper.diatonic - lower.diatonic) % 7, (upper.chromatic - lower.chromatic) % 12) in CONSONANT


def _semitones(key: str, upper: int, lower: int) -> int:
    return place_pitch(key, upper).chromatic - place_pitch(key, lower).chromatic


class _Pair:
    """Two voices while they are drawn."""

    def __init__(self, draw: Draw, key: str, level: int, counts: tuple[int, int]) -> None:
        self.draw, self.key, self.level, self.left = draw, key, level, list(counts)
        reach = reach_of(key, *UPPER), reach_of(key, *LOWER)
        home = tonic_place(key)
        self.ends = [draw.choice([at for at in range(low, high + 1) if (at - home) % 7 == 0]) for low, high in reach]
        self.reach = [
            (max(low, end - 7), min(high, end + 7)) for (low, high), end in zip(reach, self.ends, strict=True)
        ]
        self.way = _Way()

    def _starts(self, voice: int) -> list[tuple[int, int]]:
        low, high = self.reach[voice]
        allowed = TONIC_PLACES if voice == 0 else frozenset({0})
        if self.left[voice] < 3:  # the one note before the last is on its way to it
            allowed = frozenset(range(7))
        return [(at, 1) for at in range(low, high + 1) if (at - tonic_place(self.key)) % 7 in allowed]

    def _moves(self, voice: int, begins: bool) -> list[tuple[int, int]]:
        places = self.way.places[voice]
        if not begins:
            return [(places[-1], 1)]
        left = self.left[voice] - 1
        near = {0: (0,), 1: (1,) if voice == 0 else (1, 3, 4)}.get(left, range(left + 1))
        moves = self._starts(voice)
        if places:
            before = places[-2] if len(places) > 1 else None
            moves = moves_from(self.key, self.level, places[-1], before, *self.reach[voice])
            if voice in self.way.steps_on:
                moves = [one for one in moves if abs(one[0] - places[-1]) == 1]
        return [one for one in moves if abs(one[0] - self.ends[voice]) in near]

    def _weight(self, upper: int, lower: int, begins: tuple[bool, bool]) -> int:
        """Return how good two places are together; 0 where they do not go."""
        semitones = _semitones(self.key, upper, lower)
        if not _NEAREST <= semitones <= _FARTHEST:
            return 0
        kind, places, met = semitones % 12, self.way.places, self.way.met
        if not _are_consonant(place_pitch(self.key, upper), place_pitch(self.key, lower)):
            moved = 0 if begins[0] else 1
            return int(begins[0] != begins[1] and abs((upper, lower)[moved] - places[moved][-1]) == 1)
        if not all(begins) or met is None:
            return 2 if kind not in _PERFECT else 1
        ways = upper - places[0][-1], lower - places[1][-1]
        if ways == (0, 0):
            return 0
        if kind in _PERFECT:
            if (
                _semitones(self.key, *met) % 12 == kind
                or _semitones(self.key, places[0][-1], places[1][-1]) % 12 == kind
            ):
                return 0
            return 0 if ways[0] * ways[1] > 0 and abs(ways[0]) > 1 else 1
        return 6 if ways[0] * ways[1] < 0 else 3

    def goes_on(self, begins: tuple[bool, bool]) -> bool:
        """Draw the next moment; return False where nothing fits."""
        uppers, lowers = self._moves(0, begins[0]), self._moves(1, begins[1])
        fitting = [
            (upper, lower, likely * also * weight)
            for upper, likely in uppers
            for lower, also in lowers
            if (weight := self._weight(upper, lower, begins))
        ]
        if not fitting:
            return False
        sums = list(accumulate(weight for _, _, weight in fitting))
        upper, lower, _ = fitting[bisect_right(sums, self.draw.integer(sums[-1]))]
        is_dissonant = not _are_consonant(place_pitch(self.key, upper), place_pitch(self.key, lower))
        for voice, place in enumerate((upper, lower)):
            if begins[voice]:
                self.way.places[voice].append(place)
                self.left[voice] -= 1
                self.way.steps_on.discard(voice)
        if is_dissonant:
            self.way.steps_on.add(0 if begins[0] else 1)
        if all(begins):
            self.way.met = upper, lower
        return True


def _pitches(draw: Draw, key: str, places: Sequence[int]) -> list[Pitch]:
    raised = raised_by(draw, key, 1, places)
    return [place_pitch(key, place, up) for place, up in zip(places, raised, strict=True)]


def _go_together(rhythms: Sequence[Sequence[LineNote]], lines: Sequence[Sequence[Pitch]]) -> bool:
    """Return whether all rules hold once leading notes are raised."""
    places = [-1, -1]
    met: tuple[Pitch, Pitch] | None = None
    for begins in _events(rhythms):
        places = [at + one for at, one in zip(places, begins, strict=True)]
        upper, lower = (line[at] for line, at in zip(lines, places, strict=True))
        kind = (upper.chromatic - lower.chromatic) % 12
        if all(begins):
            if not _are_consonant(upper, lower):
                return False
            if met and kind in _PERFECT and (met[0].chromatic - met[1].chromatic) % 12 == kind:
                return False
            met = upper, lower
        elif not _are_consonant(upper, lower):
            moved = 0 if begins[0] else 1
            around = lines[moved][places[moved] - 1 : places[moved] + 2]
            if any(abs(one.diatonic - other.diatonic) != 1 for one, other in pairwise(around)):
                return False
    return True


def drawn_two_voices(
    draw: Draw,
    key: str,
    melody_level: int,
    metre: str,
    measures: int,
    level: int,
    grouping: tuple[int, ...] = (),
    *,
    together: bool = True,
) -> tuple[tuple[LineNote, ...], tuple[LineNote, ...]]:
    """Return an upper and a lower voice.

    Parameters
    ----------
    draw : Draw
        Where they come from.
    key : str
        Name of a major or minor key.
    melody_level : int
        Of the lines, from 1 to 3, as in `drawn_melody.LEVELS`.
    metre, measures, level, grouping, together
        As `drawn_rhythms` has them.

    Examples
    --------
    >>> upper, lower = drawn_two_voices(Draw("demo", "first", 1, 7, 0), "C major", 1, "3/4", 3, 1)
    >>> upper[-1].pitch[0], lower[-1].pitch[0]
    ('C', 'C')
    """
    for attempt in range(_RHYTHMS * _TRIES):
        if attempt % _TRIES == 0:
            rhythms = drawn_rhythms(draw, metre, measures, level, grouping, together)
            events = _events(rhythms)
        pair = _Pair(draw, key, melody_level, (len(rhythms[0]), len(rhythms[1])))
        if not all(pair.goes_on(begins) for begins in events):
            continue
        lines = [_pitches(draw, key, places) for places in pair.way.places]
        if all(map(is_singable, lines)) and _go_together(rhythms, lines):
            upper, lower = (
                melody_on(rhythm, [pitch.name for pitch in line]) for rhythm, line in zip(rhythms, lines, strict=True)
            )
            return upper, lower
    raise AssertionError(f"no two voices in {key}")
