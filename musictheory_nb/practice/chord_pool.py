"""Chords to hear, read and write: drawn by rule or listed by the teacher, each once before any comes again."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.chord_vocabulary import (
    INVERSION_NAMES,
    QUALITY_NAMES,
    Voicing,
    degrees_of,
    inversions_of,
    tone_names,
    voicings_in,
)
from musictheory_nb.practice.display_settings import in_part
from musictheory_nb.practice.draw import WHOLE_EXERCISE, Draw
from musictheory_nb.practice.excerpt import Excerpt, ExcerptMeasure, ExcerptNote
from musictheory_nb.practice.family import CompleteSettings, Question, Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.practice.visiting_order import order_without_repeats
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch

_ALLOWED: Final = "a list of different chord symbols, as ['Bb7', 'F#m7b5/A'], or [] for chords drawn by rule"


@dataclass(frozen=True, slots=True)
class ChordCase:
    """A chord as it is asked: root, quality, inversion, and its written pitches from low to high."""

    root: str
    quality: str
    inversion: int
    pitches: tuple[str, ...]


@lru_cache(maxsize=1024)
def read_case(symbol: str) -> tuple[str, str, int] | None:
    """Return root, quality and inversion of a chord symbol; None where it is no chord that may be asked for.

    Examples
    --------
    >>> read_case("F#m7b5/A"), read_case("C"), read_case("C/D")
    (('F#', 'm7b5', 1), ('C', 'maj', 0), None)
    """
    try:
        chord = Chord(symbol)
    except TheoryError:
        return None
    if chord.root is None or chord.bass is None:
        return None
    quality = next((one for one in QUALITY_NAMES if degrees_of(one) == chord.degrees), None)
    if quality is None:
        return None
    names = tone_names(chord.root.name, quality)
    if chord.bass.name not in names[: len(inversions_of(quality))]:
        return None
    return chord.root.name, quality, names.index(chord.bass.name)


def _are_symbols(value: JSON) -> bool:
    return (
        isinstance(value, list)
        and all(isinstance(one, str) and read_case(one) is not None for one in value)
        and len(set(value)) == len(value)
    )


def _items_setting(meaning: str) -> Setting:
    return Setting("items", [], f"Chords of your own, in place of those drawn by rule{meaning}", _ALLOWED, _are_symbols)


#: Where the answer is chosen, and where it is written.
ITEMS: Final = _items_setting("; their qualities and inversions are among the answers to choose from.")
OWN_CHORDS: Final = _items_setting(".")


@lru_cache(maxsize=256)
def qualities_asked(settings: CompleteSettings) -> tuple[str, ...]:
    """Return the qualities that can come up: those of the setting, and those of the teacher's list."""
    own = [case[1] for text in settings["items"] if (case := read_case(text))]
    return tuple(dict.fromkeys([*settings["qualities"], *own]))


@lru_cache(maxsize=256)
def inversions_asked(settings: CompleteSettings) -> tuple[int, ...]:
    """Return the inversions that can come up."""
    own = [case[2] for text in settings["items"] if (case := read_case(text))]
    return tuple(dict.fromkeys([*settings["inversions"], *own]))


@lru_cache(maxsize=256)
def _pools(
    settings: CompleteSettings, register: Register, each_root_once: bool = False
) -> tuple[tuple[ChordCase, ...], ...]:
    """Return the cases of each kind: a kind is a quality in an inversion, or a chord of the teacher's list."""
    voicing = settings.get("voicing", "close")
    found = []
    kinds: list[tuple[str, int, tuple[str, ...]]]
    if settings["items"]:
        kinds = [(quality, inversion, (root,)) for root, quality, inversion in map(_known, settings["items"])]
    else:
        kinds = [
            (quality, inversion, ())
            for quality in settings["qualities"]
            for inversion in settings["inversions"]
            if inversion in inversions_of(quality)
        ]
    for quality, inversion, roots in kinds:
        placed = voicings_in(quality, inversion, register, voicing, roots)
        if not placed:
            raise ExerciseError(
                f"low and high in the {register.clef} clef: no {QUALITY_NAMES[quality]} in {INVERSION_NAMES[inversion]} "
                f"({voicing}) fits between them; widen the register, or leave out {quality!r}"
            )
        if each_root_once:
            placed = _nearest_the_middle(placed, register)
        found.append(tuple(ChordCase(one.root, quality, inversion, one.pitches) for one in placed))
    if not found:
        raise ExerciseError(
            f"inversions {settings['inversions']}: none of {', '.join(settings['qualities'])} has one of them; triads have 0, "
            "1 and 2"
        )
    return tuple(found)


