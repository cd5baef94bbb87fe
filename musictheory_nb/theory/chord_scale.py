"""Which scales go with a chord (`scales_for`): ranked, with chord tones, tensions, avoid notes and a reason.

Conventions: a chord's own tones are root, third or suspended tone, fifth, and sixth or seventh; what lies above them is
a tension, written or not. What is taught with a kind of chord stands in ``chord_scale.tsv`` and takes precedence over
the rule that an avoid note lies a half step above a chord tone. A slash chord on a foreign bass is heard from the bass
first.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import ChordError, ScaleError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_CLASS, DEGREE_PARTS
from musictheory_nb.theory.chord_optional import optional_degrees
from musictheory_nb.theory.chord_scale_context import is_dominant, key_scales, place_of
from musictheory_nb.theory.chord_scale_frame import Frame, frames_of
from musictheory_nb.theory.chord_scale_reason import (
    Approach,
    ScaleTone,
    approach_reason,
    notes_for_degrees,
    parent_reason,
    scale_reason,
)
from musictheory_nb.theory.chord_scale_table import Pairing, taught_with
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch_grammar import HIGHEST_FIFTHS
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import ScaleType, mode_of, scale_types

__all__ = ["TRADITIONS", "Approach", "ChordScale", "ScaleTone", "scales_for"]

#: The ways of choosing notes over a chord that teachers teach.
TRADITIONS: Final = MappingProxyType(
    {
        "chord scale": "one scale for each chord, on its root (default)",
        "parent scale": "the scale of the key, or the one that the chord scale is a mode of",
        "chord tones": "chord tones, each reached from a half step below or a scale step above",
    }
)
_HALF_STEP_BELOW_FIFTHS: Final = 5


class _Allowed(NamedTuple):
    """What may be offered beside what is taught: rare scales, scales with passing notes, a second third or fifth."""

    rarest: int
    passing: bool
    contradiction: bool


#: Offers in order; the next is made only where nothing was found before.
_ALLOWED: Final = (_Allowed(2, False, False), _Allowed(2, False, True), _Allowed(3, True, True))


@dataclass(frozen=True, slots=True)
class ChordScale:
    """A scale over a chord. Its notes are parted into chord tones, tensions, avoid notes and passing notes.

    Parameters
    ----------
    chord : Chord
        The chord.
    scale : Scale
        The scale.
    chord_tones : tuple of ScaleTone
        Root, third or suspended tone, fifth, and sixth or seventh of the chord that the scale holds.
    tensions : tuple of ScaleTone
        Notes that colour the chord, those that its symbol writes among them.
    avoid : tuple of ScaleTone
        Notes not to rest on.
    passing : tuple of ScaleTone
        Notes that are neither: to be passed through.
    left_out : tuple of ScaleTone
        Tones of the chord that the scale does not hold.
    disputed : tuple of ScaleTone
        Notes on which teachers differ, wherever they stand above.
    is_taught : bool
        Whether handbooks teach the pair; otherwise the scale merely holds the chord.
    reason : str
        Why, in a teacher's sentences.
    approaches : tuple of Approach
        In the tradition of chord tones, the ways into each.
    """

    chord: Chord
    scale: Scale
    chord_tones: tuple[ScaleTone, ...]
    tensions: tuple[ScaleTone, ...]
    avoid: tuple[ScaleTone, ...]
    passing: tuple[ScaleTone, ...]
    left_out: tuple[ScaleTone, ...]
    disputed: tuple[ScaleTone, ...]
    is_taught: bool
    reason: str
    approaches: tuple[Approach, ...] = ()

    def __str__(self) -> str:
        return f"{self.scale.name} over {self.chord.symbol}"


def scales_for(
    chord: Chord | str,
    *,
    key: Key | str | None = None,
    next_chord: Chord | str | None = None,
    tradition: str = "chord scale",
    limit: int | None = None,
) -> list[ChordScale]:
    """Rank the scales that go with a chord, the first choice first.

    Parameters
    ----------
    chord : Chord or str
        The chord.
    key : Key or str, optional
        The key it stands in: iii7 of a major key takes Phrygian, ii7 takes Dorian.
    next_chord : Chord or str, optional
        The chord behind it; this decides before the key does. A dominant before a minor chord takes Phrygian dominant.
    tradition : {'chord scale', 'parent scale', 'chord tones'}
        One scale a chord; the scale of the key or the parent; or chord tones with their approach notes.
    limit : int, optional
        How many to return at most; all if not given.

    Returns
    -------
    list of ChordScale
        Taught pairs first, then other scales of the catalogue that hold the whole chord.

    Raises
    ------
    ChordError
        The chord cannot be read, or is N.C.
    ScaleError
        No such tradition, a limit below 1, or no scale holds the chord.
    KeyNameError, AmbiguousError
        Key or chord cannot be read.

    Notes
    -----
    Source: common practice, as taught by The Chord Scale Theory & Jazz Harmony (Advance Music, 1997) and The Jazz
    Theory Book (Sher Music, 1995); from memory. Where teachers differ, `ChordScale.disputed` says so.

    Examples
    --------
    >>> m = scales_for("Cmaj7#11")
    >>> m[0].scale.name, [tone.name for tone in m[0].tensions], m[0].avoid
    ('C Lydian', ['D', 'F#', 'A'], ())
    >>> m = scales_for("G7", next_chord="Cm7")
    >>> m[0].scale.name, [(tone.degree, tone.name) for tone in m[0].avoid]
    ('G Phrygian dominant', [('11', 'C')])
    >>> scales_for("N.C.")
    Traceback (most recent call last):
    musictheory_nb.errors.ChordError: chord 'N.C.': no chord, so no scale of its own; play on in the scale of the key
    """
    read = Chord(chord)
    if read.root is None:
        raise ChordError(
            f"chord {read.symbol!r}: no chord, so no scale of its own; play on in the scale of the key or of the last chord"
        )
    way = tradition.replace("-", " ").replace("_", " ").casefold() if isinstance(tradition, str) else tradition
    if not isinstance(way, str) or way not in TRADITIONS:
        raise ScaleError(f"tradition {tradition!r}: must be one of {', '.join(TRADITIONS)}")
    if limit is not None and (not isinstance(limit, int) or limit < 1):
        raise ScaleError(f"limit {limit!r}: must be a whole number, 1 or more")
    in_key = None if key is None else Key(key)
    found = _ranked(read, in_key, None if next_chord is None else Chord(next_chord))
    if way == "parent scale":
        found = _by_parent(found, in_key)
    elif way == "chord tones":
        found = [_by_chord_tones(found[0])]
    return found[:limit]


def _ranked(chord: Chord, key: Key | None, next_chord: Chord | None) -> list[ChordScale]:
    """All scales over the chord, from each note that it may be heard from."""
    frames = frames_of(chord)
    found: dict[Scale, ChordScale] = {}
    for frame in frames:
        for pairing in _taught(frame, key, next_chord):
            scale = _on(frame.root, pairing.kind)
            if scale is not None:
                found.setdefault(scale, _over(chord, frame, scale, pairing, is_taught=True))
    for allowed in _ALLOWED:
        for frame in frames:
            known = {one.scale.type.mask for one in found.values() if one.scale.tonic == frame.root}
            for fitting in sorted(_untaught(chord, frame, known, allowed), key=_by_level_and_avoid):
                found.setdefault(fitting.scale, fitting)
        if found:
            return list(found.values())
    notes = " ".join(tone.name for tone in frames[0].tones)
    raise ScaleError(
        f"chord {chord.symbol!r}: no scale of the catalogue holds all of {notes}; leave a tone out, or take two chords"
    )


def _taught(frame: Frame, key: Key | None, next_chord: Chord | None) -> Iterator[Pairing]:
    """Pairs for the chord's place, then the scale of the key, then pairs for the chord alone."""
    place = place_of(frame.root, frame.degrees, key, next_chord)
    in_place = taught_with(frame.degrees, place) if place else ()
    alone = taught_with(frame.degrees)
    of_key = () if key is None else tuple(_of_key(frame, key, alone))
    optional = optional_degrees(frame.degrees)
    for pairing in (*in_place, *of_key, *alone):
        missing = frame.missing_from(pairing.kind)
        if not missing or (missing == ["5"] and "5" in optional):
            yield pairing


