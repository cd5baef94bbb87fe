"""Checking part writing by the rules of common practice (`part_faults`): every fault with its voices, beat and notes.

The voices are given from the highest to the lowest, one pitch for each moment; a held note is repeated, a rest is None
or ``'-'``. What the rules are is told in `part_writing_rule.PART_WRITING_RULES`. With a key, the chords are found from
the notes where they make one, or taken as given, and doublings and resolutions are checked too.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from musictheory_nb.errors import ChordError, PitchError, RomanNumeralError, VoiceLeadingError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.part_writing_chord import chord_faults, resolution_faults
from musictheory_nb.theory.part_writing_line import line_faults
from musictheory_nb.theory.part_writing_motion import Moment, moment_faults, motion_faults
from musictheory_nb.theory.part_writing_rule import PART_WRITING_RULES, Fault
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.roman_analysis import roman_progression
from musictheory_nb.theory.roman_key import KeyGiven, read_roman_key
from musictheory_nb.theory.roman_numeral import Roman

Voice = str | Sequence[Pitch | str | None]


def part_faults(
    parts: Mapping[str, Voice],
    key: KeyGiven | None = None,
    chords: Sequence[Chord | Roman | str | None] | None = None,
    beats: Sequence[str | int | Fraction] | None = None,
    rules: Iterable[str] | None = None,
) -> tuple[Fault, ...]:
    """Faults of voices that sound together, in the order of the beats.

    Parameters
    ----------
    parts : mapping of str to (str or sequence of Pitch, str or None)
        The voices from the highest to the lowest, by name: ``{"soprano": "B4 C5", …}``. Ranges are checked for
        soprano, alto, tenor and bass.
    key : Key or str, optional
        The key; doublings and resolutions are checked where it is given.
    chords : sequence of Chord, Roman, str or None, optional
        Chord of each moment (None: not told); without it the chords are found from the notes.
    beats : sequence, optional
        Label of each moment, such as ``"3.2"`` for the second beat of measure 3; counted from 1 by default.
    rules : iterable of str, optional
        Rules to check, names of `PART_WRITING_RULES`; by default all.

    Returns
    -------
    tuple of Fault
        Faults and cautions; `Fault.severity` tells them apart.

    Raises
    ------
    VoiceLeadingError
        Fewer than two voices, voices of different length, or no such rule.
    PitchError, KeyNameError, ChordError, RomanNumeralError
        A note, the key or a chord cannot be read.

    Examples
    --------
    >>> faults = part_faults({"soprano": "G4 A4", "alto": "E4 F4", "tenor": "C4 C4", "bass": "C3 D3"})
    >>> for fault in faults:
    ...     print(fault.reason)
    parallel fifths between soprano and bass at beat 2: G4/C3 to A4/D3
    >>> resolved = part_faults({"soprano": "B4 A4", "alto": "F4 E4", "tenor": "D4 C4", "bass": "G3 C3"}, key="C major")
    >>> [(fault.rule, fault.voices, fault.beat) for fault in resolved if fault.rule == "unresolved leading tone"]
    [('unresolved leading tone', ('soprano',), '2')]
    >>> part_faults({"soprano": "G4 A4"})
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: parts: give at least two voices, from the highest to the lowest
    """
    wanted = _rules(rules)
    voices = tuple(parts)
    lines = [_line(name, parts[name]) for name in voices]
    if len(voices) < 2:
        raise VoiceLeadingError("parts: give at least two voices, from the highest to the lowest")
    length = len(lines[0])
    for name, line in zip(voices, lines, strict=True):
        if len(line) != length:
            raise VoiceLeadingError(
                f"voice {name!r}: has {len(line)} notes, {voices[0]!r} has {length}; repeat held notes, write '-' for rests"
            )
    labels = _labels(beats, length)
    moments = [Moment(label, column) for label, column in zip(labels, zip(*lines, strict=True), strict=True)]
    faults: list[tuple[int, Fault]] = []
    for place, moment in enumerate(moments):
        faults += [(place, fault) for fault in moment_faults(voices, moment)]
        if place:
            faults += [(place, fault) for fault in motion_faults(voices, moments[place - 1], moment)]
    order = {label: place for place, label in enumerate(labels)}
    for name, line in zip(voices, lines, strict=True):
        found = line_faults(name, name == voices[-1], line, labels)
        faults += [(order[fault.beat], fault) for fault in found]
    if key is not None:
        numerals = _numerals(moments, read_roman_key(key), chords)
        for place, (moment, numeral) in enumerate(zip(moments, numerals, strict=True)):
            if numeral is None:
                continue
            faults += [(place, fault) for fault in chord_faults(voices, moment, numeral)]
            following = numerals[place + 1] if place + 1 < length else None
            if following is not None:
                after = moments[place + 1]
                faults += [(place + 1, f) for f in resolution_faults(voices, moment, after, numeral, following)]
    elif chords is not None:
        raise VoiceLeadingError("chords: give the key too, so that leading tones and sevenths can be told")
    faults.sort(key=lambda item: item[0])
    return tuple(fault for _, fault in faults if fault.rule in wanted)


def _rules(rules: Iterable[str] | None) -> frozenset[str]:
    if rules is None:
        return frozenset(PART_WRITING_RULES)
    wanted = frozenset([rules] if isinstance(rules, str) else rules)
    for rule in wanted:
        if rule not in PART_WRITING_RULES:
            raise VoiceLeadingError(f"rule {rule!r}: must be one of {', '.join(map(repr, PART_WRITING_RULES))}")
    return wanted


def _line(name: str, voice: Voice) -> tuple[Pitch | None, ...]:
    notes = voice.split() if isinstance(voice, str) else voice
    line: list[Pitch | None] = []
    for note in notes:
        if note is None or note == "-":
            line.append(None)
            continue
        try:
            line.append(note if isinstance(note, Pitch) else Pitch(note))
        except PitchError as error:
            raise PitchError(f"voice {name!r}: {error}") from None
    return tuple(line)


def _labels(beats: Sequence[str | int | Fraction] | None, length: int) -> list[str]:
    if beats is None:
        return [str(place + 1) for place in range(length)]
    if isinstance(beats, str) or len(beats) != length:
        raise VoiceLeadingError(f"beats {beats!r}: give one for each of the {length} moments")
    labels = [str(beat) for beat in beats]
    if len(set(labels)) < len(labels):
        raise VoiceLeadingError(f"beats {beats!r}: each moment needs a label of its own, such as '3.2'")
    return labels


def _numerals(
    moments: Sequence[Moment], key: KeyGiven, chords: Sequence[Chord | Roman | str | None] | None
) -> list[Roman | None]:
    """Numeral of each moment, None where there is none."""
    if chords is None:
        return _found(moments, key)
    if isinstance(chords, str) or len(chords) != len(moments):
        raise VoiceLeadingError(f"chords {chords!r}: give one for each of the {len(moments)} moments, or None")
    found: list[Roman | None] = []
    for place, chord in enumerate(chords):
        after = chords[place + 1] if place + 1 < len(chords) else None
        found.append(None if chord is None else roman_progression([chord] if after is None else [chord, after], key)[0])
    return found


def _found(moments: Sequence[Moment], key: KeyGiven) -> list[Roman | None]:
    """Numerals of the notes themselves, where they make a chord."""
    found: list[Roman | None] = []
    for place, moment in enumerate(moments):
        notes = [pitch for pitch in moment.pitches if pitch is not None]
        after = [p for p in moments[place + 1].pitches if p is not None] if place + 1 < len(moments) else []
        numeral = None
        for pair in ([notes, after], [notes]):
            if all(len({(pitch.step, pitch.alter) for pitch in chord}) > 2 for chord in pair):
                try:
                    numeral = roman_progression(pair, key)[0]
                    break
                except (ChordError, RomanNumeralError):
                    continue
        found.append(numeral)
    return found
