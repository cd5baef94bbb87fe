"""The Roman numeral of a chord in a key (`roman_of`), other readings of it, and the numerals of a progression.

Which numeral is usual (common practice; where books differ, `roman_readings` gives the others too)
---------------------------------------------------------------------------------------------------
1. A chord of the key's own notes takes its degree; in minor both forms of the sixth and seventh degrees are own.
2. An augmented sixth, by its spelling, is It6, Fr43 or Ger65; in another key's position it is applied to that key.
3. A chord of the parallel key is borrowed: iv, bVI, vii°7 in major; I and IV's major forms in minor.
4. A major triad, dominant seventh or diminished chord that leads to a chord of the key is applied to it: V7/V, vii°7/ii.
5. Anything else takes the degree of its root: bII7, #iv°7.

What follows, where it is given, decides between readings: V7/III before III, Cad64 before V.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Final, NamedTuple

from musictheory_nb.errors import RomanNumeralError, TheoryError
from musictheory_nb.theory.augmented_sixth import LOWERED_SIXTH_FIFTHS, SIXTH_BY_DEGREES
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, NAMES_BY_FIFTHS, ChordParts
from musictheory_nb.theory.key_mode import KEY_MODES
from musictheory_nb.theory.note_stack import Note, note_stacks
from musictheory_nb.theory.roman_chord import bare_seventh
from musictheory_nb.theory.roman_key import KeyGiven, RomanKey, read_roman_key
from musictheory_nb.theory.roman_numeral import Roman

#: Root of the dominant and of the leading-tone chord above the tonic to which they lead, on the line of fifths.
_DOMINANT, _LEADING = 1, 5
#: Steps on the line of fifths from a tritone substitute to the chord to which it leads, a semitone below its root.
_SUBSTITUTE: Final = 5
_NUMERAL: Final = re.compile(r"[#b♯♭]*[IViv]|N[0-9]|It|Fr|Ger|Gr|Sw|[Cc]ad(?!d)|[sS]ub")
_BORROWED_MINOR: Final = frozenset((-4, -3, -2, -1, 0, 1, 2, 5))
_BORROWED_MAJOR: Final = frozenset(range(-1, 6))
_SIXTHS: Final = (("1", "3", "5", "6"), ("1", "b3", "5", "6"))


class RomanReading(NamedTuple):
    """One reading of a chord in a key: the numeral, and why."""

    roman: Roman
    reason: str


class _Choice(NamedTuple):
    """A reading before its numeral is made: kind, target (root on the line of fifths, whether minor), reason."""

    kind: str
    target: tuple[int, bool] | None
    reason: str


def roman_of(
    chord: Chord | str | Iterable[Note],
    key: KeyGiven,
    following: Chord | str | Iterable[Note] | None = None,
) -> Roman:
    """Usual Roman numeral of a chord in a key.

    Parameters
    ----------
    chord : Chord, str or iterable of Pitch, PitchName or str
        A chord, its symbol, or its notes (the lowest, or without octave numbers the first, is the bass).
    key : Key or str
        The key.
    following : Chord, str or iterable of notes, optional
        The next chord; it decides where a chord has several usual numerals.

    Raises
    ------
    RomanNumeralError
        There is no chord (N.C.), or it has no numeral.
    ChordError, PitchError, KeyNameError
        The chord, its notes or the key cannot be read.

    Examples
    --------
    >>> [roman_of(notes.split(), "C major").figure for notes in ("D F# A C", "C# E G Bb", "Ab C Eb F#", "B D F G")]
    ['V7/V', 'vii°7/ii', 'Ger65', 'V65']
    >>> roman_of("G", "A minor").figure, roman_of("Ab", "C minor").figure, roman_of("G7alt", "C").figure
    ('VII', 'VI', 'V7alt')
    >>> roman_of("C/G", "C major", following="G7").figure
    'Cad64'
    >>> roman_of("N.C.", "C major")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: chord 'N.C.': has no Roman numeral
    """
    home = read_roman_key(key)
    parts = chord_parts(chord, home)
    after = None if following is None else chord_parts(following, home)
    return _made(parts, home, next(_choices(parts, home, after)))


def roman_readings(
    chord: Chord | str | Iterable[Note],
    key: KeyGiven,
    following: Chord | str | Iterable[Note] | None = None,
) -> tuple[RomanReading, ...]:
    """Readings of a chord in a key, the usual one first, each with its reason; raises as `roman_of` does.

    Examples
    --------
    >>> for reading in roman_readings("Db7", "C major"):
    ...     print(reading.roman.figure, "-", reading.reason)
    bII7 - a chord on a degree that the key's scale does not have
    subV7 - shares its tritone with G7, and leads to C by a half step down
    """
    home = read_roman_key(key)
    parts = chord_parts(chord, home)
    after = None if following is None else chord_parts(following, home)
    readings: list[RomanReading] = []
    for choice in _choices(parts, home, after):
        try:
            roman = _made(parts, home, choice)
        except TheoryError:
            continue
        if all(roman != other.roman for other in readings):
            readings.append(RomanReading(roman, choice.reason))
    return tuple(readings)


def roman_progression(chords: Sequence[Chord | Roman | str | Iterable[Note]], key: KeyGiven) -> tuple[Roman, ...]:
    """Roman numerals of chords that follow one another, each read in view of the next.

    Parameters
    ----------
    chords : sequence of Chord, Roman, str or iterable of notes
        Chords, chord symbols, or notes with the bass first; what is given as a numeral stays as it is.
    key : Key or str
        The key.

    Raises
    ------
    RomanNumeralError
        A chord has no numeral, or a numeral given is in another key.
    AmbiguousError, ChordError, PitchError, KeyNameError
        A chord, note or key cannot be read.

    Examples
    --------
    >>> chords = ["C", "A7/C#", "Dm", "C/G", "G7", "vi"]
    >>> [roman.figure for roman in roman_progression(chords, "C major")]
    ['I', 'V65/ii', 'ii', 'Cad64', 'V7', 'vi']
    >>> roman_progression(["C", "N.C."], "C major")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: chord 'N.C.': has no Roman numeral
    """
    home = read_roman_key(key)
    given = [Roman(chord, home) if isinstance(chord, str) and is_numeral(chord) else chord for chord in chords]
    parts = [chord_parts(chord, home) for chord in given]
    found = []
    for place, (chord, one) in enumerate(zip(given, parts, strict=True)):
        after = parts[place + 1] if place + 1 < len(parts) else None
        if not isinstance(chord, Roman):
            found.append(_made(one, home, next(_choices(one, home, after))))
        elif chord.key == home.name:
            found.append(chord)
        else:
            raise RomanNumeralError(f"Roman numeral {chord.figure!r}: is in {chord.key}, not in {home.name}")
    return tuple(found)


def is_numeral(text: str) -> bool:
    """Whether a text is meant as a Roman numeral and not as a chord symbol.

    Examples
    --------
    >>> [is_numeral(text) for text in ("V7", "bVII", "Ger65", "N6", "G7", "Bb", "Cadd9")]
    [True, True, True, True, False, False, False]
    """
    return _NUMERAL.match(text) is not None


def chord_parts(chord: Chord | Roman | str | Iterable[Note], key: RomanKey) -> ChordParts:
    """Root, degrees and bass of a chord as it is read in a key.

    Notes are read as they are spelled. A chord with a sixth, unless on the tonic, is read as the seventh chord that it
    inverts, and a triad over its seventh as a seventh chord.

    Raises
    ------
    RomanNumeralError
        There is no chord (N.C.).
    ChordError, PitchError
        The chord or its notes cannot be read.

    Examples
    --------
    >>> chord_parts("Fm6", RomanKey(0, "major")), chord_parts(["C#", "E", "A"], RomanKey(0, "major")).root
    (ChordParts(root=PitchName('D'), degrees=('1', 'b3', 'b5', 'b7'), bass=PitchName('F')), PitchName('A'))
    """
    if isinstance(chord, Roman):
        chord = chord.chord
    if isinstance(chord, str):
        chord = Roman(chord, key).chord if is_numeral(chord) else Chord(chord)
    if not isinstance(chord, Chord):
        return _in_view_of(note_stacks(chord), key)
    parts = chord.parts
    if parts.root is None:
        raise RomanNumeralError("chord 'N.C.': has no Roman numeral")
    is_sixth = parts.degrees in _SIXTHS and (parts.root.fifths != key.tonic or parts.bass is not parts.root)
    if is_sixth or (parts.bass is not parts.root and len(chord.tones) > len(parts.degrees)):
        assert parts.bass is not None
        for stack in note_stacks([parts.bass, *chord.pitch_names]):
            if stack.degrees[0] == "1":
                return stack
    return parts


def _in_view_of(stacks: tuple[ChordParts, ...], key: RomanKey) -> ChordParts:
    """Of several chords that the notes make, the augmented sixth of the key before any other."""
    if len(stacks) > 1:
        for parts in stacks:
            assert parts.root is not None
            if parts.degrees in SIXTH_BY_DEGREES:
                in_key = parts.root.fifths - key.tonic == LOWERED_SIXTH_FIFTHS
                if in_key or (
                    parts.bass == parts.root and _natural_target(key, parts.root.fifths - LOWERED_SIXTH_FIFTHS)
                ):
                    return parts
        return next(parts for parts in stacks if parts.degrees not in SIXTH_BY_DEGREES)
    return stacks[0]


def _made(parts: ChordParts, key: RomanKey, choice: _Choice) -> Roman:
    target = None
    if choice.target is not None:
        root, is_minor = choice.target
        third = ("1", "b3", "5") if is_minor else ("1", "3", "5")
        name = NAMES_BY_FIFTHS[root]
        target = Roman._make(Chord.from_parts(ChordParts(name, third, name)), key, "plain", None)
    return Roman._make(Chord.from_parts(parts), key, choice.kind, target)


def _choices(parts: ChordParts, key: RomanKey, after: ChordParts | None) -> Iterator[_Choice]:
    """Readings in order, the usual one first."""
    root, degrees, bass = parts
    assert root is not None
    assert bass is not None
    above = root.fifths - key.tonic
    if degrees in SIXTH_BY_DEGREES:
        yield from _sixth_choices(root.fifths, key)
        return
    if after is not None:
        yield from _choices_before(parts, key, after)
    places = [above + DEGREE_FIFTHS[degree] for degree in degrees]
    if _is_own(places, key):
        yield _Choice("plain", None, "its notes belong to the key")
        yield from _applied_choices(parts, key)
        return
    if _is_borrowed(places, key):
        yield _Choice("plain", None, "borrowed from the parallel key")
    yield from _applied_choices(parts, key)
    yield _Choice("plain", None, "a chord on a degree that the key's scale does not have")
    yield from _substitute_choices(parts, key)


def _is_own(places: list[int], key: RomanKey) -> bool:
    shift = KEY_MODES[key.mode].signature_shift
    if key.is_variable:
        return all(-4 <= place <= 3 or place == 5 for place in places)
    return all(shift - 1 <= place <= shift + 5 for place in places)


def _is_borrowed(places: list[int], key: RomanKey) -> bool:
    if key.is_variable:
        return all(place in _BORROWED_MAJOR for place in places)
    return key.mode in ("major", "ionian") and all(place in _BORROWED_MINOR for place in places)


def _natural_target(key: RomanKey, root: int) -> tuple[int, bool] | None:
    """Major or minor triad of the key on a root other than the tonic, to which chords may be applied."""
    above = root - key.tonic
    number, alter = key.place(root)
    if above == 0 or alter != key.alters[number - 1] or root not in NAMES_BY_FIFTHS:
        return None
    if key.is_variable and number == 5:
        return root, False
    third = key.scale_fifths(number + 2) - root
    fifth = key.scale_fifths(number + 4) - root
    return (root, third == DEGREE_FIFTHS["b3"]) if fifth == 1 else None


def _leads(degrees: tuple[str, ...]) -> int:
    """Distance of a chord's root from the chord to which it would be applied, on the line of fifths; 0 for none."""
    if "b5" in degrees:
        return _LEADING if "b3" in degrees else _DOMINANT if "b7" in degrees else 0
    if "3" in degrees and "7" not in degrees and ("b7" in degrees or degrees == ("1", "3", "5")):
        return _DOMINANT
    return 0


