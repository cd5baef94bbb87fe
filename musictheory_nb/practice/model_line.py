"""A line over chord changes that meets the criteria: one note a beat, chord tones led on to the next chord by step.

The way through all notes that could stand on each beat is found by dynamic programming: small leaps cost little, roots
where chords begin cost nothing, and a cost that is drawn makes the lines of different items differ.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.aligned_distance import LineNote
from musictheory_nb.practice.chord_changes import ChordChanges, ChordSpan, chord_of
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.line_criteria import APPROACHES, LineCriteria, strong_onsets
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.rhythm_figure import beats_of
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.spelling import spell_midi

#: Degrees of the tones of a chord that a model line takes, with their cost where the chord begins.
_DEGREES: Final = {"1": 0, "3": 3, "b3": 3, "4": 4, "2": 4, "5": 4, "b5": 4, "#5": 4, "7": 5, "b7": 5, "bb7": 5, "6": 6}
_ODD_NAMES: Final = ("Cb", "Fb", "E#", "B#")
#: Intervals from a tone of the next chord to a note that approaches it.
_HALF_STEPS: Final = ("m2", "-m2")
_WHOLE_STEPS: Final = ("M2", "-M2")
#: What a leap costs by its semitones; wider ones cost the last, the same note again the first.
_LEAPS: Final = (12, 0, 0, 0, 0, 2, 4, 3, 6, 8)
_FAR: Final = 30
_DRAWN: Final = 6
#: Semitones from the middle of the register that cost nothing.
_MIDDLE: Final = 7


@dataclass(frozen=True, slots=True)
class _Beat:
    """One beat: where, its chord, whether the chord begins here, whether a chord tone is asked for, the next chord."""

    onset: Fraction
    quarters: Fraction
    span: ChordSpan
    begins: bool
    strong: bool
    leads_to: ChordSpan | None


def _beats(changes: ChordChanges, criteria: LineCriteria) -> list[_Beat]:
    full = measure_quarters(changes.metre)
    strong = set(strong_onsets(changes, criteria.strong)) if "chord tones" in criteria.names else set()
    onsets = [
        (at * full + beat.onset, beat.quarters) for at in range(changes.measures) for beat in beats_of(changes.metre)
    ]
    spans = [changes.at(onset) for onset, _ in onsets]
    following = [*spans[1:], None]
    return [
        _Beat(onset, quarters, span, span.onset == onset, onset in strong, after if after != span else None)
        for (onset, quarters), span, after in zip(onsets, spans, following, strict=True)
    ]


@lru_cache(maxsize=4096)
def _within(name: PitchName, low_midi: int, high_midi: int) -> tuple[Pitch, ...]:
    octaves = range(low_midi // 12 - 2, high_midi // 12 + 1)
    pitches = (Pitch.from_name(name, octave) for octave in octaves)
    return tuple(pitch for pitch in pitches if low_midi <= pitch.chromatic <= high_midi)


@lru_cache(maxsize=2048)
def _tones(symbol: str, low_midi: int, high_midi: int) -> tuple[tuple[Pitch, int], ...]:
    """Return the tones of a chord in a register, each with its cost where the chord begins."""
    found = []
    for tone in chord_of(symbol).tones:
        if tone.degree in _DEGREES:
            name = PitchName(tone.name)
            found += [(pitch, _DEGREES[tone.degree]) for pitch in _within(name, low_midi, high_midi)]
    return tuple(found)


@lru_cache(maxsize=2048)
def _approaches(span: ChordSpan, by: str, low_midi: int, high_midi: int) -> tuple[Pitch, ...]:
    """Return the notes a step from a tone of a chord."""
    found: dict[str, Pitch] = {}
    for tone, _ in _tones(span.symbol, low_midi - 2, high_midi + 2):
        for interval in (*_HALF_STEPS, *(() if by == "half step" else _WHOLE_STEPS)):
            try:
                pitch = tone.up(interval)
            except TheoryError:
                continue
            if low_midi <= pitch.chromatic <= high_midi and abs(pitch.alter) < 2:
                found[pitch.name] = pitch
    return tuple(found.values())


def _candidates(beat: _Beat, criteria: LineCriteria) -> list[tuple[Pitch, int]]:
    place = criteria.low_midi, criteria.high_midi
    tones = _tones(beat.span.symbol, *place)
    found = [(pitch, cost if beat.begins else 0) for pitch, cost in tones]
    if beat.leads_to is not None and not beat.begins and not beat.strong:
        known = {pitch for pitch, _ in found}
        found += [(p, 0) for p in _approaches(beat.leads_to, criteria.approach_by, *place) if p not in known]
    return found


def _move_cost(one: Pitch, other: Pitch, beat: _Beat, approach: int) -> int | None:
    """Return what a move to the next beat costs; None where it does not lead to the next chord."""
    size = abs(other.chromatic - one.chromatic)
    if beat.leads_to is not None and not 1 <= size <= approach:
        return None
    return _LEAPS[size] if size < len(_LEAPS) else _FAR


def model_line(draw: Draw, changes: ChordChanges, criteria: LineCriteria) -> tuple[LineNote, ...] | None:
    """Return a line of one note a beat; None where no line is led on to every chord.

    Parameters
    ----------
    draw : Draw
        Where the costs come from that make lines differ.
    changes : ChordChanges
        The chords, as written.
    criteria : LineCriteria
        What it must meet.

    Examples
    --------
    >>> from musictheory_nb.practice.chord_changes import read_changes
    >>> criteria = LineCriteria(("chord tones", "approach"), low_midi=40, high_midi=60)
    >>> line = model_line(Draw("demo", "first", 1, 7, 0), read_changes("Dm7 | G7", "4/4"), criteria)
    >>> len(line), line[0].pitch[0] in "DFAC"
    (8, True)
    """
    beats = _beats(changes, criteria)
    approach = APPROACHES[criteria.approach_by]
    middle = (criteria.low_midi + criteria.high_midi) // 2
    layers = [_candidates(beat, criteria) for beat in beats]
    if not all(layers):
        return None
    own = [
        [cost + draw.integer(_DRAWN) + max(0, abs(pitch.chromatic - middle) - _MIDDLE) for pitch, cost in layer]
        for layer in layers
    ]
    best: list[int | None] = list(own[0])
    came: list[list[int]] = []
    for at in range(1, len(beats)):
        best, steps = _next_layer(best, layers[at - 1 : at + 1], own[at], beats[at - 1], approach)
        came.append(steps)
    ends = [(cost, number) for number, cost in enumerate(best) if cost is not None]
    if not ends:
        return None
    way = [min(ends)[1]]
    for steps in reversed(came):
        way.append(steps[way[-1]])
    pitches = [layer[number][0] for layer, number in zip(layers, reversed(way), strict=True)]
    return tuple(
        LineNote(_spelled(pitch, following, beat).name, beat.quarters, beat.onset)
        for pitch, following, beat in zip(pitches, [*pitches[1:], None], beats, strict=True)
    )


def _spelled(pitch: Pitch, following: Pitch | None, beat: _Beat) -> Pitch:
    """Return a note that leads on as a letter next to its goal, or by its commonest name where that is an odd one."""
    if following is None or beat.span.chord.has(pitch):
        return pitch
    step = Interval.from_steps(1, abs(following.chromatic - pitch.chromatic))
    found = following.up(step if pitch.chromatic > following.chromatic else -step)
    return spell_midi(pitch.midi) if found.pitch_name.name in _ODD_NAMES or abs(found.alter) > 1 else found


def _next_layer(
    best: Sequence[int | None],
    layers: Sequence[Sequence[tuple[Pitch, int]]],
    own: Sequence[int],
    beat: _Beat,
    approach: int,
) -> tuple[list[int | None], list[int]]:
    """Return the least cost of reaching each note of a beat, and from which note of the beat before."""
    costs: list[int | None] = []
    came = []
    for (pitch, _), extra in zip(layers[1], own, strict=True):
        ways = [
            (cost + move + extra, number)
            for number, ((before, _), cost) in enumerate(zip(layers[0], best, strict=True))
            if cost is not None and (move := _move_cost(before, pitch, beat, approach)) is not None
        ]
        least = min(ways, default=(None, 0))
        costs.append(least[0])
        came.append(least[1])
    return costs, came
