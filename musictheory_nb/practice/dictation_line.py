"""A dictated line between its forms: rows of a staff, notes to compare, pitches in an answer an octave off."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.aligned_distance import Alignment, LineNote, SlipCosts, align, line_notes
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.staff_input import Row
from musictheory_nb.theory.pitch import Pitch

#: What a note costs that sounds right and is spelled otherwise.
SPELLING_COST: Final = 0.5
#: What it costs to write a whole line an octave too high or too low: one slip.
OCTAVE_COST: Final = 1.0
_HALF_OCTAVE: Final = 6


def notes_of_rows(rows: Sequence[Row]) -> tuple[LineNote, ...]:
    """Return the notes and rests of a staff answer, tied ones as one.

    Examples
    --------
    >>> notes = notes_of_rows([[["C4"], "1", True], [["C4"], "1/2", False], [[], "1/2", False], [["D4"], "1", False]])
    >>> [(note.pitch, str(note.quarters)) for note in notes]
    [('C4', '3/2'), ('', '1/2'), ('D4', '1')]
    """
    found: list[tuple[str, Fraction]] = []
    goes_on = False
    for pitches, duration, tied in rows:
        if goes_on:
            found[-1] = found[-1][0], found[-1][1] + Fraction(duration)
        else:
            found.append(("".join(pitches[:1]), Fraction(duration)))
        goes_on = tied
    return line_notes(found)


def notes_data(notes: Sequence[LineNote]) -> list[JSON]:
    """Return notes as an item's key holds them."""
    return [[note.pitch, str(note.quarters)] for note in notes]


def notes_from_data(data: Sequence[JSON]) -> tuple[LineNote, ...]:
    """Read what `notes_data` writes."""
    return line_notes([(pitch, Fraction(quarters)) for pitch, quarters in data])


@lru_cache(maxsize=4096)
def _chromatic(name: str) -> int:
    return Pitch(name).chromatic


@lru_cache(maxsize=2)
def pitch_difference(enharmonic: bool) -> Callable[[str, str], float]:
    """Return how two pitches are compared: 0 alike, 1 different, `SPELLING_COST` where only the spelling differs.

    Examples
    --------
    >>> [pitch_difference(False)("G#4", name) for name in ("G#4", "Ab4", "A4", "")]
    [0.0, 0.5, 1.0, 1.0]
    """

    def difference(right: str, given: str) -> float:
        if right == given:
            return 0.0
        if not right or not given or _chromatic(right) != _chromatic(given):
            return 1.0
        return 0.0 if enharmonic else SPELLING_COST

    return difference


def octave_moved(notes: Sequence[LineNote], octaves: int) -> tuple[LineNote, ...]:
    """Return notes moved by octaves.

    Examples
    --------
    >>> [note.pitch for note in octave_moved(line_notes([("Cb4", Fraction(1))]), 1)]
    ['Cb5']
    """
    return tuple(replace(note, pitch=_moved(note.pitch, octaves)) for note in notes)


@lru_cache(maxsize=4096)
def _moved(name: str, octaves: int) -> str:
    if not name or not octaves:
        return name
    pitch = Pitch(name)
    return Pitch.from_name(pitch.pitch_name, pitch.octave + octaves).name


def align_melody(
    right: Sequence[LineNote], given: Sequence[LineNote], costs: SlipCosts, enharmonic: bool, shown: int = 0
) -> tuple[Alignment, int]:
    """Return the alignment of an answer, and by how many octaves it is off as a whole (which is one slip).

    The first `shown` notes were given, and are in their octave.

    Examples
    --------
    >>> right = line_notes([("C4", Fraction(1)), ("E4", Fraction(1)), ("D4", Fraction(1))])
    >>> found, octaves = align_melody(right, octave_moved(right, -1), SlipCosts(), True)
    >>> found.cost, octaves
    (1.0, -1)
    """
    difference = pitch_difference(enharmonic)
    best, octaves = align(right, given, costs, difference), 0
    off = _octaves_off(right[shown:], given[shown:])
    if off and best.cost > OCTAVE_COST:
        other = align(right, (*given[:shown], *octave_moved(given[shown:], -off)), costs, difference)
        if other.cost + OCTAVE_COST < best.cost:
            best, octaves = replace(other, cost=other.cost + OCTAVE_COST), off
    return best, octaves


def _octaves_off(right: Sequence[LineNote], given: Sequence[LineNote]) -> int:
    """Return -1 or 1 where an answer lies nearer to an octave below or above than to where it should be."""
    lines = [[_chromatic(note.pitch) for note in line if note.pitch] for line in (right, given)]
    if not all(lines):
        return 0
    own, other = (sum(line) / len(line) for line in lines)
    return (other - own > _HALF_OCTAVE) - (own - other > _HALF_OCTAVE)
