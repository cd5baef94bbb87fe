"""Cadences, named from a pair of chords, and from the voices where they are given.

Conventions
-----------
An authentic cadence is perfect when both chords are in root position and the soprano ends on the tonic; without the
soprano it is only called authentic. With an inverted chord or another soprano it is imperfect; with the chord on the
leading tone it is a leading-tone cadence, which is a kind of imperfect one. An inverted tonic after a dominant in root
position is called evaded in some books: a setting. Source: harmony courses (common practice, no source).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import RomanNumeralError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.note_stack import Note
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_analysis import roman_progression
from musictheory_nb.theory.roman_key import KeyGiven, RomanKey, read_roman_key
from musictheory_nb.theory.roman_numeral import Roman

#: The cadences by name, with what each means.
CADENCES: Final = MappingProxyType(
    {
        "perfect authentic": "V or V7 to I, both in root position, the tonic in the soprano",
        "imperfect authentic": "V to I with an inverted chord, or another note than the tonic in the soprano",
        "authentic": "V to I in root position; the soprano, which is not given, tells whether it is perfect",
        "leading-tone": "the chord on the leading tone to I, in the place of V",
        "half": "comes to rest on V",
        "Phrygian half": "iv6 to V in minor, the bass falling a half step",
        "plagal": "IV to I",
        "deceptive": "V to another chord than I that holds the tonic: vi, VI or IV6",
        "evaded": "V to a chord that puts the close off: a dominant in inversion, an applied chord",
        "no cadence": "none of these",
    }
)
#: What V to an inverted I is called.
INVERTED_TONIC: Final = MappingProxyType(
    {
        "imperfect authentic": "an inverted tonic makes an authentic cadence imperfect (default)",
        "evaded": "after a dominant in root position an inverted tonic evades the cadence",
    }
)


@dataclass(frozen=True, slots=True)
class Cadence:
    """A cadence.

    Attributes
    ----------
    name : str
        One of `CADENCES`.
    numerals : tuple of Roman
        The two chords.
    reason : str
        One sentence: what makes it this cadence.
    is_picardy : bool
        Whether a minor key ends on its major tonic.
    """

    name: str
    numerals: tuple[Roman, Roman]
    reason: str
    is_picardy: bool = False

    @property
    def is_authentic(self) -> bool:
        """Whether it is one of the authentic cadences, the leading-tone cadence included."""
        return "authentic" in self.name or self.name == "leading-tone"

    @property
    def is_conclusive(self) -> bool:
        """Whether it ends on the tonic."""
        return self.is_authentic or self.name == "plagal"


def cadence_of(
    first: Chord | Roman | str | Iterable[Note],
    second: Chord | Roman | str | Iterable[Note],
    key: KeyGiven,
    soprano: Sequence[Pitch | PitchName | str] | None = None,
    inverted_tonic: str = "imperfect authentic",
) -> Cadence:
    """Cadence that two chords make.

    Parameters
    ----------
    first, second : Chord, Roman, str or iterable of notes
        The last two chords of a phrase: chords, chord symbols, Roman numerals, or notes with the bass first.
    key : Key or str
        The key.
    soprano : sequence of two Pitch, PitchName or str, optional
        Highest note over each chord. Where both chords are given as notes with octave numbers, it is found in them.
    inverted_tonic : {'imperfect authentic', 'evaded'}
        What V to an inverted I is called; `INVERTED_TONIC` says what each means.

    Raises
    ------
    RomanNumeralError
        A chord has no numeral, `soprano` does not hold two notes, or there is no such setting.
    ChordError, PitchError, KeyNameError
        A chord, note or key cannot be read.

    Examples
    --------
    >>> cadence_of("G7", "C", "C major").name, cadence_of("G7", "C", "C major", soprano=["B4", "C5"]).name
    ('authentic', 'perfect authentic')
    >>> cadence_of(["G2", "D4", "G4", "B4"], ["C3", "C4", "G4", "C5"], "C major").name
    'perfect authentic'
    >>> cadence_of("Dm/F", "E", "A minor").reason
    'iv6 to V in minor: the bass falls a half step, F to E'
    >>> cadence_of("G7", "Am", "C major").name, cadence_of("V7", "V42/IV", "C major").name
    ('deceptive', 'evaded')
    >>> cadence_of("G7", "C", "C major", inverted_tonic="weak")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: inverted_tonic 'weak': must be one of 'imperfect authentic', 'evaded'
    """
    if inverted_tonic not in INVERTED_TONIC:
        choices = ", ".join(map(repr, INVERTED_TONIC))
        raise RomanNumeralError(f"inverted_tonic {inverted_tonic!r}: must be one of {choices}")
    home = read_roman_key(key)
    chords = [chord if isinstance(chord, Chord | Roman | str) else tuple(chord) for chord in (first, second)]
    tops = _soprano(soprano) if soprano is not None else _tops(chords)
    before, after = roman_progression(chords, home)
    name, reason = _named(before, after, home, tops, inverted_tonic)
    picardy = home.is_minor and _is_tonic(after, home) and "3" in after.chord.degrees and name != "no cadence"
    return Cadence(name, (before, after), reason, picardy)


def _soprano(notes: Sequence[Pitch | PitchName | str]) -> tuple[PitchName, PitchName]:
    if isinstance(notes, str) or len(notes) != 2:
        raise RomanNumeralError(f"soprano {notes!r}: give two notes, one over each chord")
    first, second = (_name(note) for note in notes)
    return first, second


def _name(note: Pitch | PitchName | str) -> PitchName:
    if isinstance(note, PitchName):
        return note
    if isinstance(note, Pitch):
        return note.pitch_name
    return Pitch(note).pitch_name if note[-1:].isdigit() else PitchName(note)


def _tops(chords: Sequence[Chord | Roman | str | tuple[Note, ...]]) -> tuple[PitchName, PitchName] | None:
    """Highest notes of two chords that are given as notes with octave numbers."""
    tops = []
    for chord in chords:
        if isinstance(chord, Chord | Roman | str):
            return None
        pitches = [Pitch(n) for n in chord if isinstance(n, Pitch) or (isinstance(n, str) and n[-1:].isdigit())]
        if len(pitches) < len(chord) or not pitches:
            return None
        tops.append(max(pitches).pitch_name)
    return tops[0], tops[1]


def _is_tonic(roman: Roman, home: RomanKey) -> bool:
    degrees = set(roman.chord.degrees)
    return (
        roman.kind == "plain"
        and roman.applied_to is None
        and roman.root.fifths == home.tonic
        and bool(degrees & {"3", "b3"} or degrees == {"1", "5"})
        and "b5" not in degrees
        and "b7" not in degrees
    )


def _is_dominant(roman: Roman, home: RomanKey) -> bool:
    """Whether it is V with its leading tone, or suspended."""
    return (
        roman.applied_to is None
        and roman.kind == "plain"
        and roman.root.fifths == home.tonic + 1
        and ("b3" not in roman.chord.degrees)
    )


def _is_leading(roman: Roman, home: RomanKey) -> bool:
    degrees = roman.chord.degrees
    return roman.applied_to is None and roman.root.fifths == home.tonic + 5 and "b3" in degrees and "b5" in degrees


def _in_root_position(roman: Roman) -> bool:
    return roman.bass == roman.root


def _named(
    before: Roman, after: Roman, home: RomanKey, tops: tuple[PitchName, PitchName] | None, inverted_tonic: str
) -> tuple[str, str]:
    """Name and reason."""
    pair = f"{before.figure} to {after.figure}"
    if _is_tonic(after, home):
        if _is_dominant(before, home):
            return _authentic(before, after, home, tops, inverted_tonic, pair)
        if _is_leading(before, home):
            return "leading-tone", f"{pair}: the chord on the leading tone stands for V"
        if before.root.fifths == home.tonic + 1:
            return "no cadence", f"{pair}: the chord on the dominant has no leading tone"
        is_subdominant = before.root.fifths == home.tonic - 1 and before.kind == "plain" and not before.is_applied
        if is_subdominant and _in_root_position(after):
            return "plagal", f"{pair}: the subdominant goes to the tonic"
        return "no cadence", f"{pair}: neither a dominant nor a subdominant goes to the tonic in root position"
    if _is_dominant(before, home):
        return _put_off(before, after, home, pair)
    if _is_dominant(after, home):
        return _half(before, after, home, pair)
    return "no cadence", f"{pair}: none of the cadences"


def _put_off(before: Roman, after: Roman, home: RomanKey, pair: str) -> tuple[str, str]:
    """A dominant that does not go to the tonic: deceptive, evaded, or no cadence."""
    if not _in_root_position(before):
        return "no cadence", f"{pair}: the dominant is inverted and does not go to the tonic"
    if after.root == before.root and after.inversion != 3:
        return "no cadence", f"{pair}: the dominant goes on"
    holds_tonic = home.tonic_name in after.chord.pitch_names
    if holds_tonic and not after.is_applied and after.kind == "plain":
        above = after.root.fifths - home.tonic
        if above in (3, -4) and _in_root_position(after):
            return "deceptive", f"{pair}: a chord on the sixth degree stands where the tonic is expected"
        if above == -1 and after.inversion == 1:
            return "deceptive", f"{pair}: IV6 stands where the tonic is expected, over the bass of vi"
    if after.local_function == "dominant":
        return "evaded", f"{pair}: another dominant puts the close off"
    return "no cadence", f"{pair}: the dominant goes to neither the tonic nor a substitute"


def _authentic(
    before: Roman,
    after: Roman,
    home: RomanKey,
    tops: tuple[PitchName, PitchName] | None,
    inverted_tonic: str,
    pair: str,
) -> tuple[str, str]:
    if not _in_root_position(after) and _in_root_position(before) and inverted_tonic == "evaded":
        return "evaded", f"{pair}: the tonic comes inverted"
    if not (_in_root_position(before) and _in_root_position(after)):
        return "imperfect authentic", f"{pair}: not both in root position"
    if tops is None:
        return "authentic", f"{pair} in root position; with the tonic in the soprano it is perfect"
    if tops[1] == home.tonic_name:
        return "perfect authentic", f"{pair} in root position, the soprano on {tops[1].name}, the tonic"
    return "imperfect authentic", f"{pair} in root position, but the soprano on {tops[1].name}, not on the tonic"


def _half(before: Roman, after: Roman, home: RomanKey, pair: str) -> tuple[str, str]:
    if not _in_root_position(after) or "b7" in after.chord.degrees:
        return "no cadence", f"{pair}: a half cadence rests on a dominant triad in root position"
    if before.kind == "cadential":
        return "half", f"{pair}: a six-four resolves to the dominant, which is not left"
    falls = home.is_minor and before.root.fifths == home.tonic - 1 and before.inversion == 1
    if falls and "b3" in before.chord.degrees:
        return "Phrygian half", f"{pair} in minor: the bass falls a half step, {before.bass.name} to {after.bass.name}"
    return "half", f"{pair}: rests on the dominant"
