"""Writing a progression for four voices (`write_four_parts`), by the rules that `part_writing` checks.

Of every chord all settings for soprano, alto, tenor and bass within their ranges and a proper spacing are candidates;
the way through them with the fewest faults, then cautions, then the smoothest one is taken. The fifth of a complete
seventh chord or of a root-position triad may be left out where that is better, the root is then doubled or tripled.
Source of the doublings: harmony courses (common practice, from memory).
"""

from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from types import MappingProxyType
from typing import Final, NamedTuple

from musictheory_nb.errors import VoiceLeadingError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_PARTS
from musictheory_nb.theory.part_writing_chord import chord_faults, leading_tone, resolution_faults
from musictheory_nb.theory.part_writing_line import line_faults
from musictheory_nb.theory.part_writing_motion import Moment, motion_faults
from musictheory_nb.theory.part_writing_rule import VOICE_RANGES, Fault
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_analysis import roman_progression
from musictheory_nb.theory.roman_key import KeyGiven, read_roman_key
from musictheory_nb.theory.roman_numeral import Roman
from musictheory_nb.theory.smooth_voicing import best_way

#: The voices from the highest down.
FOUR_VOICES: Final = ("soprano", "alto", "tenor", "bass")
#: Compass in which each voice is written: its range without the extremes.
_COMPASS: Final = MappingProxyType(
    {"soprano": ("C4", "G5"), "alto": ("G3", "C5"), "tenor": ("C3", "G4"), "bass": ("E2", "C4")}
)
_FAULT_COST, _CAUTION_COST, _INCOMPLETE_COST, _LEAP_COST = 1000.0, 25.0, 6.0, 1.5
#: Candidates of one chord that are kept, the best by themselves.
_MOST_CANDIDATES: Final = 48
_UNISON_COST: Final = 2.0
_OCTAVE: Final = 12
#: Semitones above C-1 of B4, about which a soprano lies well.
_MIDDLE_SOPRANO: Final = 71


class FourParts(NamedTuple):
    """One chord for four voices."""

    soprano: Pitch
    alto: Pitch
    tenor: Pitch
    bass: Pitch


def write_four_parts(
    chords: Sequence[Chord | Roman | str], key: KeyGiven, soprano: Sequence[Pitch | PitchName | str] | None = None
) -> tuple[FourParts, ...]:
    """Set a progression for soprano, alto, tenor and bass.

    Parameters
    ----------
    chords : sequence of Chord, Roman or str
        Chords, chord symbols or Roman numerals; at most four different tones each, inversions as written.
    key : Key or str
        The key.
    soprano : sequence of Pitch, PitchName or str, optional
        Melody to be set, one note for each chord; without octave numbers only the names are fixed.

    Raises
    ------
    VoiceLeadingError
        No chords, a chord with more than four tones, or one that cannot be set (with that soprano note).
    ChordError, RomanNumeralError, PitchError, KeyNameError
        A chord, note or key cannot be read.

    Examples
    --------
    >>> for parts in write_four_parts(["I", "IV", "V7", "I"], "C major", soprano=["E", "F", "D", "C"]):
    ...     print(" ".join(pitch.name for pitch in parts))
    E5 G4 C4 C3
    F5 A4 C4 F2
    D5 F4 B3 G2
    C5 E4 G3 C3
    >>> write_four_parts(["G13"], "C major")
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: chord 'G13': has 7 tones; four voices set at most four, such as a seventh chord
    """
    if isinstance(chords, str) or not chords:
        raise VoiceLeadingError(f"chords {chords!r}: give at least one, as a list")
    home = read_roman_key(key)
    numerals = roman_progression(chords, home)
    if soprano is not None and (isinstance(soprano, str) or len(soprano) != len(numerals)):
        raise VoiceLeadingError(f"soprano {soprano!r}: give one note for each of the {len(numerals)} chords, as a list")
    columns = []
    for place, numeral in enumerate(numerals):
        top = None if soprano is None else soprano[place]
        column = _settings(numeral, top)
        if not column:
            under = "" if top is None else f" under {top!s}"
            raise VoiceLeadingError(f"chord {numeral.chord.symbol!r}: cannot be set for four voices{under}")
        columns.append([_Setting(numeral, parts, tuple(p.chromatic for p in parts), cost) for cost, parts in column])
    way = best_way(columns, lambda setting: setting.cost, _between, _movement)
    return tuple(setting.parts for setting in way)


class _Setting(NamedTuple):
    """A candidate: its numeral, the pitches, their heights in semitones, what speaks against it by itself."""

    numeral: Roman
    parts: FourParts
    heights: tuple[int, ...]
    cost: float


def _settings(numeral: Roman, top: Pitch | PitchName | str | None) -> list[tuple[float, FourParts]]:
    """Settings of a chord for four voices, the best by themselves, with their costs."""
    chord = numeral.chord
    names = list(chord.pitch_names)
    if len(names) > len(FOUR_VOICES):
        raise VoiceLeadingError(
            f"chord {chord.symbol!r}: has {len(names)} tones; four voices set at most four, such as a seventh chord"
        )
    found = []
    spaces = [_pitches(names, *_COMPASS[voice]) for voice in FOUR_VOICES[:3]]
    basses = _pitches([numeral.bass], *_COMPASS["bass"])
    tops = (
        spaces[0] if top is None else [pitch for pitch in _pitches(names, *VOICE_RANGES["soprano"]) if _is(pitch, top)]
    )
    for bass, tenor, alto in product(basses, spaces[2], spaces[1]):
        if tenor.chromatic < bass.chromatic or not 0 <= alto.chromatic - tenor.chromatic <= _OCTAVE:
            continue
        for soprano in tops:
            if 0 <= soprano.chromatic - alto.chromatic <= _OCTAVE:
                parts = FourParts(soprano, alto, tenor, bass)
                cost = _alone(numeral, parts, names)
                if cost is not None:
                    found.append((cost, parts))
    found.sort(key=lambda item: item[0])
    return found[:_MOST_CANDIDATES]


