"""Letters and primes for the sections of a form (`labelled`).

Conventions: the same passage has the same label each time, whatever its ending; sections have the same letter whose
bars are alike enough in a row, from their first bar on, whose written chords or whose bass line are the same under another
melody, or whose melody is the same in another key. Where a section differs from the first of its letter it takes a prime, or the primes of
the one it is the same as; after A''' they are counted: A4, A5. An introduction has no letter, nor has a coda of other music.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from musictheory_nb.score.form_chord import BarChords
from musictheory_nb.score.form_transposition import moved_by
from musictheory_nb.score.measure_likeness import MeasureLikeness

#: From this mean likeness on, two spans share a letter; from `_EXACT` in every bar on, they are the same.
_ALIKE: Final = 0.6
_EXACT: Final = 0.97
#: From this mean likeness of all that sounds on, it is the same music, whoever plays it.
_SOUNDS: Final = 0.85
#: From this mean likeness of the bass on, it is the same line.
_BASS: Final = 0.85
#: The same changes over so many bars at least are a return.
_CHANGES: Final = 4
#: So many primes are written out; more are counted.
_PRIMES: Final = 3


@dataclass(frozen=True, slots=True)
class Span:
    """A run of bars, `start` to `end` (not included), on its way to a section.

    Parameters
    ----------
    passage : int
        What is written there: the same number each time it is played.
    reasons : tuple of str
        Why it begins here.
    title : str
        Name that the score gives it.
    once : bool
        Its music comes but once, by the search of strains.
    part : int
        Bars from the start of its passage.
    force : int
        First bar of the span that it returns to, -1 for none.
    letter, label, like, role
        As of `form_section.Section`.
    """

    start: int
    end: int
    passage: int = -1
    reasons: tuple[str, ...] = ()
    title: str = ""
    once: bool = False
    part: int = 0
    force: int = -1
    letter: str = ""
    label: str = ""
    like: int | None = None
    role: str = ""

    @property
    def bars(self) -> int:
        """How many bars it has."""
        return self.end - self.start


def letters(count: int) -> str:
    """Return the letter of the so-manieth different section: A to Z, then a to z, then ``'?'``."""
    names = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz"
    return names[count] if count < len(names) else "?"


def variant(letter: str, number: int) -> str:
    """Return the label of the so-manieth variant of a section, 0 for the first one itself.

    Examples
    --------
    >>> [variant("A", number) for number in (0, 1, 3, 4)]
    ['A', "A'", "A'''", 'A4']
    """
    return letter + "'" * number if number <= _PRIMES else f"{letter}{number}"


def labelled(spans: Sequence[Span], likeness: MeasureLikeness, chords: BarChords | None = None) -> list[Span]:
    """Return the spans with letters, labels and the index of the first span alike.

    Parameters
    ----------
    chords : BarChords, optional
        The written chords, where they count.
    """
    found: list[Span] = []
    used = 0
    for span in spans:
        if span.role == "introduction":
            found.append(span)
            continue
        like = _alike(found, span, likeness, chords)
        if like is None and span.title == "coda":
            found.append(replace(span, role="coda"))
        elif like is None:
            letter = letters(used)
            used += 1
            found.append(replace(span, letter=letter, label=letter))
        elif not found[like].letter:
            found.append(replace(span, like=like, role="return of the introduction"))
        else:
            found.append(_varied(found, span, like, likeness, chords))
    return found


def has_introduction(spans: Sequence[Span]) -> bool:
    """Whether the first span is an introduction: named so, or played once, then skipped by every repeat, or very short."""
    if len(spans) < 2:
        return False
    first, second = spans[0], spans[1]
    if first.title == "introduction":
        return True
    if any(span.passage == first.passage for span in spans[1:] if not span.part) or first.reasons[:1] != ("beginning",):
        return False
    goes_back = any(span.passage == second.passage and span.part == 0 for span in spans[2:])
    written = "repeat" in second.reasons or "segno" in second.reasons
    return goes_back and (written or first.bars <= 4) and first.bars < max(span.bars for span in spans[1:])


def _alike(found: Sequence[Span], span: Span, likeness: MeasureLikeness, chords: BarChords | None) -> int | None:
    """Return the first span with the same letter."""
    if span.force >= 0:
        for at, other in enumerate(found):
            if other.start == span.force:
                return other.like if other.like is not None else at
    for at, other in enumerate(found):
        if (other.passage, other.part) == (span.passage, span.part):
            return other.like if other.like is not None else at
    best, best_value = None, _ALIKE
    for at, other in enumerate(found):
        size = min(other.bars, span.bars)
        if other.like is not None or 5 * size < 3 * max(other.bars, span.bars) or size < 2 or not other.letter:
            continue
        value = float(np.mean(_diagonal(likeness, other.start, span.start, size)))
        if value > best_value:
            best, best_value = at, value
    if best is not None:
        return best
    return next(
        (
            at
            for at, other in enumerate(found)
            if other.like is None and other.letter and _comes_back(other, span, likeness, chords)
        ),
        None,
    )


def _comes_back(other: Span, span: Span, likeness: MeasureLikeness, chords: BarChords | None) -> bool:
    """Whether a span has what sounds in an earlier one with other players, its changes, or its melody in another key."""
    size = min(other.bars, span.bars)
    if (
        size < _CHANGES
        or max(other.bars, span.bars) > size + 2
        or (span.title and other.title and other.title != span.title)
    ):
        return False
    if np.mean([likeness.harmony[other.start + at, span.start + at] for at in range(size)]) >= _SOUNDS:
        return True
    same = chords is not None and chords.same_changes(other.start, span.start, size)
    return (
        same
        or _same_bass(likeness, other.start, span.start, size)
        or moved_by(likeness, other.start, span.start, size) != 0
    )


def _same_bass(likeness: MeasureLikeness, one: int, other: int, size: int) -> bool:
    """Whether two runs of bars have the same bass line, which does not go round within them."""
    bass = likeness.bass
    if np.mean([bass[one + at, other + at] for at in range(size)]) < _BASS:
        return False
    turns = range(1, size // 2 + 1)
    return all(np.mean([bass[one + at, one + at + turn] for at in range(size - turn)]) < _BASS for turn in turns)


def _is_same(likeness: MeasureLikeness, one: Span, other: Span) -> bool:
    """Whether two spans of the same length are the same in every bar, octaves of melody and bass too."""
    if min(_diagonal(likeness, one.start, other.start, one.bars)) < _EXACT:
        return False
    outer = (likeness.skyline, likeness.floor)
    apart = [np.mean(line[one.start : one.end] != line[other.start : other.end]) for line in outer]
    return bool(max(apart) <= 1 - _EXACT)


def _has_same(chords: BarChords | None, one: Span, other: Span) -> bool:
    """Whether no other chords are written in one of two spans of the same length."""
    return chords is None or bool(
        np.array_equal(chords.numbers[one.start : one.end], chords.numbers[other.start : other.end])
    )


def _diagonal(likeness: MeasureLikeness, one: int, other: int, size: int) -> list[float]:
    return [float(likeness.overall[one + at, other + at]) for at in range(size)]


def _varied(found: Sequence[Span], span: Span, like: int, likeness: MeasureLikeness, chords: BarChords | None) -> Span:
    """Return the span with the label of the one of its letter that it equals, or with one more prime."""
    letter = found[like].letter
    group = [other for other in found if other.letter == letter]
    for other in group:
        same = (other.passage, other.part) == (span.passage, span.part)
        if same or (other.bars == span.bars and _is_same(likeness, other, span) and _has_same(chords, other, span)):
            return replace(span, letter=letter, label=other.label, like=like)
    primes = len({other.label for other in group})
    return replace(span, letter=letter, label=variant(letter, primes), like=like)
