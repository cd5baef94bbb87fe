"""The chords that exercises ask for: qualities by their suffix on a chart, roots that spell well, inversions, voicings."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import TheoryError
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.family import Setting
from musictheory_nb.practice.setting_check import several_of
from musictheory_nb.practice.staff_register import Register
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_quality import DEGREES_BY_SUFFIX, QUALITIES
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: How the major triad is written in settings and records; on a chart it is the root alone.
MAJOR: Final = "maj"
#: Chords that are told by spelling or by what follows, and cannot be asked for.
_LEFT_OUT: Final = ("It+6", "Fr+6", "Ger+6", "Tristan")
#: Every quality that may be asked for: suffix -> name.
QUALITY_NAMES: Final = MappingProxyType(
    {row.suffix or MAJOR: row.words for row in QUALITIES if row.suffix not in _LEFT_OUT and len(row.degrees) > 2}
)
TRIADS: Final = (MAJOR, "m", "dim", "aug")
SEVENTHS: Final = ("maj7", "7", "m7", "m7b5", "dim7")
#: Inversions by the tone of the chord in the bass.
INVERSION_NAMES: Final = ("root position", "first inversion", "second inversion", "third inversion")
_BASS_WORDS: Final = ("root", "third", "fifth", "seventh")
_BASS_WORDS_OF: Final = MappingProxyType({"4": "fourth", "2": "second", "6": "sixth"})
#: Roots, without those that no key of at most seven sharps or flats has.
ROOTS: Final = (
    "C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B",
)  # fmt: skip
#: White keys that are called by another name only where a key needs it.
_RARE: Final = frozenset({"E#", "B#", "Cb", "Fb"})
#: How chord tones lie: as near together as can be, or the second one from the bass an octave higher.
VOICINGS: Final = ("close", "open")
#: How a chord is played.
PLAYED: Final = ("together", "broken", "both")


def qualities_setting(default: Sequence[str], meaning: str) -> Setting:
    """Return the setting of the qualities that are asked for."""
    allowed = f"a list of different suffixes of chord symbols from {', '.join(QUALITY_NAMES)}"
    return Setting("qualities", list(default), meaning, allowed, several_of(tuple(QUALITY_NAMES)))


def inversions_setting(meaning: str) -> Setting:
    """Return the setting of the inversions that are asked for."""

    def check(value: object) -> bool:
        return (
            isinstance(value, list)
            and bool(value)
            and all(type(one) is int and 0 <= one <= 3 for one in value)
            and len(set(value)) == len(value)
        )

    return Setting("inversions", [0], meaning, "a list of different numbers from 0 (root position) to 3", check)


@lru_cache(maxsize=512)
def degrees_of(quality: str) -> tuple[str, ...]:
    """Return the degrees of a quality.

    Examples
    --------
    >>> degrees_of("maj"), degrees_of("m7b5")
    (('1', '3', '5'), ('1', 'b3', 'b5', 'b7'))
    """
    return DEGREES_BY_SUFFIX["" if quality == MAJOR else quality]


def inversions_of(quality: str) -> tuple[int, ...]:
    """Return the inversions that a quality has: with the third, the fifth and the seventh (or sixth) in the bass.

    Examples
    --------
    >>> inversions_of("maj"), inversions_of("7"), inversions_of("13")
    ((0, 1, 2), (0, 1, 2, 3), (0, 1, 2, 3))
    """
    return tuple(range(min(4, len(degrees_of(quality)))))


@lru_cache(maxsize=8192)
def chord_of(root: str, quality: str, inversion: int = 0) -> Chord:
    """Return a chord.

    Raises
    ------
    TheoryError
        A tone cannot be spelled.

    Examples
    --------
    >>> chord_of("Eb", "m7", 1).symbol
    'Ebm7/Gb'
    """
    degrees = degrees_of(quality)
    plain = Chord.of(root, degrees)
    if not inversion:
        return plain
    return plain.over(tone_names(root, quality)[inversion])


@lru_cache(maxsize=8192)
def tone_names(root: str, quality: str) -> tuple[str, ...]:
    """Return the names of the tones of a chord in the order of `degrees_of`.

    Examples
    --------
    >>> tone_names("F#", "m7b5")
    ('F#', 'A', 'C', 'E')
    """
    return tuple(tone.name for tone in Chord.of(root, degrees_of(quality)).tones)


@lru_cache(maxsize=512)
def plain_roots(quality: str) -> tuple[str, ...]:
    """Return the roots on which every tone has at most one accidental, and no white key another name than its own.

    Examples
    --------
    >>> plain_roots("dim7")
    ('C#', 'D#', 'E', 'F#', 'G#', 'A', 'A#', 'B')
    """
    for most, rare in ((1, False), (1, True), (2, True)):
        found = []
        for root in ROOTS:
            try:
                names = tone_names(root, quality)
            except TheoryError:
                continue
            if all(abs(PitchName(name).alter) <= most and (rare or name not in _RARE) for name in names):
                found.append(root)
        if found:
            return tuple(found)
    return ()


@lru_cache(maxsize=8192)
def voiced(root: str, quality: str, inversion: int, lowest: str, voicing: str) -> tuple[str, ...]:
    """Return the chord as written pitches, its bass the first of its name from `lowest` up.

    Examples
    --------
    >>> voiced("C", "maj", 1, "C4", "close"), voiced("C", "maj7", 0, "C3", "open")
    (('E4', 'G4', 'C5'), ('C3', 'G3', 'B3', 'E4'))
    """
    pitches = list(chord_of(root, quality, inversion).pitches(lowest))
    if voicing == "open" and len(pitches) > 2:
        pitches = sorted([pitches[0], pitches[1].up("P8"), *pitches[2:]])
    return tuple(pitch.name for pitch in pitches)


@dataclass(frozen=True, slots=True)
class Voicing:
    """A chord as it is written: its root, and its pitches from low to high."""

    root: str
    pitches: tuple[str, ...]


@lru_cache(maxsize=2048)
def voicings_in(
    quality: str, inversion: int, register: Register, voicing: str, roots: tuple[str, ...] = ()
) -> tuple[Voicing, ...]:
    """Return every placing of a chord in a register, on `roots` or on all that spell well.

    Examples
    --------
    >>> treble = Register("treble", 59, 83)
    >>> [one.pitches for one in voicings_in("maj", 0, treble, "close") if one.root == "C"]
    [('C4', 'E4', 'G4'), ('C5', 'E5', 'G5')]
    """
    found = []
    for root in roots or plain_roots(quality):
        bass = PitchName(tone_names(root, quality)[inversion])
        for octave in range(register.low_midi // 12 - 2, register.high_midi // 12 + 1):
            low = Pitch.from_name(bass, octave)
            if low.chromatic < register.low_midi:
                continue
            pitches = voiced(root, quality, inversion, low.name, voicing)
            if Pitch(pitches[-1]).chromatic <= register.high_midi:
                found.append(Voicing(root, pitches))
    return tuple(found)


@lru_cache(maxsize=8192)
def chord_shown(root: str, quality: str, inversion: int, names: str) -> str:
    """Return the chord symbol as shown in a system of pitch names.

    Examples
    --------
    >>> chord_shown("Bb", "m7b5", 0, "english"), chord_shown("B", "7", 1, "german")
    ('B♭m7♭5', 'H7/Dis')
    """
    return chord_of(root, quality, inversion).spelled(Display(names).theory_names, printed=True)


def inversion_words(quality: str, inversion: int) -> str:
    """Return which tone lies in the bass.

    Examples
    --------
    >>> inversion_words("maj", 1), inversion_words("sus4", 1), inversion_words("6", 3)
    ('third', 'fourth', 'sixth')
    """
    degree = degrees_of(quality)[inversion].lstrip("b#")
    return _BASS_WORDS_OF.get(degree, _BASS_WORDS[inversion])


@lru_cache(maxsize=4096)
def chord_sentence(root: str, quality: str, inversion: int, display: Display) -> str:
    """Return what a chord is, from its tones.

    Examples
    --------
    >>> chord_sentence("C", "m7", 1, Display())
    'C, E♭, G and B♭ make C minor seventh: minor third, perfect fifth and minor seventh above the root; its third, E♭, is in the bass: first inversion.'
    """
    names = tone_names(root, quality)
    above = [Interval.between(PitchName(root), PitchName(name)).name for name in names[1:]]
    wide = {"9": "ninth", "11": "eleventh", "13": "thirteenth"}
    told = []
    for degree, name in zip(degrees_of(quality)[1:], above, strict=True):
        number = wide.get(degree.lstrip("b#"))
        told.append(f"{name.rsplit(' ', 1)[0]} {number}" if number else name)
    shown = [display.note(name) for name in names]
    head = f"{listed(shown)} make {shown[0]} {QUALITY_NAMES[quality]}: {listed(told)} above the root"
    if not inversion:
        return f"{head}; the root is in the bass: root position."
    return (
        f"{head}; its {inversion_words(quality, inversion)}, {shown[inversion]}, is in the bass: "
        f"{INVERSION_NAMES[inversion]}."
    )
