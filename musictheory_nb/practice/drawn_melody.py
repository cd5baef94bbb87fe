"""Melodies drawn by rule in a key: from a note of its tonic chord to the tonic, by step and, level by level, by leap.

Notes
-----
The rules are those of sight-singing courses, common practice, no source: the last note is the tonic, reached by step; a
leap of a fourth or more goes on by step the other way; no leap of a tritone or a seventh; in minor the sixth and seventh
degrees are raised on their way up to the tonic; chromatic notes are lower neighbors of, or passing notes up to, the
next degree.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.aligned_distance import LineNote
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.key_setting import key_named
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import STEPS

#: What each level adds.
LEVELS: Final = MappingProxyType(
    {
        1: "steps, and leaps within the tonic chord",
        2: "leaps of a third anywhere, and leaps within the dominant chord",
        3: "leaps up to an octave",
        4: "chromatic neighbors and passing notes",
    }
)
#: A register holds a ninth at least, in semitones.
LEAST_ROOM: Final = 14
#: How many steps a melody reaches from its lowest to its highest note, by level.
_WIDTHS: Final = MappingProxyType({1: 7, 2: 8, 3: 9, 4: 9})
#: A leap of so many steps goes on by step the other way.
_WIDE: Final = 3
_TRIES: Final = 40
#: How likely a move is against others: by step, to the same note, within a chord, by a third, wider.
_STEP, _SAME, _CHORD, _THIRD, _LEAP = 8, 1, 3, 3, 1
#: Places of the notes of the tonic and the dominant chord in the scale, from 0.
TONIC_PLACES, DOMINANT_PLACES = frozenset({0, 2, 4}), frozenset({4, 6, 1})
#: Places that may be raised where they go up a whole step.
_RAISED: Final = MappingProxyType({False: frozenset({0, 1, 3, 4}), True: frozenset({2, 3})})


@lru_cache(maxsize=8192)
def place_pitch(key: str, diatonic: int, raised: int = 0) -> Pitch:
    """Return the pitch of a key's scale on a place, as `Pitch.diatonic` counts them.

    Examples
    --------
    >>> place_pitch("D major", Pitch("F4").diatonic), place_pitch("A minor", Pitch("G4").diatonic, 1)
    (Pitch('F#4'), Pitch('G#4'))
    """
    step = STEPS[diatonic % 7]
    alter = next(name.alter for name in key_named(key).pitch_names if name.step == step)
    return Pitch.of(step, alter + raised, _octave(diatonic))


def _octave(diatonic: int) -> int:
    return diatonic // 7 + Pitch("C4").octave - Pitch("C4").diatonic // 7


@lru_cache(maxsize=1024)
def reach_of(key: str, low_midi: int, high_midi: int) -> tuple[int, int]:
    """Return lowest and highest place of the key's scale in a register, where each may also be raised."""
    places = range(low_midi * 7 // 12 - 12, high_midi * 7 // 12 + 12)
    inside = [
        at
        for at in places
        if low_midi <= place_pitch(key, at).chromatic and place_pitch(key, at, 1).chromatic <= high_midi
    ]
    return inside[0], inside[-1]


@lru_cache(maxsize=64)
def tonic_place(key: str) -> int:
    """Return the place of a key's tonic among the seven letters.

    Examples
    --------
    >>> tonic_place("C major"), tonic_place("Eb minor")
    (0, 2)
    """
    return STEPS.index(key_named(key).tonic.step)


def moves_from(key: str, level: int, at: int, before: int | None, low: int, high: int) -> list[tuple[int, int]]:
    """Return (place, weight) of where a melody may go from `at`, which came from `before`."""
    if before is not None and abs(at - before) >= _WIDE:
        back = at + (1 if at < before else -1)
        return [(back, 1)] if low <= back <= high else []
    home = tonic_place(key)
    here = (at - home) % 7
    found = []
    for place in range(max(low, at - 7), min(high, at + 7) + 1):
        size, there = abs(place - at), (place - home) % 7
        if size == 0:
            weight = 0 if before == at else _SAME
        elif size == 1:
            weight = _STEP
        elif size == 6 or (size > 1 and Interval.between(place_pitch(key, at), place_pitch(key, place)).is_tritone):
            weight = 0
        elif (size <= 4 and {here, there} <= TONIC_PLACES) or (
            size <= 4 and level >= 2 and {here, there} <= DOMINANT_PLACES
        ):
            weight = _CHORD
        elif size == 2:
            weight = _THIRD if level >= 2 else 0
        else:
            weight = _LEAP if level >= 3 else 0
        if weight:
            found.append((place, weight))
    return found


def _walk(draw: Draw, key: str, level: int, count: int, low: int, high: int) -> list[int] | None:
    """Return places from a note of the tonic chord to the tonic; None where the way was lost."""
    home = tonic_place(key)
    ends = [at for at in range(low, high + 1) if (at - home) % 7 == 0]
    end = draw.choice(ends)
    if count == 1:
        return [end]
    starts = [
        at for at in range(low, high + 1) if (at - home) % 7 in TONIC_PLACES and abs(at - end) < count and count > 2
    ]
    way = [draw.choice(starts or [at for at in (end - 1, end + 1) if low <= at <= high])]
    for left in range(count - 2, -1, -1):
        moves = moves_from(key, level, way[-1], way[-2] if len(way) > 1 else None, low, high)
        near = {0: (0,), 1: (1,)}.get(left, range(left + 1))
        fitting = [place for place, weight in moves if abs(place - end) in near for _ in range(weight)]
        if not fitting:
            return None
        way.append(draw.choice(fitting))
    return way if abs(way[-1] - way[-2]) == 1 else None


def raised_by(draw: Draw, key: str, level: int, way: Sequence[int]) -> list[int]:
    """Return by how many semitones each note is raised: leading notes in minor, chromatic notes."""
    home, is_minor = tonic_place(key), key_named(key).is_minor
    raised = [0] * len(way)
    for at in range(len(way) - 2, -1, -1):
        place, following = way[at], way[at + 1]
        degree = (place - home) % 7
        if is_minor and degree in (5, 6):
            goes_up = following == place + 1 and (degree == 6 or raised[at + 1])
            raised[at] = int(goes_up or (following == place and raised[at + 1]))
        elif level >= 4 and at and following == place + 1 and way[at - 1] in (place, place + 1):
            is_whole = place_pitch(key, following).chromatic - place_pitch(key, place).chromatic == 2
            if degree in _RAISED[is_minor] and is_whole and not raised[at + 1]:
                raised[at] = draw.integer(2)
    return raised


def is_singable(pitches: Sequence[Pitch]) -> bool:
    """Return whether no step is augmented and no leap a tritone or wider than an octave."""
    for one, other in pairwise(pitches):
        interval = Interval.between(one, other)
        if interval.is_tritone or abs(interval.semitones) > 12 or (abs(interval.steps) == 1 and "A" in str(interval)):
            return False
    return True


def drawn_pitches(draw: Draw, key: str, count: int, level: int, low_midi: int, high_midi: int) -> tuple[str, ...]:
    """Return the pitches of a melody of `count` notes.

    Parameters
    ----------
    draw : Draw
        Where it comes from.
    key : str
        Name of a major or minor key.
    count : int
        How many notes.
    level : int
        A key of `LEVELS`.
    low_midi, high_midi : int
        The register, at least `LEAST_ROOM` semitones wide.

    Examples
    --------
    >>> drawn_pitches(Draw("demo", "first", 1, 7, 0), "C major", 6, 1, 59, 73)[-1]
    'C4'
    """
    lowest, highest = reach_of(key, low_midi, high_midi)
    width = min(_WIDTHS[level], highest - lowest)
    for attempt in range(10 * _TRIES):
        low = lowest + draw.integer(highest - lowest - width + 1)
        way = _walk(draw, key, level if attempt < _TRIES else 1, count, low, low + width)
        if way is None:
            continue
        raised = raised_by(draw, key, level, way)
        pitches = [place_pitch(key, place, up) for place, up in zip(way, raised, strict=True)]
        if is_singable(pitches):
            return tuple(pitch.name for pitch in pitches)
    raise AssertionError(f"no melody of {count} notes in {key}")


def melody_on(rhythm: Sequence[LineNote], pitches: Sequence[str]) -> tuple[LineNote, ...]:
    """Return a rhythm with pitches for its sounding notes, in order.

    Examples
    --------
    >>> from fractions import Fraction
    >>> rhythm = [LineNote(one, Fraction(1)) for one in ("B4", "", "B4")]
    >>> [note.pitch for note in melody_on(rhythm, ["C4", "D4"])]
    ['C4', '', 'D4']
    """
    waiting = iter(pitches)
    return tuple(LineNote(next(waiting), note.quarters, note.onset) if note.pitch else note for note in rhythm)
