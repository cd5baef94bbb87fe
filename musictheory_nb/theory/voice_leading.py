"""How voices move: the motion of two voices, the steps of one, the smoothest way from chord to chord.

Two voices move parallel when both go the same way and stay the same number of letters apart, similar when they go the
same way otherwise, contrary, oblique when one stays, and not at all when both stay. Source: species counterpoint as
taught since Fux, Gradus ad Parnassum (1725).
"""

from collections.abc import Sequence
from itertools import permutations
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import VoiceLeadingError
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: The motions of two voices, with what each means.
MOTIONS: Final = MappingProxyType(
    {
        "parallel": "the same way, the same number of letters apart",
        "similar": "the same way, but not the same number of letters apart",
        "contrary": "opposite ways",
        "oblique": "one voice stays",
        "static": "both voices stay",
    }
)
#: How one voice moves, with what each means.
STEPS: Final = MappingProxyType(
    {
        "common tone": "stays on its note",
        "half step": "a minor second or an augmented unison",
        "whole step": "a major second, or a diminished third that sounds like it",
        "leap": "anything wider",
    }
)
#: Most voices for which every way of leading them is tried.
MOST_VOICES: Final = 7


def read_pitch(note: Pitch | str) -> Pitch:
    """Pitch from a text, or as it is; raises `PitchError` where the text is none."""
    return note if isinstance(note, Pitch) else Pitch(note)


def motion_of(upper: Sequence[Pitch | str], lower: Sequence[Pitch | str]) -> str:
    """Motion of two voices, each given by two pitches: a name of `MOTIONS`.

    Raises
    ------
    VoiceLeadingError
        A voice does not have two pitches.
    PitchError
        A pitch cannot be read.

    Examples
    --------
    >>> motion_of(["E4", "F4"], ["C4", "D4"]), motion_of(["G4", "C5"], ["C4", "D4"]), motion_of(["E4", "D4"], ["C4", "C4"])
    ('parallel', 'similar', 'oblique')
    >>> motion_of(["E4"], ["C4", "D4"])
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: voice ['E4']: give two pitches, before and after
    """
    (a, b), (c, d) = _two(upper), _two(lower)
    above, below = b.chromatic - a.chromatic, d.chromatic - c.chromatic
    if not above and not below:
        return "static"
    if not above or not below:
        return "oblique"
    if (above > 0) != (below > 0):
        return "contrary"
    return "parallel" if a.diatonic - c.diatonic == b.diatonic - d.diatonic else "similar"


def _two(voice: Sequence[Pitch | str]) -> tuple[Pitch, Pitch]:
    if isinstance(voice, str) or len(voice) != 2:
        raise VoiceLeadingError(f"voice {voice!r}: give two pitches, before and after")
    return read_pitch(voice[0]), read_pitch(voice[1])


def step_of(first: Pitch | str, second: Pitch | str) -> str:
    """How one voice moves: a name of `STEPS`.

    Raises
    ------
    PitchError
        A pitch cannot be read.

    Examples
    --------
    >>> step_of("B4", "C5"), step_of("F4", "E4"), step_of("C4", "C4"), step_of("A4", "D4"), step_of("Ab4", "B4")
    ('half step', 'half step', 'common tone', 'leap', 'leap')
    """
    before, after = read_pitch(first), read_pitch(second)
    semitones = abs(after.chromatic - before.chromatic)
    if semitones > 2:
        return "leap"
    return ("common tone", "half step", "whole step")[semitones]


def movement_semitones(first: Sequence[Pitch | str], second: Sequence[Pitch | str]) -> int:
    """Sum of what the voices move, in semitones, voice by voice.

    Raises
    ------
    VoiceLeadingError
        The chords have different numbers of voices.
    PitchError
        A pitch cannot be read.

    Examples
    --------
    >>> movement_semitones(["F4", "C5"], ["F4", "B4"])
    1
    >>> movement_semitones(["F4"], ["F4", "B4"])
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: voices: 1 before and 2 after; give the same number
    """
    if len(first) != len(second):
        raise VoiceLeadingError(f"voices: {len(first)} before and {len(second)} after; give the same number")
    pairs = zip(first, second, strict=True)
    return sum(abs(read_pitch(after).chromatic - read_pitch(before).chromatic) for before, after in pairs)


def nearest_pitch(name: PitchName | str, to: Pitch | str) -> Pitch:
    """Pitch of a name that lies nearest to another pitch; of two equally near ones the lower.

    Raises
    ------
    PitchError
        A name or pitch cannot be read.

    Examples
    --------
    >>> nearest_pitch("B", "C5"), nearest_pitch("F#", "C5"), nearest_pitch("C", "B3")
    (Pitch('B4'), Pitch('F#4'), Pitch('C4'))
    """
    target, letter = read_pitch(to), PitchName(name)
    candidates = [Pitch.from_name(letter, target.octave + shift) for shift in (-1, 0, 1)]
    return min(candidates, key=lambda pitch: (abs(pitch.chromatic - target.chromatic), pitch.chromatic))


def smoothest(voices: Sequence[Pitch | str], names: Sequence[PitchName | str]) -> tuple[Pitch, ...]:
    """Next pitches of voices that go to given names, one each, moving as little as possible.

    Parameters
    ----------
    voices : sequence of Pitch or str
        Where the voices are; at most `MOST_VOICES`.
    names : sequence of PitchName or str
        Names of the next chord, as many as there are voices.

    Raises
    ------
    VoiceLeadingError
        Different numbers of voices and names, or too many voices.
    PitchError
        A pitch or name cannot be read.

    Examples
    --------
    >>> [pitch.name for pitch in smoothest(["F4", "A4", "C5"], ["G", "B", "D"])]
    ['G4', 'B4', 'D5']
    >>> [pitch.name for pitch in smoothest(["C4", "E4", "G4"], ["F", "A", "C"])]
    ['C4', 'F4', 'A4']
    """
    here, letters = [read_pitch(voice) for voice in voices], [PitchName(name) for name in names]
    if len(here) != len(letters):
        raise VoiceLeadingError(f"names: {len(letters)} for {len(here)} voices; give one for each voice")
    if len(here) > MOST_VOICES:
        raise VoiceLeadingError(f"voices: {len(here)} are too many; at most {MOST_VOICES}")
    near = [[nearest_pitch(letter, pitch) for letter in letters] for pitch in here]

    def cost(order: tuple[int, ...]) -> tuple[int, int, tuple[int, ...]]:
        chosen = [near[voice][place] for voice, place in enumerate(order)]
        moves = [abs(pitch.chromatic - old.chromatic) for pitch, old in zip(chosen, here, strict=True)]
        return sum(moves), max(moves, default=0), order

    best = min(permutations(range(len(letters))), key=cost)
    return tuple(near[voice][place] for voice, place in enumerate(best))


def melodic_interval(first: Pitch | str, second: Pitch | str) -> Interval:
    """Interval that a voice sings, descending if it falls; raises `PitchError` where a pitch cannot be read.

    Examples
    --------
    >>> melodic_interval("F4", "G#4"), melodic_interval("C5", "A4")
    (Interval('A2'), Interval('-m3'))
    """
    return Interval.between(read_pitch(first), read_pitch(second))