def _pitches(names: Sequence[PitchName], low: str, high: str) -> list[Pitch]:
    lowest, highest = Pitch(low), Pitch(high)
    octaves = range(lowest.octave - 1, highest.octave + 2)
    made = (Pitch.from_name(name, octave) for octave in octaves for name in names)
    return [pitch for pitch in made if lowest.chromatic <= pitch.chromatic <= highest.chromatic]


def _is(pitch: Pitch, wanted: Pitch | PitchName | str) -> bool:
    if isinstance(wanted, Pitch) or (isinstance(wanted, str) and wanted[-1:].isdigit()):
        return pitch == Pitch(wanted)
    return pitch.pitch_name == PitchName(wanted)


def _alone(numeral: Roman, parts: FourParts, names: Sequence[PitchName]) -> float | None:
    """Cost of a setting by itself, None where it is no proper setting."""
    counts = [sum(pitch.step == name.step and pitch.alter == name.alter for pitch in parts) for name in names]
    missing = [name for name, count in zip(names, counts, strict=True) if not count]
    chord = numeral.chord
    fifth = next((d for d in chord.degrees if DEGREE_PARTS[d][0] == 5), None)
    may_lack = fifth == "5" and chord.bass == chord.root
    if missing and not (may_lack and len(missing) == 1 and chord.degree_of(missing[0]) == "5"):
        return None
    cost = _INCOMPLETE_COST * len(missing) + _doubling_cost(numeral, names, counts)
    cost += _UNISON_COST * sum(high == low for high, low in pairwise(parts))
    cost += abs(parts.soprano.chromatic - _MIDDLE_SOPRANO) / 10
    return cost + (parts.soprano.chromatic - parts.tenor.chromatic) / 20


def _doubling_cost(numeral: Roman, names: Sequence[PitchName], counts: Sequence[int]) -> float:
    """What speaks against the doublings: a leading tone or seventh is never doubled, the third of a major triad not readily."""
    chord = numeral.chord
    leading = leading_tone(numeral)
    cost = 0.0
    for name, count in zip(names, counts, strict=True):
        if count < 2:
            continue
        degree = chord.degree_of(name)
        number = DEGREE_PARTS[degree][0]
        if name == leading or number == 7 or (numeral.kind == "augmented sixth" and degree in ("1", "#6")):
            cost += _FAULT_COST
        elif number == 3:
            cost += 2.0 if "b3" in chord.degrees else 5.0
        elif number == 5:
            cost += 0.0 if chord.inversion == 2 else 3.0
        cost += 4.0 * (count - 2)
    if chord.inversion == 2 and len(names) == 3 and counts[names.index(numeral.bass)] < 2:
        cost += _CAUTION_COST
    return cost


def _move_cost(semitones: int, is_bass: bool) -> float:
    """Cost of what one voice moves, the bass counting least."""
    cost = semitones * (0.2 if is_bass else 1.0)
    if semitones > 4 and not is_bass:
        cost += _LEAP_COST * (semitones - 4)
    if semitones > _OCTAVE or (semitones in (6, 10, 11) and not is_bass):
        cost += _FAULT_COST
    return cost


#: Costs by semitones: more than the compass of any voice.
_UPPER_MOVES: Final = tuple(_move_cost(semitones, False) for semitones in range(64))
_BASS_MOVES: Final = tuple(_move_cost(semitones, True) for semitones in range(64))


def _movement(first: _Setting, second: _Setting) -> float:
    """Cost of what the voices move."""
    (soprano, alto, tenor, bass), (to_soprano, to_alto, to_tenor, to_bass) = first.heights, second.heights
    return (
        _UPPER_MOVES[abs(to_soprano - soprano)]
        + _UPPER_MOVES[abs(to_alto - alto)]
        + _UPPER_MOVES[abs(to_tenor - tenor)]
        + _BASS_MOVES[abs(to_bass - bass)]
    )


def _between(first: _Setting, second: _Setting) -> float:
    """Cost of going from one setting to the next."""
    cost = _movement(first, second)
    before, after = Moment("1", first.parts), Moment("2", second.parts)
    for fault in _faults(before, after, first.numeral, second.numeral):
        cost += _FAULT_COST if fault.severity == "fault" else _CAUTION_COST
    return cost


def _faults(before: Moment, after: Moment, numeral: Roman, following: Roman) -> Iterator[Fault]:
    if before.pitches == after.pitches:
        return
    yield from motion_faults(FOUR_VOICES, before, after)
    yield from resolution_faults(FOUR_VOICES, before, after, numeral, following)
    for voice, old, new in zip(FOUR_VOICES, before.pitches, after.pitches, strict=True):
        yield from line_faults(voice, voice == "bass", (old, new), (before.beat, after.beat))


def setting_faults(parts: FourParts, numeral: Roman, beat: str = "1") -> tuple[Fault, ...]:
    """Faults of one chord for four voices by itself.

    Examples
    --------
    >>> parts = FourParts(Pitch("B4"), Pitch("B3"), Pitch("D3"), Pitch("G2"))
    >>> [fault.rule for fault in setting_faults(parts, Roman("V", "C major"))]
    ['doubled leading tone']
    """
    return tuple(chord_faults(FOUR_VOICES, Moment(beat, parts), numeral))
