"""How well a scale fits a passage of a piece, where what tells it stands, and what else would fit."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.practice.excerpt import Excerpt, ExcerptNote, ExcerptPart
from musictheory_nb.practice.scale_vocabulary import scale_on, signs_of
from musictheory_nb.practice.sounding_pitch import sounding_pitches
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: The lowest note of a drone, as a MIDI number: C2.
_LOWEST_DRONE: Final = 36
_MOST_ACCIDENTALS: Final = 2


@lru_cache(maxsize=2048)
def passage_amounts(excerpt: Excerpt, first: int, last: int) -> tuple[Fraction, ...]:
    """Return for each pitch class from C how long it sounds in measures `first` to `last` (indices), in quarters.

    Examples
    --------
    >>> [str(one) for one in passage_amounts(Excerpt.melody(["D4", "F4", "D5"]), 0, 0)][:6]
    ['0', '0', '2', '0', '0', '1']
    """
    amounts = [Fraction(0)] * 12
    for note in excerpt.notes:
        if first <= note.measure <= last:
            for pitch in sounding_pitches(excerpt, note):
                amounts[pitch.pitch_class] += note.duration
    return tuple(amounts)


@lru_cache(maxsize=8192)
def scale_classes(tonic: str, kind: str) -> frozenset[int]:
    """Return the pitch classes of a scale (going up)."""
    return frozenset(PitchName(name).pitch_class for name in scale_on(tonic, kind).names)


def scale_share(amounts: Sequence[Fraction], tonic: str, kind: str) -> Fraction:
    """Return the share of what sounds that belongs to a scale; 0 where nothing sounds.

    Examples
    --------
    >>> amounts = passage_amounts(Excerpt.melody(["D4", "F4", "B4", "Bb4"]), 0, 0)
    >>> str(scale_share(amounts, "D", "Dorian"))
    '3/4'
    """
    total = sum(amounts)
    inside = sum(amounts[one] for one in scale_classes(tonic, kind))
    return Fraction(inside) / total if total else Fraction(0)


@lru_cache(maxsize=4096)
def kinds_that_fit(amounts: tuple[Fraction, ...], tonic: str, kind: str, kinds: tuple[str, ...]) -> tuple[str, ...]:
    """Return the kinds on a tonic that a passage cannot tell from `kind`, which comes first.

    They have the same ones of the notes that sound, and no more notes that do not.

    Examples
    --------
    >>> amounts = passage_amounts(Excerpt.melody(["D4", "F4", "A4", "C5", "G4", "E4"]), 0, 0)
    >>> kinds_that_fit(amounts, "D", "Dorian", ("Dorian", "natural minor", "Phrygian", "major"))
    ('Dorian', 'natural minor')
    """
    used = frozenset(at for at, amount in enumerate(amounts) if amount)
    own = scale_classes(tonic, kind)
    found = [kind]
    for other in kinds:
        theirs = scale_classes(tonic, other)
        if other != kind and theirs & used == own & used and len(theirs - used) <= len(own - used):
            found.append(other)
    return tuple(found)


@lru_cache(maxsize=2048)
def telling_places(excerpt: Excerpt, first: int, last: int, tonic: str, kind: str) -> tuple[int, ...]:
    """Return the notes (indices) that tell a scale from plain major or minor; without any, those of its tonic.

    Examples
    --------
    >>> telling_places(Excerpt.melody(["D4", "B4", "A4", "B4"]), 0, 0, "D", "Dorian")
    (1, 3)
    """
    signs = {PitchName(own).pitch_class for own, _ in signs_of(tonic, kind)[1]}
    home = {PitchName(tonic).pitch_class}
    for wanted in (signs, home):
        found = tuple(
            at
            for at, note in enumerate(excerpt.notes)
            if first <= note.measure <= last
            and note.tie in ("", "start")
            and any(pitch.pitch_class in wanted for pitch in sounding_pitches(excerpt, note))
        )
        if found:
            return found
    return ()


@lru_cache(maxsize=512)
def with_drone(excerpt: Excerpt, tonic: str) -> Excerpt:
    """Return music over its tonic, held below it all the time where there is room.

    Examples
    --------
    >>> over = with_drone(Excerpt.melody(["D4", "F4"]), "D")
    >>> over.parts[-1].name, over.notes[-1].pitches
    ('Drone', ('D3',))
    """
    lowest = min((pitch.chromatic for note in excerpt.notes for pitch in sounding_pitches(excerpt, note)), default=60)
    octaves = [Pitch.from_name(PitchName(tonic), octave) for octave in (3, 2)]
    drone = next((one for one in octaves if _LOWEST_DRONE <= one.chromatic < lowest), octaves[0])
    part, count = len(excerpt.parts), len(excerpt.measures)
    ties = ["start", *["continue"] * (count - 2), "stop"] if count > 1 else [""]
    held = tuple(
        ExcerptNote(part, at, Fraction(0), measure.length, (drone.name,), tie=tie)
        for at, (measure, tie) in enumerate(zip(excerpt.measures, ties, strict=True))
    )
    return replace(
        excerpt, parts=(*excerpt.parts, ExcerptPart("Drone", "bass", timbre="held")), notes=(*excerpt.notes, *held)
    )


@lru_cache(maxsize=512)
def in_other_mode(excerpt: Excerpt, tonic: str, kind: str, other: str) -> Excerpt | None:
    """Return music with each note of one scale as the note of the same letter in another on the same tonic.

    None where the two scales have not one note for each letter, nothing would be changed, or a note cannot be spelled.

    Examples
    --------
    >>> changed = in_other_mode(Excerpt.melody(["D4", "B4", "F#4"]), "D", "Dorian", "natural minor")
    >>> [note.pitches[0] for note in changed.notes] if changed else ""
    ['D4', 'Bb4', 'F#4']
    """
    own, theirs = ({name[0]: PitchName(name) for name in scale_on(tonic, one).names} for one in (kind, other))
    if len(own) != 7 or len(theirs) != 7 or {len(scale_on(tonic, one).names) for one in (kind, other)} != {7}:
        return None
    notes = []
    for note in excerpt.notes:
        pitches = []
        for text, sounding in zip(note.pitches, sounding_pitches(excerpt, note), strict=True):
            step = sounding.pitch_name.name[0]
            by = theirs[step].alter - own[step].alter if sounding.pitch_name == own[step] else 0
            written = Pitch(text)
            if abs(written.alter + by) > _MOST_ACCIDENTALS:
                return None
            pitches.append(Pitch.of(written.step, written.alter + by, written.octave).name)
        notes.append(replace(note, pitches=tuple(pitches)))
    changed = replace(excerpt, notes=tuple(notes))
    return None if changed.notes == excerpt.notes else changed
