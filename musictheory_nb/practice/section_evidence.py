"""What can be seen in a score where a section begins: barlines, key, metre, and music that comes back."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final, TypeAlias

from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.excerpt import Excerpt

#: Of a section and an earlier one, laid side by side, at least this share of the measures must agree to be told.
LIKENESS: Final = 0.5
#: A new section is called new when none of its first measures, so many of them, occurs before it.
OPENING_MEASURES: Final = 4

_Measure: TypeAlias = tuple[tuple[object, ...], ...]


@lru_cache(maxsize=32)
def measure_contents(excerpt: Excerpt) -> tuple[_Measure, ...]:
    """Return what sounds in each measure: (part, onset, duration, pitches) of its notes, in order; empty if it rests."""
    rows: list[list[tuple[object, ...]]] = [[] for _ in excerpt.measures]
    for note in excerpt.notes:
        if note.pitches:
            rows[note.measure].append((note.part, note.onset, note.duration, note.pitches))
    return tuple(tuple(sorted(row)) for row in rows)


def _rhythm(measure: _Measure) -> _Measure:
    return tuple(note[:3] for note in measure)


def measures_alike(excerpt: Excerpt, first: int, other: int, length: int, *, rhythm_only: bool = False) -> int:
    """Return how many of `length` measures from `first` equal, each in its place, those from `other` (indices)."""
    contents = measure_contents(excerpt)
    same = 0
    for at in range(length):
        one, two = contents[first + at], contents[other + at]
        same += bool(one) and (one == two or (rhythm_only and _rhythm(one) == _rhythm(two)))
    return same


def span_words(excerpt: Excerpt, first: int, last: int) -> str:
    """Return measures `first` to `last` (indices) by their printed numbers, such as ``'measures 18 to 33'``."""
    numbers = excerpt.measures[first].number, excerpt.measures[last].number
    return f"measure {numbers[0]}" if first == last else f"measures {numbers[0]} to {numbers[1]}"


def signature_words(fifths: int) -> str:
    """Return a key signature in words.

    Examples
    --------
    >>> signature_words(-5), signature_words(1), signature_words(0)
    ('five flats', 'one sharp', 'no sharps or flats')
    """
    if fifths == 0:
        return "no sharps or flats"
    return counted(abs(fifths), "sharp" if fifths > 0 else "flat")


def barline_evidence(excerpt: Excerpt, at: int) -> list[str]:
    """Return what is printed where measure `at` (index) begins: barlines, marks, a new key or metre."""
    here = excerpt.measures[at]
    found = []
    if at > 0:
        before = excerpt.measures[at - 1]
        if before.repeat_end:
            found.append("a repeat sign closes what comes before it")
        elif before.double_bar:
            found.append("a double bar stands before it")
        if here.repeat_start:
            found.append("a repeat sign opens it")
        if here.fifths != before.fifths:
            found.append(f"the key signature changes to {signature_words(here.fifths)}")
        if here.metre != before.metre:
            found.append(f"the metre changes to {here.metre}")
    if here.mark:
        found.append(f"it is marked {here.mark!r}")
    return found


def return_evidence(excerpt: Excerpt, span: tuple[int, int], earlier: Sequence[tuple[int, int]]) -> list[str]:
    """Return how the section at `span` (first and last index) is like those at `earlier` with the same letter."""
    first, last = span
    length = last - first + 1
    best: tuple[int, int, tuple[int, int]] | None = None
    for rhythm_only in (False, True):
        for one in earlier:
            shared = min(length, one[1] - one[0] + 1)
            same = measures_alike(excerpt, first, one[0], shared, rhythm_only=rhythm_only)
            if same >= LIKENESS * shared and (best is None or same > best[0]):
                best = (same, shared, one)
        if best is not None:
            same, shared, one = best
            where = span_words(excerpt, one[0], one[0] + shared - 1)
            which = span_words(excerpt, first, first + shared - 1) if same == shared else f"{same} of {shared} measures"
            if rhythm_only:
                return [f"the rhythm of {which} is that of {where}"]
            return [f"{which} {'is that' if shared == 1 else 'are those'} of {where}"]
    return [f"it comes back, changed, from {listed([span_words(excerpt, *one) for one in earlier])}"]


def novelty_evidence(excerpt: Excerpt, span: tuple[int, int]) -> list[str]:
    """Return that the opening of the section at `span` (indices) does not occur before it, where that is so."""
    contents = measure_contents(excerpt)
    first, last = span
    opening = contents[first : min(last + 1, first + OPENING_MEASURES)]
    before = set(contents[:first])
    if not first or any(measure in before for measure in opening if measure):
        return []
    return [f"none of its first {counted(len(opening), 'measure')} occurs before it"]
