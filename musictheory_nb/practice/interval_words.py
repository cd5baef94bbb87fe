"""Sentences about an interval between two notes."""

from collections.abc import Callable
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.counting_words import counted, listed
from musictheory_nb.practice.display_settings import PLAIN, Display
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch

#: Other names that a sentence mentions where they fit.
_TRADE_NAMES: Final = ("tritone", "half step", "whole step")
_WAYS: Final = {"up": "up to", "down": "down to", "together": "and"}


def a(name: str) -> str:
    """Return `name` with its article.

    Examples
    --------
    >>> a("augmented fourth"), a("perfect fifth")
    ('an augmented fourth', 'a perfect fifth')
    """
    return f"{'an' if name[0] in 'aeio' else 'a'} {name}"


@lru_cache(maxsize=512)
def _facts(interval: str) -> tuple[str, bool]:
    one = Interval(interval)
    told = [a(one.name), counted(one.semitones, "semitone")]
    told += [a(name) for name in _TRADE_NAMES if name in one.other_names]
    return ", ".join(told), one.number >= 8


@lru_cache(maxsize=4096)
def interval_sentence(
    interval: str,
    first: str,
    second: str,
    direction: str,
    scale: str = "",
    first_degree: int = 0,
    second_degree: int = 0,
    display: Display = PLAIN,
) -> str:
    """Return what the two notes make, and where both are found.

    Parameters
    ----------
    interval : str
        Its name, such as ``'d5'``.
    first, second : str
        The pitches in the order heard; together, the lower one first.
    direction : str
        ``'up'``, ``'down'`` or ``'together'``.
    scale : str
        Where both notes are found; empty if that is not to be told.
    first_degree, second_degree : int
        Their degrees in it.
    display : Display
        How pitches and degrees are named.

    Examples
    --------
    >>> interval_sentence("d5", "B3", "F4", "up", "C major", 7, 4)
    'B up to F is a diminished fifth, six semitones, a tritone; it is 7 up to 4 in C major.'
    >>> interval_sentence("M10", "C4", "E5", "together")
    'C4 and E5 make a major tenth, sixteen semitones.'
    >>> interval_sentence("d5", "B3", "F4", "up", "C major", 7, 4, Display("german", degrees="do"))
    'H up to F is a diminished fifth, six semitones, a tritone; it is ti up to fa in C major.'
    """
    facts, wide = _facts(interval)
    name = display.pitch if wide else _without_octave(display)
    verb, it = ("make", "they are") if direction == "together" else ("is", "it is")
    way = "to" if interval == "P1" else _WAYS[direction]
    told = f"{name(first)} {way} {name(second)} {verb} {facts}"
    if not scale:
        return told + "."
    where = display.scale(scale)
    one, other = (
        display.degree(scale, Pitch(note).pitch_name.name, degree)
        for note, degree in ((first, first_degree), (second, second_degree))
    )
    if one == other:
        return told + f"; both are {one} in {where}."
    return told + f"; {it} {one} {way} {other} in {where}."


def _without_octave(display: Display) -> Callable[[str], str]:
    return lambda text: display.note(Pitch(text).pitch_name.name)


@lru_cache(maxsize=512)
def by_ear_sentence(interval: str, names: tuple[str, ...]) -> str:
    """Return what `interval` cannot be told from by ear alone among `names`; empty if nothing.

    Examples
    --------
    >>> by_ear_sentence("d5", ("A4", "d5"))
    'By ear alone it cannot be told from an augmented fourth.'
    """
    others = [a(Interval(name).name) for name in names if name != interval]
    return f"By ear alone it cannot be told from {listed(others, 'or')}." if others else ""


@lru_cache(maxsize=4096)
def two_notes_read_aloud(first: str, second: str, direction: str, display: Display = PLAIN) -> str:
    """Return what notation of the two notes shows, for a student who cannot see it.

    Examples
    --------
    >>> two_notes_read_aloud("B3", "F4", "up")
    'The first note is B3, the second one is F4.'
    >>> two_notes_read_aloud("C4", "E5", "together")
    'The lower note is C4, the upper one is E5.'
    """
    one, other = ("lower", "upper") if direction == "together" else ("first", "second")
    return f"The {one} note is {display.pitch(first)}, the {other} one is {display.pitch(second)}."
