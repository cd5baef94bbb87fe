"""Rhythms drawn by rule: how a measure falls into beats, and the figures that fill beats, by level.

Notes
-----
The order of the figures (beats and their divisions, dots, subdivisions, syncopation, borrowed divisions) is that of
sight-singing courses: common practice, no source. Of odd metres the usual groupings are drawn.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.practice.aligned_distance import LineNote, line_notes
from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.metre_beat import beat_quarters, measure_quarters

SIMPLE: Final = ("2/4", "3/4", "4/4", "2/2")
COMPOUND: Final = ("6/8", "9/8", "12/8")
#: Odd metres with the groupings of their units that are drawn.
ODD: Final = MappingProxyType(
    {
        "5/4": ((3, 2), (2, 3)),
        "5/8": ((3, 2), (2, 3)),
        "7/8": ((2, 2, 3), (3, 2, 2), (2, 3, 2)),
    }
)
METRES: Final = (*SIMPLE, *COMPOUND, *ODD)
#: What each level adds.
LEVELS: Final = MappingProxyType(
    {
        1: "beats, longer notes and the plain division of a beat",
        2: "dotted notes and even subdivisions",
        3: "uneven subdivisions and syncopation",
        4: "borrowed divisions: triplets in simple beats, duplets in compound ones",
    }
)
#: How a note or rest of a rhythm is written here: the pitch of a sounding note.
NOTE: Final = "B4"


def _row(level: int, lengths: str) -> tuple[int, tuple[Fraction, ...]]:
    return level, tuple(map(Fraction, lengths.split()))


#: Figures by kind of beat: level, lengths in beats. A figure of several beats needs as many of one kind in its measure.
FIGURES: Final = MappingProxyType(
    {
        "simple": (
            _row(1, "1"), _row(1, "1"), _row(1, "2"), _row(1, "1/2 1/2"), _row(1, "1/2 1/2"), _row(1, "3"), _row(1, "4"),
            _row(2, "3/2 1/2"), _row(2, "1/4 1/4 1/4 1/4"), _row(2, "1/2 1/4 1/4"), _row(2, "1/4 1/4 1/2"),
            _row(3, "3/4 1/4"), _row(3, "1/4 1/2 1/4"), _row(3, "1/2 1 1/2"), _row(3, "1/4 3/4"),
            _row(4, "1/3 1/3 1/3"), _row(4, "2/3 1/3"), _row(4, "1/3 2/3"),
        ),
        "compound": (
            _row(1, "1"), _row(1, "1"), _row(1, "2"), _row(1, "1/3 1/3 1/3"), _row(1, "2/3 1/3"), _row(1, "2/3 1/3"),
            _row(2, "1/3 2/3"), _row(2, "1/3 1/3 1/6 1/6"), _row(2, "1/6 1/6 1/3 1/3"), _row(2, "5/3 1/3"),
            _row(3, "1/2 1/6 1/3"), _row(3, "1/3 1/6 1/6 1/3"), _row(3, "1/6 1/6 1/6 1/6 1/6 1/6"), _row(3, "2/3 1 1/3"),
            _row(4, "1/2 1/2"), _row(4, "1/4 1/4 1/4 1/4"),
        ),
    }
)  # fmt: skip
#: In so many figures one has a rest for a note, and so many beats are tied over to the next, where that is asked.
_ONE_REST_IN, _ONE_TIE_IN = 5, 6


@dataclass(frozen=True, slots=True)
class Beat:
    """One beat as it is counted: where it begins in its measure and how long it is, in quarters, and how it divides."""

    onset: Fraction
    quarters: Fraction
    kind: str


@lru_cache(maxsize=64)
def beats_of(metre: str, grouping: tuple[int, ...] = ()) -> tuple[Beat, ...]:
    """Return the beats of a measure; in odd metres of eighths, the groups of two and three.

    Examples
    --------
    >>> [(str(beat.onset), beat.kind) for beat in beats_of("7/8", (2, 2, 3))]
    [('0', 'simple'), ('1', 'simple'), ('2', 'compound')]
    >>> [str(beat.quarters) for beat in beats_of("6/8")]
    ['3/2', '3/2']
    """
    beat = beat_quarters(metre)
    if metre in ODD and metre.endswith("/8"):
        sizes = [Fraction(units, 2) for units in grouping or ODD[metre][0]]
    else:
        sizes = [beat] * int(measure_quarters(metre) / beat)
    compound = Fraction(3, 2)
    return tuple(
        Beat(sum(sizes[:at], Fraction(0)), size, "compound" if size == compound else "simple")
        for at, size in enumerate(sizes)
    )


@lru_cache(maxsize=64)
def accents_of(metre: str, grouping: tuple[int, ...] = ()) -> tuple[Fraction, ...]:
    """Return where in a measure its groups begin, in quarters: each beat that is counted more strongly.

    Examples
    --------
    >>> [str(at) for at in accents_of("5/4", (3, 2))], [str(at) for at in accents_of("4/4")]
    (['0', '3'], ['0'])
    """
    if metre not in ODD:
        return (Fraction(0),)
    unit = Fraction(4, int(metre.partition("/")[2]))
    groups = grouping or ODD[metre][0]
    return tuple(unit * sum(groups[:at]) for at in range(len(groups)))


def drawn_grouping(draw: Draw, metre: str) -> tuple[int, ...]:
    """Return a grouping of the units of an odd metre; none of another metre."""
    return draw.choice(ODD[metre]) if metre in ODD else ()


@lru_cache(maxsize=1024)
def _fitting(kind: str, level: int, beats: int) -> tuple[tuple[Fraction, ...], ...]:
    """Figures of at most `beats` beats; those of the level itself twice, so that they come up."""
    rows = [(low, lengths) for low, lengths in FIGURES[kind] if low <= level and sum(lengths) <= beats]
    return tuple(lengths for low, lengths in rows for _ in range(2 if low == level else 1))


def drawn_measure(
    draw: Draw, metre: str, level: int, grouping: tuple[int, ...] = (), *, closing: bool = False
) -> tuple[tuple[Fraction, ...], ...]:
    """Return the figures of one measure, in quarters; a `closing` one ends with a note of one beat or longer.

    Examples
    --------
    >>> figures = drawn_measure(Draw("demo", "first", 1, 7, 0), "4/4", 2)
    >>> str(sum(sum(figure) for figure in figures))
    '4'
    """
    beats = beats_of(metre, grouping)
    found: list[tuple[Fraction, ...]] = []
    at = 0
    while at < len(beats):
        alike = next((n for n in range(at, len(beats)) if beats[n].quarters != beats[at].quarters), len(beats)) - at
        figures = _fitting(beats[at].kind, level, alike)
        figure = draw.choice(figures)
        if closing and at + sum(figure) == len(beats) and len(figure) > 1:
            figure = (Fraction(len(beats) - at),)
        found.append(tuple(length * beats[at].quarters for length in figure))
        at += int(sum(figure))
    return tuple(found)


def drawn_rhythm(
    draw: Draw,
    metre: str,
    measures: int,
    level: int,
    grouping: tuple[int, ...] = (),
    *,
    rests: bool = False,
    ties: bool = False,
    flowing: bool = False,
) -> tuple[LineNote, ...]:
    """Return the notes and rests of a rhythm; a note that is tied over is one note.

    Parameters
    ----------
    draw : Draw
        Where the figures come from.
    metre : str
        One of `METRES`.
    measures : int
        How many.
    level : int
        A key of `LEVELS`.
    grouping : tuple of int
        Of an odd metre.
    rests, ties : bool
        Whether there are rests (never at the end), and notes tied from one beat to the next.
    flowing : bool
        Whether, as melodies do, every measure before the last moves, and the last rests on its longest note.

    Examples
    --------
    >>> notes = drawn_rhythm(Draw("demo", "first", 1, 7, 0), "3/4", 2, 1)
    >>> str(sum(note.quarters for note in notes)), {note.pitch for note in notes}
    ('6', {'B4'})
    """
    while True:
        notes: list[tuple[str, Fraction]] = []
        for at in range(measures):
            figures = drawn_measure(draw, metre, level, grouping, closing=at == measures - 1)
            while flowing and not _flows(figures, closing=at == measures - 1):
                figures = drawn_measure(draw, metre, level, grouping, closing=at == measures - 1)
            for place, figure in enumerate(figures):
                names = [NOTE] * len(figure)
                is_last = at == measures - 1 and place == len(figures) - 1
                if rests and notes and not is_last and draw.integer(_ONE_REST_IN) == 0:
                    names[draw.integer(len(names))] = ""
                figure_notes = list(zip(names, figure, strict=True))
                if ties and notes and _can_be_tied(notes[-1], figure_notes[0]) and draw.integer(_ONE_TIE_IN) == 0:
                    notes[-1] = NOTE, notes[-1][1] + figure_notes.pop(0)[1]
                notes += figure_notes
        found = line_notes(notes)
        lengths = {note.quarters for note in found}
        if len(found) >= measures and (len(lengths) > 1 or len(found) > 2 * measures):
            return found


def _flows(figures: Sequence[Sequence[Fraction]], *, closing: bool) -> bool:
    notes = [length for figure in figures for length in figure]
    return notes[-1] == max(notes) if closing else len(notes) > 1


def _can_be_tied(before: tuple[str, Fraction], after: tuple[str, Fraction]) -> bool:
    """Notes of triplets are not tied over, so that every length can be written."""
    return all(name and length.denominator in (1, 2, 4) for name, length in (before, after))
