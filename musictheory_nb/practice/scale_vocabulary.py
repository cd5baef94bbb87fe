"""The scales that exercises ask for: kinds by the names of the catalogue, tonics that spell well, lines, sentences."""

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ScaleError, TheoryError
from musictheory_nb.practice.chord_vocabulary import ROOTS
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.plain_data import JSON
from musictheory_nb.practice.setting_check import any_of, one_of
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import scale_type, scale_types
from musictheory_nb.theory.scale_degree import display_degree

#: What a first course asks for.
MODES: Final = (
    "major",
    "natural minor",
    "harmonic minor",
    "melodic minor",
    "Dorian",
    "Phrygian",
    "Lydian",
    "Mixolydian",
)
#: Which way a scale goes.
DIRECTIONS: Final = ("up", "down", "up and down")
#: White keys that are called by another name only where a key needs it.
_RARE: Final = frozenset({"E#", "B#", "Cb", "Fb"})
_ORDINALS: Final = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
#: So many notes that differ from plain major or minor are told.
_MOST_SIGNS: Final = 3


def _are_kinds(value: JSON) -> bool:
    if not isinstance(value, list) or not value or not all(isinstance(one, str) and is_kind(one) for one in value):
        return False
    return len({scale_type(one) for one in value}) == len(value)


@lru_cache(maxsize=1024)
def is_kind(name: str) -> bool:
    """Return whether the catalogue has a scale of that name, exactly as written.

    Examples
    --------
    >>> is_kind("Lydian dominant"), is_kind("lydian"), is_kind("diminished")
    (True, False, False)
    """
    try:
        scale_type(name)
    except ScaleError:
        return False
    return True


def scales_setting(meaning: str, default: Sequence[str] = MODES) -> Setting:
    """Return the setting of the scales that are asked for."""
    known = ", ".join(one.name for one in scale_types() if one.level < 3)
    allowed = f"a list of different scales by the names of the catalogue, such as major, natural minor, {known}"
    return Setting("scales", list(default), meaning, allowed, _are_kinds)


TONICS: Final = Setting(
    "tonics",
    [],
    "The tonics on which scales stand; by itself all on which a scale needs no double accidental.",
    f"a list of different notes from {', '.join(ROOTS)}, or []",
    any_of(ROOTS),
)


def direction_setting(meaning: str, allowed: Sequence[str] = DIRECTIONS) -> Setting:
    """Return the setting of the direction."""
    return Setting("direction", "up", meaning, ", ".join(map(repr, allowed)), one_of(tuple(allowed)))


@lru_cache(maxsize=8192)
def scale_on(tonic: str, kind: str) -> Scale:
    """Return a scale under the name by which it is asked for.

    Raises
    ------
    TheoryError
        It cannot be spelled on this tonic.

    Examples
    --------
    >>> scale_on("D", "natural minor").name
    'D natural minor'
    """
    return Scale.of(PitchName(tonic), scale_type(kind), called=kind)


@lru_cache(maxsize=1024)
def kind_shown(kind: str) -> str:
    """Return the name of a kind of scale as printed.

    Examples
    --------
    >>> kind_shown("Dorian b2"), kind_shown("natural minor")
    ('Dorian ♭2', 'natural minor')
    """
    return re.sub(r"(?:##?|bb?)(?=\d)", lambda match: display_degree(match[0]), kind)


@lru_cache(maxsize=8192)
def shown_scale(tonic: str, kind: str, display: Display) -> str:
    """Return a scale as shown.

    Examples
    --------
    >>> shown_scale("Bb", "Dorian b2", Display()), shown_scale("Bb", "major", Display("german"))
    ('B♭ Dorian ♭2', 'B major')
    """
    return f"{display.note(tonic)} {kind_shown(kind)}"


@lru_cache(maxsize=8192)
def names_in(tonic: str, kind: str, direction: str) -> tuple[str, ...]:
    """Return the names of the notes in order from the tonic, without the tonic an octave away.

    Examples
    --------
    >>> names_in("A", "melodic minor", "up")[-2:], names_in("A", "melodic minor", "down")[:3]
    (('F#', 'G#'), ('A', 'G', 'F'))
    """
    scale = scale_on(tonic, kind)
    return tuple(scale.descending_names if direction == "down" else scale.names)


@lru_cache(maxsize=2048)
def semitones_in(kind: str, direction: str) -> tuple[int, ...]:
    """Return semitones above the lower tonic in the order in which the notes come.

    Examples
    --------
    >>> semitones_in("minor pentatonic", "up"), semitones_in("minor pentatonic", "down")[:3]
    ((0, 3, 5, 7, 10, 12), (12, 10, 7))
    """
    scale = scale_on("C", kind)
    low = scale.pitches(4)[0].chromatic
    up = [pitch.chromatic - low for pitch in scale.pitches(4)]
    down = [pitch.chromatic - low for pitch in scale.pitches(4, descending=True)]
    return tuple({"up": up, "down": down, "up and down": [*up, *down[1:]]}[direction])


