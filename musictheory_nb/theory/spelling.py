"""Choosing a spelling for a MIDI number or a pitch class: from a key, from a chord, or from neither.

In a key, its own notes come first. The others are spelled by a rule of `CHROMATIC_SPELLINGS`; the default is the
harmonic chromatic scale of the tonic (b2 b3 #4 b6 b7 in major), which names every note within five fifths below and
six above the tonic. In a chord, its tones come first, then the key if there is one, then the same rule about the root.
With neither key nor chord a number has no right spelling, and a rule of `KEYLESS_SPELLINGS` is followed.
"""

from collections.abc import Iterable, Sequence
from types import MappingProxyType
from typing import Final, Protocol

from musictheory_nb.errors import PitchError, PitchRangeError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.pitch import Pitch, PitchName

#: How a note outside the key is spelled.
CHROMATIC_SPELLINGS: Final = MappingProxyType(
    {
        "harmonic": "b2 b3 #4 b6 b7 over the tonic; in minor also the raised 3, 6 and 7 (default)",
        "raised": "as the note below it, raised: for rising lines",
        "lowered": "as the note above it, lowered: for falling lines",
        "plain": "with the fewest accidentals; then as 'harmonic'",
    }
)
#: How a note is spelled without a key or chord: the lowest place on the line of fifths that is used.
KEYLESS_SPELLINGS: Final = MappingProxyType(
    {
        "usual": "E flat to G sharp on the line of fifths: C C# D Eb E F F# G G# A Bb B (default)",
        "sharp": "C C# D D# E F F# G G# A A# B",
        "flat": "C Db D Eb E F Gb G Ab A Bb B",
    }
)
_LOWEST_FIFTHS: Final = MappingProxyType({"usual": -3, "sharp": -1, "flat": -6})
#: Fifths below the tonic where the harmonic chromatic scale begins (b2).
_HARMONIC_LOWEST: Final = -5


class HasName(Protocol):
    """A chord tone: anything with the ASCII name of a pitch, without octave."""

    @property
    def name(self) -> str:
        """Such as 'Eb'."""


class HasTones(Protocol):
    """A chord: anything with a sequence of named tones, the root first."""

    @property
    def tones(self) -> Sequence[HasName]:
        """Tones from the root up."""


def spell_pitch_class(
    pitch_class: int,
    key: Key | str | None = None,
    *,
    chord: HasTones | str | Iterable[PitchName | str] | None = None,
    prefer: str | None = None,
) -> PitchName:
    """Spell a pitch class 0-11 (C = 0).

    Parameters
    ----------
    key : Key or str, optional
        Key that decides the spelling.
    chord : Chord or iterable of names, optional
        Chord whose tones are spelled as it names them, its root first.
    prefer : str, optional
        A rule of `CHROMATIC_SPELLINGS` with a key or chord (default 'harmonic'), of `KEYLESS_SPELLINGS` without
        (default 'usual').

    Raises
    ------
    PitchError
        Not a whole number from 0 to 11, or no such rule.

    Notes
    -----
    The harmonic chromatic scale is that of harmony books (common practice, no source).

    Examples
    --------
    >>> spell_pitch_class(1, "Ab major"), spell_pitch_class(10, "B major"), spell_pitch_class(6, "Db major")
    (PitchName('Db'), PitchName('A#'), PitchName('Gb'))
    >>> spell_pitch_class(8, "A minor"), spell_pitch_class(8, "C minor"), spell_pitch_class(10, chord=["F#", "A#", "C#"])
    (PitchName('G#'), PitchName('Ab'), PitchName('A#'))
    >>> spell_pitch_class(1, "C major", prefer="raised"), spell_pitch_class(1, prefer="flat")
    (PitchName('C#'), PitchName('Db'))
    >>> spell_pitch_class(1, prefer="sharps")
    Traceback (most recent call last):
    musictheory_nb.errors.PitchError: prefer 'sharps': must be one of 'usual', 'sharp', 'flat'
    """
    if not isinstance(pitch_class, int) or not 0 <= pitch_class <= 11:
        raise PitchError(f"pitch class {pitch_class!r}: must be a whole number from 0 (C) to 11 (B)")
    rules = KEYLESS_SPELLINGS if key is None and chord is None else CHROMATIC_SPELLINGS
    rule = prefer if prefer is not None else next(iter(rules))
    if rule not in rules:
        raise PitchError(f"prefer {prefer!r}: must be one of {', '.join(map(repr, rules))}")
    tones = () if chord is None else _chord_names(chord)
    for tone in tones:
        if tone.pitch_class == pitch_class:
            return tone
    if key is not None:
        return _in_key(pitch_class, Key(key), rule)
    if tones:
        return _about(pitch_class, tones[0].fifths, rule)
    return _in_window(pitch_class, _LOWEST_FIFTHS[rule])