def _applied_choices(parts: ChordParts, key: RomanKey) -> Iterator[_Choice]:
    root, degrees, _ = parts
    assert root is not None
    distance = _leads(degrees)
    if not distance:
        return
    target = _natural_target(key, root.fifths - distance)
    how = "the dominant" if distance == _DOMINANT else "the leading-tone chord"
    if target is not None:
        yield _Choice("plain", target, f"{how} of a chord of the key")
    elif distance == _DOMINANT and "b7" in degrees and root.fifths - distance in NAMES_BY_FIFTHS:
        number, alter = key.place(root.fifths)
        if bare_seventh(key, number, alter, degrees) == "7":
            yield _Choice("plain", (root.fifths - distance, False), f"{how} of a major triad outside the key")


def _choices_before(parts: ChordParts, key: RomanKey, after: ChordParts) -> Iterator[_Choice]:
    """Readings that the next chord asks for."""
    root, degrees, bass = parts
    if root is None or bass is None or after.root is None or after.bass is None:
        return
    above = root.fifths - key.tonic
    if (
        above == 0
        and degrees == (("1", "b3", "5") if key.is_minor else ("1", "3", "5"))
        and bass.fifths - root.fifths == 1
        and after.root == after.bass == bass
        and "3" in after.degrees
    ):
        yield _Choice("cadential", None, "a six-four on the dominant, which follows")
    distance = _leads(degrees)
    is_plain_triad = degrees == ("1", "3", "5") and _is_own([above, above + 1, above + 4], key)
    if (
        distance
        and not is_plain_triad
        and after.root.fifths == root.fifths - distance
        and after.root.fifths != key.tonic
    ):
        is_minor = "b3" in after.degrees
        if "b5" not in after.degrees and after.degrees[:1] == ("1",):
            yield _Choice("plain", (after.root.fifths, is_minor), "it leads to the chord that follows")