def _nearest_the_middle(placed: Sequence[Voicing], register: Register) -> tuple[Voicing, ...]:
    """Return one placing of each root: that nearest to the middle of the register."""
    middle = register.low_midi + register.high_midi

    def off(one: Voicing) -> int:
        return abs(Pitch(one.pitches[0]).chromatic + Pitch(one.pitches[-1]).chromatic - middle)

    roots = dict.fromkeys(one.root for one in placed)
    return tuple(min((one for one in placed if one.root == root), key=off) for root in roots)


def _known(symbol: str) -> tuple[str, str, int]:
    case = read_case(symbol)
    assert case is not None  # the setting was checked
    return case


def check_chords_fit(settings: CompleteSettings, register: Register) -> None:
    """Raise unless every chord that can be asked for fits into the register.

    Raises
    ------
    ExerciseError
        One does not; the message says which.
    """
    _pools(settings, register)


@lru_cache(maxsize=2048)
def _order(
    lesson: str,
    exercise: str,
    version: int,
    seed: int,
    count: int,
    settings: CompleteSettings,
    register: Register,
    each_root_once: bool,
) -> tuple[ChordCase, ...]:
    pools = _pools(settings, register, each_root_once)
    draw = Draw(lesson, exercise, version, seed, WHOLE_EXERCISE)
    likes = [pool[0].quality if len(settings["qualities"]) > 1 else at for at, pool in enumerate(pools)]
    order = order_without_repeats(draw, likes, [len(pool) for pool in pools], count)
    return tuple(pools[kind][at] for kind, at in order)


def chord_case(question: Question, register: Register, *, each_root_once: bool = False) -> ChordCase:
    """Return the chord of an item; with `each_root_once` an octave is no difference, as where the question is a symbol."""
    return _order(
        question.lesson,
        question.exercise,
        question.version,
        question.seed,
        question.count,
        question.settings,
        register,
        each_root_once,
    )[question.index]


@lru_cache(maxsize=4096)
def chord_excerpt(
    pitches: tuple[str, ...], played: str, clef: str, timbre: str, shift: tuple[int, int] = (0, 0)
) -> Excerpt:
    """Return a chord played at once, note by note from the bass up, or first so and then so.

    Examples
    --------
    >>> [len(note.pitches) for note in chord_excerpt(("C4", "E4", "G4"), "both", "treble", "struck").notes]
    [1, 1, 1, 3]
    """
    together = Excerpt.melody(pitches, clef=clef, timbre=timbre, together=True)
    if played == "together":
        return in_part(together, shift)
    broken = Excerpt.melody(pitches, clef=clef, timbre=timbre)
    if played == "broken":
        return in_part(broken, shift)
    chord = together.notes[0]
    after = ExcerptMeasure("2", together.measures[0].length, together.measures[0].metre)
    notes = (*broken.notes, ExcerptNote(0, 1, chord.onset, chord.duration, chord.pitches))
    return in_part(Excerpt(broken.parts, (*broken.measures, after), notes, tempo=broken.tempo), shift)


def notes_read_aloud(shown: list[str]) -> str:
    """Return what notation of a chord shows, for a student who cannot see it.

    Examples
    --------
    >>> notes_read_aloud(["C4", "E4"])
    'The notes from low to high are C4, E4.'
    """
    return f"The notes from low to high are {', '.join(shown)}."