def spell_midi(
    number: int,
    key: Key | str | None = None,
    *,
    chord: HasTones | str | Iterable[PitchName | str] | None = None,
    prefer: str | None = None,
) -> Pitch:
    """Spell a MIDI note number; parameters and rules as in `spell_pitch_class`.

    Raises
    ------
    PitchRangeError
        Not a whole number from 0 to 127.
    PitchError
        No such rule.

    Examples
    --------
    >>> spell_midi(61, "Ab major"), spell_midi(70, "B major"), spell_midi(59, "Gb major"), spell_midi(60, "C# major")
    (Pitch('Db4'), Pitch('A#4'), Pitch('Cb4'), Pitch('B#3'))
    >>> [spell_midi(n, chord=["G", "Bb", "D", "F"]).name for n in (55, 58, 62, 65)]
    ['G3', 'Bb3', 'D4', 'F4']
    >>> spell_midi(128)
    Traceback (most recent call last):
    musictheory_nb.errors.PitchRangeError: MIDI number 128: must be a whole number from 0 to 127
    """
    if not isinstance(number, int) or not 0 <= number <= 127:
        raise PitchRangeError(f"MIDI number {number!r}: must be a whole number from 0 to 127")
    return _place(number, spell_pitch_class(number % 12, key, chord=chord, prefer=prefer))


def spell_line(numbers: Sequence[int], key: Key | str) -> list[Pitch]:
    """Spell a melody of MIDI numbers in a key.

    A note outside the key that moves on by a half step is spelled so that the half step is a minor second (a rising one
    is raised, a falling one lowered), where that is a note of the key; any other by the default rule.

    Raises
    ------
    PitchRangeError
        A number is not a whole number from 0 to 127.

    Examples
    --------
    >>> [p.name for p in spell_line([67, 66, 67, 68, 69, 68, 67], "C major")]
    ['G4', 'F#4', 'G4', 'G#4', 'A4', 'Ab4', 'G4']
    """
    centre = Key(key)
    diatonic = {note.pitch_class for note in centre.pitch_names}
    line = []
    for place, number in enumerate(numbers):
        move = numbers[place + 1] - number if place + 1 < len(numbers) else 0
        leads = abs(move) == 1 and isinstance(number, int) and (number + move) % 12 in diatonic
        rule = ("raised" if move > 0 else "lowered") if leads else "harmonic"
        line.append(spell_midi(number, centre, prefer=rule))
    return line


def _place(number: int, name: PitchName) -> Pitch:
    """Put a name in the octave where it sounds as a MIDI number."""
    low = Pitch.from_name(name, -1).chromatic
    return Pitch.from_name(name, (number - low) // 12 - 1)


def _chord_names(chord: HasTones | str | Iterable[PitchName | str]) -> tuple[PitchName, ...]:
    if isinstance(chord, str):
        chord = Chord(chord)
    if isinstance(chord, bytes) or not (isinstance(chord, Iterable) or hasattr(chord, "tones")):
        raise PitchError(f"chord {chord!r}: give a chord, such as 'Gm7', or its notes from the root up")
    tones: Iterable[PitchName | str | HasName] = chord if isinstance(chord, Iterable) else chord.tones
    return tuple(PitchName(tone) if isinstance(tone, str | PitchName) else PitchName(tone.name) for tone in tones)


def _in_key(pitch_class: int, key: Key, rule: str) -> PitchName:
    """Note of the key if there is one; else by the rule."""
    scale = key.pitch_names
    for note in scale:
        if note.pitch_class == pitch_class:
            return note
    if rule == "raised":
        below = next(note for note in scale if (note.pitch_class + 1) % 12 == pitch_class)
        return PitchName.of(below.step, below.alter + 1)
    if rule == "lowered":
        above = next(note for note in scale if (note.pitch_class - 1) % 12 == pitch_class)
        return PitchName.of(above.step, above.alter - 1)
    return _about(pitch_class, key.tonic.fifths, rule)


def _about(pitch_class: int, centre_fifths: int, rule: str) -> PitchName:
    """Spell a note outside key or chord about a centre on the line of fifths."""
    lowest = {"raised": -1, "lowered": -6}.get(rule, _HARMONIC_LOWEST)
    name = _in_window(pitch_class, centre_fifths + lowest)
    if rule == "plain" and abs(name.alter) > 1:
        return _in_window(pitch_class, _LOWEST_FIFTHS["flat" if name.alter < 0 else "sharp"])
    return name


def _in_window(pitch_class: int, lowest_fifths: int) -> PitchName:
    """Name of a pitch class among the twelve from a place on the line of fifths upwards."""
    return PitchName.from_fifths(lowest_fifths + (7 * pitch_class - lowest_fifths) % 12)
