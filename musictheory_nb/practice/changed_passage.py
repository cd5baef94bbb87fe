"""A passage in which one thing is played otherwise than it is written (`changed_passage`): a pitch, or two lengths."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from musictheory_nb.practice.draw import Draw
from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote
from musictheory_nb.theory.key_degree import signature_alter
from musictheory_nb.theory.pitch import Pitch

#: What may have been changed.
KINDS: Final = ("higher", "lower", "lengths")
#: How far a pitch may be moved; a second and a third within the key signature.
MOVES: Final = ("half step", "second", "third")
_LETTERS: Final = "CDEFGAB"
#: Shortest note, in quarters, of which a change is asked about.
_SHORTEST: Final = Fraction(1, 4)
_LOWEST, _HIGHEST = 24, 103


@dataclass(frozen=True)
class Change:
    """One change.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    played : Excerpt
        The passage as it is played.
    notes : tuple of int
        Indices of the notes that are changed, the same in both.
    before, after : str
        The pitch, written and played; ``''`` for lengths.
    """

    kind: str
    played: Excerpt
    notes: tuple[int, ...]
    before: str = ""
    after: str = ""


def changed_passage(draw: Draw, passage: Excerpt, kind: str, moves: Sequence[str]) -> Change | None:
    """Return a change of that kind at a place drawn by chance; None where the passage has no note for it.

    Examples
    --------
    >>> tune = Excerpt.melody(["C4", "E4", "G4"])
    >>> found = changed_passage(Draw("lesson", "one", 1, 0, 0), tune, "higher", ["second"])
    >>> Pitch(found.after).midi - Pitch(found.before).midi in (1, 2)
    True
    """
    found = _lengths(passage) if kind == "lengths" else _pitches(passage, 1 if kind == "higher" else -1, moves)
    every = list(found)
    return draw.choice(every) if every else None


def _pitches(passage: Excerpt, way: int, moves: Sequence[str]) -> Iterator[Change]:
    for at, note in enumerate(passage.notes):
        if not note.pitches or note.tie or note.duration < _SHORTEST:
            continue
        old = note.pitches[-1]
        for move in moves:
            new = _moved(old, way, move, passage.measures[note.measure].fifths)
            if not _LOWEST <= Pitch(new).midi <= _HIGHEST or (Pitch(new).midi - Pitch(old).midi) * way <= 0:
                continue
            if any(Pitch(other).midi >= Pitch(new).midi for other in note.pitches[:-1]):
                continue
            changed = replace(note, pitches=(*note.pitches[:-1], new))
            name = "higher" if way > 0 else "lower"
            yield Change(name, _with(passage, {at: changed}), (at,), old, new)


def _moved(name: str, way: int, move: str, fifths: int) -> str:
    pitch = Pitch(name)
    if move == "half step":
        letter, octave = pitch.step, pitch.octave
        alter = pitch.alter + way
        if abs(alter) > 1:  # no double accidental: the neighbouring letter, as near as it can be
            letter, octave = _next(letter, octave, way)
            here = Pitch(letter + str(octave)).midi
            alter = pitch.midi + way - here
        return f"{letter}{'#' * alter}{'b' * -alter}{octave}"
    letter, octave = pitch.step, pitch.octave
    for _ in range(1 if move == "second" else 2):
        letter, octave = _next(letter, octave, way)
    alter = signature_alter(letter, fifths)
    return f"{letter}{'#' * alter}{'b' * -alter}{octave}"


def _next(letter: str, octave: int, way: int) -> tuple[str, int]:
    place = _LETTERS.index(letter) + way
    return _LETTERS[place % 7], octave + place // 7


def _lengths(passage: Excerpt) -> Iterator[Change]:
    place = {(note.part, note.voice, note.measure, note.onset): at for at, note in enumerate(passage.notes)}
    for at, note in enumerate(passage.notes):
        after = place.get((note.part, note.voice, note.measure, note.onset + note.duration))
        if after is None or after == at or not _is_plain(note) or not _is_plain(other := passage.notes[after]):
            continue
        first, second = note.duration, other.duration
        if first == second:
            first, second = first * Fraction(3, 2), second / 2
        else:
            first, second = second, first
        if min(first, second) < _SHORTEST:
            continue
        rows = {
            at: replace(note, duration=first),
            after: replace(other, onset=note.onset + first, duration=second),
        }
        yield Change("lengths", _with(passage, rows), (at, after))


def _is_plain(note: ExcerptNote) -> bool:
    """Whether a note is long enough, and neither tied nor in a tuplet."""
    whole = note.duration.denominator & (note.duration.denominator - 1) == 0
    return bool(note.pitches) and not note.tie and note.duration >= _SHORTEST and whole


def _with(passage: Excerpt, rows: dict[int, ExcerptNote]) -> Excerpt:
    return replace(passage, notes=tuple(rows.get(at, note) for at, note in enumerate(passage.notes)))