@lru_cache(maxsize=8192)
def scale_line(tonic: str, kind: str, octave: int, direction: str) -> tuple[str, ...]:
    """Return written pitches from tonic to tonic; `octave` is that of the lower one.

    Examples
    --------
    >>> scale_line("D", "Dorian", 4, "down")[:3]
    ('D5', 'C5', 'B4')
    """
    scale = scale_on(tonic, kind)
    up = [pitch.name for pitch in scale.pitches(octave)]
    down = [pitch.name for pitch in scale.pitches(octave, descending=True)]
    return tuple({"up": up, "down": down, "up and down": [*up, *down[1:]]}[direction])


@lru_cache(maxsize=1024)
def plain_tonics(kind: str) -> tuple[str, ...]:
    """Return the tonics on which every note has at most one accidental, and no white key another name than its own.

    Where there is none, white keys may have other names, and then notes two accidentals.

    Examples
    --------
    >>> plain_tonics("major")
    ('C', 'Db', 'D', 'Eb', 'E', 'F', 'G', 'Ab', 'A', 'Bb', 'B')
    """
    for most, rare in ((1, False), (1, True), (2, True)):
        found = []
        for tonic in ROOTS:
            try:
                scale = scale_on(tonic, kind)
            except TheoryError:
                continue
            names = {*scale.names, *scale.descending_names}
            if all(abs(PitchName(name).alter) <= most and (rare or name not in _RARE) for name in names):
                found.append(tonic)
        if found:
            return tuple(found)
    return ()


@lru_cache(maxsize=1024)
def signs_of(tonic: str, kind: str) -> tuple[str, tuple[tuple[str, str], ...]]:
    """Return the plain scale on the same tonic that a scale is nearest to, and the notes that differ: own, plain.

    Only for a scale of seven notes that differs from major or natural minor in three notes at most.

    Examples
    --------
    >>> signs_of("D", "Dorian"), signs_of("D", "major")
    (('natural minor', (('B', 'Bb'),)), ('', ()))
    """
    scale = scale_on(tonic, kind)
    minor = "b3" in scale.degrees and scale.type != scale_type("natural minor")
    plain = "natural minor" if minor else "major"
    if len(scale) != 7 or scale.type == scale_type("major"):
        return "", ()
    try:
        pairs = zip(scale.names, scale_on(tonic, plain).names, strict=True)
    except TheoryError:
        return "", ()
    different = tuple((own, other) for own, other in pairs if own != other)
    return (plain, different) if len(different) <= _MOST_SIGNS else ("", ())


@lru_cache(maxsize=8192)
def scale_sentence(tonic: str, kind: str, direction: str, display: Display) -> str:
    """Return what a scale is, from its notes.

    Examples
    --------
    >>> scale_sentence("D", "Dorian", "up", Display())
    'D Dorian is D, E, F, G, A, B and C: 1 2 ♭3 4 5 6 ♭7 against the major scale, 2, 1, 2, 2, 2, 1 and 2 semitones from note to note. Where D natural minor has B♭, it has B. It has the notes of C major, from the second on.'
    """
    scale, shown = scale_on(tonic, kind), shown_scale(tonic, kind, display)
    notes = listed([display.note(name) for name in scale.names])
    degrees = " ".join(display_degree(degree) for degree in scale.degrees)
    steps = listed([str(one) for one in scale.steps])
    told = [f"{shown} is {notes}: {degrees} against the major scale, {steps} semitones from note to note."]
    if direction != "up" and (down := scale.descending_names)[1:] != scale.names[:0:-1]:
        told.append(f"Going down it is {listed([display.note(name) for name in down])}.")
    plain, signs = signs_of(tonic, kind)
    if signs:
        own, other = (listed([display.note(pair[at]) for pair in signs]) for at in (0, 1))
        told.append(f"Where {shown_scale(tonic, plain, display)} has {other}, it has {own}.")
    if parent := _parent_words(scale, display):
        told.append(parent)
    return " ".join(told)


def _parent_words(scale: Scale, display: Display) -> str:
    if scale.mode_number == 1 or len(scale) != 7:
        return ""
    try:
        parent = scale.parent
    except TheoryError:
        return ""
    named = f"{display.note(parent.tonic.name)} {kind_shown(parent.called)}"
    return f"It has the notes of {named}, from the {_ORDINALS[scale.mode_number - 1]} on."


def kind_of_semitones(semitones: Sequence[int]) -> str:
    """Return the commonest kind of scale with these semitones above the tonic; empty where there is none.

    Examples
    --------
    >>> kind_of_semitones((0, 2, 3, 5, 7, 8, 10)), kind_of_semitones((0, 1, 2))
    ('natural minor', '')
    """
    mask = sum(1 << semitone for semitone in {one % 12 for one in semitones})
    found = [kind for kind in scale_types() if kind.mask == mask]
    if not found:
        return ""
    first = min(found, key=lambda kind: kind.level)
    return next((name for name in MODES if name in first.names), first.name)