def _of_key(frame: Frame, key: Key, alone: tuple[Pairing, ...]) -> Iterator[Pairing]:
    """First scale of the key that holds the chord, begun on the chord's root; its notes as taught for the chord alone."""
    scales = key_scales(key)
    if frame.root.is_enharmonic_to(key.tonic):  # the chord at rest takes the melodic before the harmonic minor
        scales = (*scales[:1], *reversed(scales[1:]))
    for scale in scales:
        if frame.root.pitch_class in scale.pitch_classes:
            kind = mode_of(scale.type, scale.pitch_classes.index(frame.root.pitch_class) + 1)
            if not frame.missing_from(kind):
                taught = next((pairing for pairing in alone if pairing.kind == kind), Pairing(kind))
                begun = (
                    "the scale of the key" if kind == scale.type else f"{scale.display}, begun on {frame.root.display}"
                )
                yield replace(taught, why=f"It is {begun}.")
                return


def _untaught(chord: Chord, frame: Frame, known: set[int], allowed: "_Allowed") -> Iterator[ChordScale]:
    """Scales of the catalogue that hold the chord and are not known yet."""
    for kind in scale_types():
        if kind.mask in known or kind.level > allowed.rarest or len(kind.degrees) == 12 or frame.missing_from(kind):
            continue
        if (kind.passing and not allowed.passing) or (frame.contradicts(kind) and not allowed.contradiction):
            continue
        known.add(kind.mask)
        if (scale := _on(frame.root, kind)) is not None:
            yield _over(chord, frame, scale, Pairing(kind), is_taught=False)


def _by_level_and_avoid(one: ChordScale) -> tuple[int, int]:
    return one.scale.type.level, len(one.avoid)


