"""Scales that a line spells over a chord (`chord_scales_in_use`): altered, Phrygian dominant, Lydian dominant and so on.

Conventions: the scale stands on the root of the chord. All notes over the chord belong to it (one short chromatic note
may pass), they are five different ones or more and those that tell the scale from its relatives are among them
(`MARKS`); with the chord's own tones at most one note of the scale is missing. Where several scales are left, the one
comes first that is taught first with the chord (`theory.chord_scale.scales_for`). Plain scales of the key are not told:
a scale that the key signature and its usual accidentals give anyway is told only where it has a colour of its own.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import ScaleError, TheoryError
from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.harmony_span import HarmonySpan
from musictheory_nb.score.note_row import rows_sounding
from musictheory_nb.score.pitch_content import rotated
from musictheory_nb.score.score import Score
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_scale import scales_for
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.scale import Scale
from musictheory_nb.theory.scale_catalogue import scale_type

#: Scale -> semitones above the root that must be among the notes, for they tell it from its relatives.
MARKS: Final = MappingProxyType(
    {
        "Lydian": (6,),
        "Lydian dominant": (6,),
        "Mixolydian b6": (8,),
        "altered": (1, 3, 8),
        "Phrygian dominant": (1, 8),
        "half-whole diminished": (1, 6, 9),
        "whole-half diminished": (2, 8, 11),
        "whole tone": (2, 6, 8),
        "Lydian augmented": (6, 8),
        "Locrian natural 2": (2, 6, 8),
        "melodic minor": (9, 11),
        "Dorian": (9,),
        "Phrygian": (1,),
        "minor blues": (3, 6),
        "major blues": (3, 4),
    }
)
#: Those that have a colour of their own even where the key gives their notes.
_COLOURED: Final = ("altered", "Phrygian dominant", "half-whole diminished", "whole tone", "minor blues", "major blues")
_LEAST: Final = 5
#: Longest note outside the scale, in quarters.
_PASSING: Final = Fraction(1, 2)


def chord_scales_in_use(score: Score, spans: Sequence[HarmonySpan]) -> list[Finding]:
    """Return the scales spelled over the chord symbols of a score."""
    found = []
    for group in _same_chord(spans):
        chord, start, end = group[0].chord, group[0].start, group[-1].end
        if chord.root is None or group[0].origin != "written":
            continue
        rows = rows_sounding(score, start, end)
        scale, outside = _scale(score, chord, group[0].key, rows)
        if scale is None:
            continue
        notes = [row for row in rows if row not in outside]
        heard = {score.notes[row].measure for row in notes}
        parts = tuple(sorted({score.notes[row].part for row in notes}))
        told = f"over {chord.symbol} the notes are those of {scale.name}"
        details: dict[str, JSON] = {"scale": scale.name, "kind": scale.called, "chord": chord.symbol}
        sure = 0.9 if not outside else 0.75
        at = (min(heard), max(heard))
        found.append(finding(score, "scale in use", at, told, sure, parts=parts, notes=notes, details=details))
    return found


def _same_chord(spans: Sequence[HarmonySpan]) -> list[list[HarmonySpan]]:
    groups: list[list[HarmonySpan]] = []
    for span in spans:
        if groups and groups[-1][-1].end == span.start and groups[-1][-1].chord.symbol == span.chord.symbol:
            groups[-1].append(span)
        else:
            groups.append([span])
    return groups


def _scale(score: Score, chord: Chord, key: Key, rows: Sequence[int]) -> tuple[Scale | None, frozenset[int]]:
    """Return the scale over a chord, None where none is told, and the rows of passing notes outside it."""
    assert chord.root is not None
    by_class: dict[int, list[int]] = {}
    for row in rows:
        pitch = score.notes[row].sounding
        if pitch is not None and score.notes[row].duration:
            by_class.setdefault((pitch.pitch_class - chord.root.pitch_class) % 12, []).append(row)
    if len(by_class) < _LEAST:
        return None, frozenset()
    fitting: list[tuple[int, str, frozenset[int]]] = []
    tones = {(name.pitch_class - chord.root.pitch_class) % 12 for name in chord.pitch_names}
    must = _core(chord)
    for kind, marks in MARKS.items():
        semitones = set(scale_type(kind).semitones)
        outside = [row for one, its in by_class.items() if one not in semitones for row in its]
        inside = {one for one in by_class if one in semitones}
        few = len(outside) <= 1 and all(score.notes[row].duration <= _PASSING for row in outside)
        if not few or not set(marks) <= inside or len(inside) < _LEAST or not must <= semitones:
            continue
        if len(semitones - inside - tones) > 1:
            continue
        has_colour = kind in _COLOURED or set(marks) <= tones
        if not has_colour and _is_plain(scale_type(kind).mask, chord, key):
            continue
        fitting.append((len(outside), kind, frozenset(outside)))
    if not fitting:
        return None, frozenset()
    least = min(one[0] for one in fitting)
    fitting = [one for one in fitting if one[0] == least]
    order = _taught(chord.symbol)
    _, kind, out = min(fitting, key=lambda one: order.index(one[1]) if one[1] in order else len(order))
    try:
        return Scale.of(chord.root, kind), out
    except ScaleError:
        return None, frozenset()


def _core(chord: Chord) -> frozenset[int]:
    """Return the semitones above the root that the scale must hold: third and seventh, and an altered fifth."""
    assert chord.root is not None
    wanted = ("3", "b3", "7", "b7", "b5", "#5", "6")
    return frozenset(
        (tone.pitch_name.pitch_class - chord.root.pitch_class) % 12 for tone in chord.tones if tone.degree in wanted
    )


@lru_cache(maxsize=512)
def _taught(symbol: str) -> tuple[str, ...]:
    try:
        return tuple(dict.fromkeys(one.scale.type.name for one in scales_for(symbol)))
    except TheoryError:
        return ()


def _is_plain(mask: int, chord: Chord, key: Key) -> bool:
    """Whether the scale has the notes of the key: of major, or of one of the forms of minor."""
    assert chord.root is not None
    tonic = key.tonic.pitch_class
    here = rotated(mask, chord.root.pitch_class)
    own = sum(1 << name.pitch_class for name in key.pitch_names)
    kinds = ("harmonic minor", "melodic minor") if key.is_minor else ()
    return here == own or any(here == rotated(scale_type(kind).mask, tonic) for kind in kinds)
