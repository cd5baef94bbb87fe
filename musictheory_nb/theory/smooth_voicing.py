"""Voicings of a progression, chosen so that the hands move as little as possible from chord to chord.

Of every chord all positions within the compass are candidates; the way through them with the smallest sum of movements
(of the voices from the bottom up, in semitones) is taken, of ways alike the one nearer the middle of the compass.
Source: the principle is taught in jazz keyboard courses (common practice, no source); the search is exact.
"""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final, TypeVar

from musictheory_nb.errors import VoiceLeadingError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.voicing import VOICINGS, positions, voicing

#: What each kind of voicing of a progression may use.
PROGRESSION_VOICINGS: Final = (*(kind for kind in VOICINGS if not kind.startswith("rootless")), "rootless")
_Candidate = TypeVar("_Candidate")


def voice_progression(
    chords: Sequence[Chord | str], kind: str = "drop 2", lowest: Pitch | str = "C3", highest: Pitch | str = "E5"
) -> tuple[tuple[Pitch, ...], ...]:
    """Voicings of a progression, each from the bottom up.

    Parameters
    ----------
    chords : sequence of Chord or str
        The chords; each has a seventh or sixth.
    kind : str
        A name of `PROGRESSION_VOICINGS`: one of `voicing.VOICINGS`, or ``'rootless'`` for the A and B forms in turn.
    lowest, highest : Pitch or str
        Compass of the voicings.

    Raises
    ------
    VoiceLeadingError
        No chords, no such kind, a chord without seventh or sixth, or one that does not fit the compass.
    ChordError, PitchError
        A chord or pitch cannot be read.

    Examples
    --------
    >>> for pitches in voice_progression(["Dm7", "G7", "Cmaj7"], "rootless"):
    ...     print(" ".join(pitch.name for pitch in pitches))
    C4 E4 F4 A4
    B3 E4 F4 A4
    B3 D4 E4 G4
    >>> for pitches in voice_progression(["Dm7", "G7", "Cmaj7"], "shell"):
    ...     print(" ".join(pitch.name for pitch in pitches))
    D4 F4 C5
    G3 F4 B4
    C4 E4 B4
    >>> voice_progression(["Dm7"], "block")
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: voicing 'block': must be one of 'shell', 'close', 'drop 2', 'drop 3', 'rootless'
    """
    if kind not in PROGRESSION_VOICINGS:
        raise VoiceLeadingError(f"voicing {kind!r}: must be one of {', '.join(map(repr, PROGRESSION_VOICINGS))}")
    if isinstance(chords, str) or not chords:
        raise VoiceLeadingError(f"chords {chords!r}: give at least one, as a list")
    low, high = Pitch(lowest), Pitch(highest)
    columns = []
    for chord in chords:
        whole = chord if isinstance(chord, Chord) else Chord(chord)
        column = _candidates(whole, kind, low, high)
        if not column:
            raise VoiceLeadingError(f"chord {whole.symbol!r}: no {kind} voicing fits from {low.name} to {high.name}")
        columns.append(column)
    middle = (low.chromatic + high.chromatic) / 2

    def alone(pitches: tuple[Pitch, ...]) -> float:
        return abs(sum(pitch.chromatic for pitch in pitches) / len(pitches) - middle) / 100

    def between(first: tuple[Pitch, ...], second: tuple[Pitch, ...]) -> float:
        return sum(abs(new.chromatic - old.chromatic) for old, new in zip(first, second, strict=True))

    return tuple(best_way(columns, alone, between))


def _candidates(chord: Chord, kind: str, low: Pitch, high: Pitch) -> list[tuple[Pitch, ...]]:
    """All voicings of a chord within the compass."""
    kinds = ("rootless A", "rootless B") if kind == "rootless" else (kind,)
    found = []
    for name in kinds:
        for position in range(positions(name)):
            pitches = voicing(chord, name, position, low)
            while pitches[-1].chromatic <= high.chromatic:
                found.append(pitches)
                pitches = tuple(Pitch.of(pitch.step, pitch.alter, pitch.octave + 1) for pitch in pitches)
    return found


def best_way(
    columns: Sequence[Sequence[_Candidate]],
    alone: Callable[[_Candidate], float],
    between: Callable[[_Candidate, _Candidate], float],
    at_least: Callable[[_Candidate, _Candidate], float] | None = None,
) -> list[_Candidate]:
    """Way through columns of candidates with the smallest sum of costs; of ways alike the first.

    Parameters
    ----------
    columns : sequence of sequence
        Candidates of each place; none is empty.
    alone : callable
        Cost of a candidate by itself.
    between : callable
        Cost of going from one candidate to another of the next place.
    at_least : callable, optional
        A lower bound of `between` that is quicker to tell; it saves work and changes nothing.

    Examples
    --------
    >>> best_way([[1, 9], [2, 8], [3]], alone=lambda number: 0, between=lambda first, second: abs(first - second))
    [1, 2, 3]
    """
    costs = [alone(candidate) for candidate in columns[0]]
    back: list[list[int]] = []
    for before, column in pairwise(columns):
        links, sums = [], []
        for candidate in column:
            bounds = [
                cost + (at_least(old, candidate) if at_least else 0) for cost, old in zip(costs, before, strict=True)
            ]
            best, place = float("inf"), 0
            for index in sorted(range(len(bounds)), key=bounds.__getitem__):
                if bounds[index] >= best:
                    break
                cost = costs[index] + between(before[index], candidate)
                if cost < best or (cost == best and index < place):
                    best, place = cost, index
            links.append(place)
            sums.append(best + alone(candidate))
        back.append(links)
        costs = sums
    place = min(range(len(costs)), key=costs.__getitem__)
    way = [columns[-1][place]]
    for links, column in zip(reversed(back), reversed(columns[:-1]), strict=True):
        place = links[place]
        way.append(column[place])
    return way[::-1]