def _on(root: PitchName, kind: ScaleType) -> Scale | None:
    """Scale on a root, or None where it cannot be spelled there."""
    try:
        return Scale.of(root, kind)
    except ScaleError:
        return None


def _over(chord: Chord, frame: Frame, scale: Scale, pairing: Pairing, *, is_taught: bool) -> ChordScale:
    """Part the notes of a scale over a chord."""
    parts: dict[str, list[ScaleTone]] = {"chord tone": [], "tension": [], "avoid": [], "passing": []}
    by_class: dict[int, ScaleTone] = {}
    for degree in scale.type.as_chord_tones():
        tone = frame.tone_of(degree)
        by_class[DEGREE_CLASS[degree]] = tone
        parts[_part(frame, scale.type, pairing, DEGREE_CLASS[degree])].append(tone)
    left_out = tuple(tone for tone in frame.tones if tone.degree in frame.missing_from(scale.type))
    disputed = tuple(by_class[DEGREE_CLASS[d]] for d in pairing.disputed if DEGREE_CLASS[d] in by_class)
    by_number = {name: tuple(sorted(tones, key=_by_height)) for name, tones in parts.items()}
    own = sorted(by_number["chord tone"], key=lambda tone: DEGREE_PARTS[tone.degree])
    why = notes_for_degrees(pairing.why, frame.root)
    if frame.is_heard_from_bass:
        why = f"The chord is heard from its bass, {frame.root.display}. {why}".strip()
    held = [tone for tone in frame.tones if DEGREE_CLASS[tone.degree] in by_class]
    reason = scale_reason(
        chord.display,
        scale,
        why,
        held,
        by_number["tension"],
        by_number["avoid"],
        by_number["passing"],
        left_out,
        disputed,
        is_taught=is_taught,
    )
    return ChordScale(
        chord,
        scale,
        tuple(own),
        by_number["tension"],
        by_number["avoid"],
        by_number["passing"],
        left_out,
        disputed,
        is_taught,
        reason,
    )


def _by_height(tone: ScaleTone) -> tuple[int, int]:
    """Order of tensions: 9, 11, 13, then what else there is, an octave up."""
    number, alter = DEGREE_PARTS[tone.degree]
    return (number if number > 7 else number + 7), alter


def _part(frame: Frame, kind: ScaleType, pairing: Pairing, sound: int) -> str:
    """What a note is, by its semitones above the root: the taught lists first, then the rule."""
    if sound in frame.own:
        return "chord tone"
    if sound in frame.written:
        return "tension"
    if sound == 7 and not frame.has_fifth:
        return "tension"
    if pairing.avoid is not None and sound in _classes(pairing.avoid):
        return "avoid"
    if pairing.tensions is not None and sound in _classes(pairing.tensions):
        return "tension"
    if sound in _classes(kind.passing):
        return "passing"
    allowed = is_dominant(frame.degrees) and sound in (1, 8)  # b9 and b13
    if (sound - 1) % 12 in frame.own and not allowed:
        return "avoid" if pairing.avoid is None else "passing"
    return "tension" if pairing.tensions is None else "passing"


def _classes(degrees: tuple[str, ...]) -> set[int]:
    return {DEGREE_CLASS[degree] for degree in degrees}


def _by_parent(found: list[ChordScale], key: Key | None) -> list[ChordScale]:
    """The same notes under the name of the key's scale or of the parent."""
    of_key = {frozenset(scale.pitch_classes): scale for scale in reversed(key_scales(key))} if key else {}
    by_scale: dict[Scale, ChordScale] = {}
    for one in found:
        scale = one.scale
        try:
            parent = of_key.get(frozenset(scale.pitch_classes)) or scale.parent
        except ScaleError:  # the parent would need four accidentals
            parent = scale
        if len(scale) != 7:  # symmetric, pentatonic and bebop scales are thought of from the root
            parent = of_key.get(frozenset(scale.pitch_classes), scale)
        by_scale.setdefault(parent, replace(one, scale=parent, reason=parent_reason(scale, parent, one.reason)))
    return list(by_scale.values())


def _by_chord_tones(first: ChordScale) -> ChordScale:
    """The chord tones with the ways into each, scale steps taken from the first choice."""
    names = first.scale.pitch_names
    approaches = []
    for tone in first.chord_tones:
        place = next(i for i, name in enumerate(names) if name.is_enharmonic_to(tone.pitch_name))
        below = _half_step_below(tone.pitch_name)
        approaches.append(Approach(tone, below.name, names[(place + 1) % len(names)].name))
    reason = approach_reason(first.chord.display, approaches, first.scale)
    return replace(first, tensions=(), avoid=(), passing=(), disputed=(), approaches=tuple(approaches), reason=reason)


def _half_step_below(name: PitchName) -> PitchName:
    """A minor second below, or its enharmonic name where that would carry four accidentals."""
    fifths = name.fifths + _HALF_STEP_BELOW_FIFTHS
    return PitchName.from_fifths(fifths if fifths <= HIGHEST_FIFTHS else fifths - 12)
