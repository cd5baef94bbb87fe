"""Chord progressions that exercises go over: written with their key and bars, moved to other keys."""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.chord_vocabulary import ROOTS
from musictheory_nb.practice.excerpt import ExcerptChord
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import any_of
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch_name import PitchName

#: Quarters of a bar; its chords share them.
BAR_QUARTERS: Final = 4
#: Chords that a bar may have, and the longest progression, in bars.
CHORDS_IN_A_BAR: Final = (1, 2, 4)
MOST_BARS: Final = 16
#: By itself keys with at most so many sharps or flats are used.
_MOST_SIGNS: Final = 4
_ALLOWED: Final = (
    "a list of different texts 'key: chords', bars between strokes, as ['C major: Dm7 | G7 | Cmaj7 | Cmaj7'], "
    "1, 2 or 4 chords a bar"
)


@dataclass(frozen=True, slots=True)
class Progression:
    """Chords in bars of four quarters: the key, and the symbols of each bar, which share it evenly.

    Examples
    --------
    >>> two = Progression("C major", (("Dm7", "G7"), ("Cmaj7",)))
    >>> [(one.measure, str(one.onset), one.text) for one in two.symbols]
    [(0, '0', 'Dm7'), (0, '2', 'G7'), (1, '0', 'Cmaj7')]
    """

    key: str
    bars: tuple[tuple[str, ...], ...]

    @property
    def chords(self) -> tuple[str, ...]:
        """All symbols in order."""
        return tuple(symbol for bar in self.bars for symbol in bar)

    @property
    def symbols(self) -> tuple[ExcerptChord, ...]:
        """The symbols where they stand."""
        return tuple(
            ExcerptChord(at, Fraction(BAR_QUARTERS * place, len(bar)), symbol)
            for at, bar in enumerate(self.bars)
            for place, symbol in enumerate(bar)
        )


@lru_cache(maxsize=1024)
def read_progression(text: str) -> Progression | None:
    """Read ``'C major: Dm7 | G7 | Cmaj7'``; None where it is no progression.

    Examples
    --------
    >>> read_progression("A minor: Bm7b5 E7 | Am6")
    Progression(key='A minor', bars=(('Bm7b5', 'E7'), ('Am6',)))
    >>> read_progression("Dm7 | G7") is None, read_progression("C major: Dm7 G7 Am7") is None
    (True, True)
    """
    key, colon, rest = text.partition(":")
    bars = tuple(tuple(bar.split()) for bar in rest.strip().strip("|").split("|"))
    if not colon or not 1 <= len(bars) <= MOST_BARS or any(len(bar) not in CHORDS_IN_A_BAR for bar in bars):
        return None
    try:
        name = Key(key.strip()).name
        whole = [[Chord(symbol) for symbol in bar] for bar in bars]
    except TheoryError:
        return None
    if any(chord.is_no_chord for bar in whole for chord in bar):
        return None
    return Progression(name, tuple(tuple(chord.symbol for chord in bar) for bar in whole))


def _are_progressions(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and bool(value)
        and all(isinstance(one, str) and read_progression(one) is not None for one in value)
        and len(set(value)) == len(value)
    )


def progressions_setting(default: tuple[str, ...], meaning: str) -> Setting:
    """Return the setting of the progressions."""
    return Setting("progressions", list(default), meaning, _ALLOWED, _are_progressions)


KEYS: Final = Setting(
    "keys",
    [],
    f"The tonics on which the progressions stand; by itself all whose key has at most {_MOST_SIGNS} sharps or flats.",
    f"a list of different notes from {', '.join(ROOTS)}, or []",
    any_of(ROOTS),
)


@lru_cache(maxsize=2048)
def in_key(progression: Progression, tonic: str) -> Progression | None:
    """Return a progression moved to another tonic; None where a chord cannot be spelled there.

    Examples
    --------
    >>> in_key(Progression("C major", (("Dm7", "G7"), ("C",))), "Eb")
    Progression(key='Eb major', bars=(('Fm7', 'Bb7'), ('Eb',)))
    """
    home = Key(progression.key)
    try:
        by = Interval.between(home.tonic, PitchName(tonic))
        bars = tuple(tuple(Chord(symbol).up(by).symbol for symbol in bar) for bar in progression.bars)
        key = Key.of(tonic, home.mode)
        names = [name for bar in bars for symbol in bar for name in Chord(symbol).pitch_names]
    except TheoryError:
        return None
    return Progression(key.name, bars) if all(abs(name.alter) <= 1 for name in names) else None


@lru_cache(maxsize=512)
def in_keys(text: str, tonics: tuple[str, ...]) -> tuple[Progression, ...]:
    """Return a progression on each tonic on which it can be spelled; on no tonics, on all with few signs.

    Examples
    --------
    >>> [one.key for one in in_keys("C major: Dm7 | G7 | Cmaj7", ())]
    ['C major', 'D major', 'Eb major', 'E major', 'F major', 'G major', 'Ab major', 'A major', 'Bb major']
    """
    progression = read_progression(text)
    assert progression is not None  # the setting was checked
    moved = [in_key(progression, tonic) for tonic in tonics or ROOTS]
    return tuple(one for one in moved if one is not None and (tonics or abs(Key(one.key).fifths) <= _MOST_SIGNS))