def _sixth_choices(root: int, key: RomanKey) -> Iterator[_Choice]:
    target = root - LOWERED_SIXTH_FIFTHS
    if target == key.tonic:
        yield _Choice("augmented sixth", None, "its augmented sixth opens to the dominant")
        return
    if target not in NAMES_BY_FIFTHS:
        return
    natural = _natural_target(key, target) or (target, False)
    yield _Choice("augmented sixth", natural, "its augmented sixth opens to the dominant of a chord")


def _substitute_choices(parts: ChordParts, key: RomanKey) -> Iterator[_Choice]:
    """A dominant seventh on the lowered second of the key or of one of its chords."""
    root, degrees, bass = parts
    assert root is not None
    if bass != root or "3" not in degrees or "b7" not in degrees:
        return
    goal = root.fifths + _SUBSTITUTE
    if goal + 1 not in NAMES_BY_FIFTHS:
        return
    dominant, tonic = NAMES_BY_FIFTHS[goal + 1], NAMES_BY_FIFTHS[goal]
    reason = f"shares its tritone with {dominant.name}7, and leads to {tonic.name} by a half step down"
    if goal == key.tonic:
        yield _Choice("substitute", None, reason)
    elif target := _natural_target(key, goal):
        yield _Choice("substitute", target, reason)
