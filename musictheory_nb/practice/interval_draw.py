"""Which intervals, which notes and which music the items of an interval exercise get."""

from collections.abc import Sequence
from functools import lru_cache

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import in_part
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.interval_settings import DIRECTIONS
from musictheory_nb.practice.neighbouring_notes import NotePair, note_pairs
from musictheory_nb.practice.response import KeysInput
from musictheory_nb.practice.visiting_order import visiting_order
from musictheory_nb.theory.interval import Interval


@lru_cache(maxsize=2048)
def order_of_intervals(
    lesson: str, exercise: str, version: int, seed: int, count: int, names: tuple[str, ...], directions: tuple[str, ...]
) -> tuple[tuple[str, str], ...]:
    """Return (interval, direction) of every item: each interval, and each direction, once a round."""
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    visited = visiting_order(draw, [Interval(name).semitones for name in names], count)
    ways: list[str] = []
    while len(ways) < count:
        ways += draw.shuffled(directions)
    return tuple((names[place], way) for place, way in zip(visited, ways, strict=False))


@lru_cache(maxsize=512)
def order_in_excerpt(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    excerpt: Excerpt,
    names: tuple[str, ...],
    directions: tuple[str, ...],
) -> tuple[NotePair, ...]:
    """Return the pair of notes of every item: intervals in rounds, and no pair again before all of its interval."""
    pool: dict[str, list[NotePair]] = {name: [] for name in names}
    for pair in note_pairs(excerpt):
        if pair.interval in pool and pair.direction in directions:
            pool[pair.interval].append(pair)
    present = [name for name in names if pool[name]]
    if not present:
        raise ExerciseError(
            f"exercise {exercise!r}: the excerpt has none of the intervals {', '.join(names)} "
            f"{listed(directions, 'or')} between neighbouring notes; choose other intervals or another excerpt"
        )
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    visited = visiting_order(draw, [Interval(name).semitones for name in present], count)
    waiting: dict[str, list[NotePair]] = {name: [] for name in present}
    order = []
    for place in visited:
        name = present[place]
        if not waiting[name]:
            waiting[name] = _shuffled(draw, pool[name])
        order.append(waiting[name].pop())
    return tuple(order)


def _shuffled(draw: Draw, pairs: Sequence[NotePair]) -> list[NotePair]:
    """Return the pairs in a drawn order, directions by turns, so that no direction crowds out the others."""
    turns: list[tuple[int, int, NotePair]] = []
    for rank, direction in enumerate(draw.shuffled(DIRECTIONS)):
        same = draw.shuffled([pair for pair in pairs if pair.direction == direction])
        turns += [(turn, rank, pair) for turn, pair in enumerate(same)]
    return [pair for *_, pair in sorted(turns, key=lambda row: row[:2], reverse=True)]


@lru_cache(maxsize=4096)
def two_notes(
    first: str, second: str, together: bool, clef: str, timbre: str, shift: tuple[int, int] = (0, 0), fifths: int = 0
) -> Excerpt:
    """Return the two notes alone: at once, or in half notes one after the other.

    `shift` is from written to sounding pitch, in semitones and in steps; `fifths` is the key signature.
    """
    values = None if together else (2, 2)
    return in_part(
        Excerpt.melody((first, second), values, clef=clef, fifths=fifths, timbre=timbre, together=together), shift
    )


@lru_cache(maxsize=512)
def keyboard(low_midi: int, high_midi: int, given: int | None) -> KeysInput:
    """Return the piano: from the C at or below to the B at or above; the first note is given, or nothing."""
    return KeysInput(
        low_midi // 12 * 12,
        high_midi // 12 * 12 + 11,
        2 if given is None else 1,
        () if given is None else (given,),
    )


@lru_cache(maxsize=64)
def sounding_range(excerpt: Excerpt) -> tuple[int, int]:
    """Return the lowest and highest sounding note of all pairs of an excerpt."""
    midi = [number for pair in note_pairs(excerpt) for number in (pair.first_midi, pair.second_midi)]
    return min(midi), max(midi)
