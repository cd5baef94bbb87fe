"""Guide-tone lines: the thirds and sevenths of a progression, led as smoothly as they go.

The guide tones of a chord are its third (or suspended tone) and its seventh (or sixth); of a triad its third and
whichever of root and fifth lies nearer. Two lines take one guide tone each; from chord to chord they move as little as
possible, so that in a ii V I the seventh of each chord falls to the third of the next while the other stays.
Source: jazz harmony and improvisation courses (common practice, no source).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

from musictheory_nb.errors import VoiceLeadingError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.voice_leading import nearest_pitch, step_of
from musictheory_nb.theory.voicing import chord_name_at

_THIRDS: Final = ("3", "b3", "4", "2")
_SEVENTHS: Final = ("7", "b7", "bb7", "6")


@dataclass(frozen=True, slots=True)
class GuideTone:
    """One note of a guide-tone line.

    Attributes
    ----------
    pitch : Pitch
        The note.
    degree : str
        Its degree in its chord.
    chord : Chord
        The chord.
    step : str
        How the line came here, a name of `voice_leading.STEPS`; empty for the first note.
    """

    pitch: Pitch
    degree: str
    chord: Chord
    step: str


@dataclass(frozen=True, slots=True)
class GuideToneLine:
    """A guide-tone line: its notes, one for each chord."""

    tones: tuple[GuideTone, ...]

    @property
    def names(self) -> list[str]:
        """Names of its notes with octave numbers."""
        return [tone.pitch.name for tone in self.tones]

    @property
    def degrees(self) -> list[str]:
        """Degrees of its notes in their chords."""
        return [tone.degree for tone in self.tones]

    @property
    def is_stepwise(self) -> bool:
        """Whether it never leaps."""
        return all(tone.step != "leap" for tone in self.tones)


def guide_degrees(chord: Chord | str) -> tuple[str, tuple[str, ...]]:
    """Degree of the first guide tone of a chord, and the degrees of which one is the second.

    Raises
    ------
    VoiceLeadingError
        The chord has no third or suspended tone, or is N.C.
    ChordError
        The chord cannot be read.

    Examples
    --------
    >>> guide_degrees("Dm7"), guide_degrees("C6"), guide_degrees("G7sus4"), guide_degrees("C")
    (('b3', ('b7',)), ('3', ('6',)), ('4', ('b7',)), ('3', ('1', '5')))
    >>> guide_degrees("C5")
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: chord 'C5': has no third or suspended tone to guide a line
    """
    whole = chord if isinstance(chord, Chord) else Chord(chord)
    third = next((degree for degree in _THIRDS if degree in whole.degrees), None)
    if third is None:
        raise VoiceLeadingError(f"chord {whole.symbol!r}: has no third or suspended tone to guide a line")
    seventh = next((degree for degree in _SEVENTHS if degree in whole.degrees), None)
    if seventh is not None:
        return third, (seventh,)
    return third, tuple(degree for degree in whole.degrees if degree in ("1", "5", "b5", "#5"))


def guide_tone_lines(
    chords: Sequence[Chord | str], lowest: Pitch | str = "E3", upper: str = "seventh"
) -> tuple[GuideToneLine, GuideToneLine]:
    """Two guide-tone lines through a progression, the upper one first.

    Parameters
    ----------
    chords : sequence of Chord or str
        The chords.
    lowest : Pitch or str
        The lower line begins with the first of its notes from here up.
    upper : {'seventh', 'third'}
        With which guide tone of the first chord the upper line begins.

    Raises
    ------
    VoiceLeadingError
        There are no chords, one has no guide tones, or `upper` is neither.
    ChordError, PitchError
        A chord or pitch cannot be read.

    Examples
    --------
    >>> upper, lower = guide_tone_lines(["Dm7", "G7", "Cmaj7"])
    >>> upper.names, lower.names
    (['C4', 'B3', 'B3'], ['F3', 'F3', 'E3'])
    >>> upper.degrees, [tone.step for tone in lower.tones]
    (['b7', '3', '7'], ['', 'common tone', 'half step'])
    >>> guide_tone_lines(["Dm7", "G7"], upper="fifth")
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: upper 'fifth': must be 'seventh' or 'third'
    """
    if upper not in ("seventh", "third"):
        raise VoiceLeadingError(f"upper {upper!r}: must be 'seventh' or 'third'")
    if isinstance(chords, str) or not chords:
        raise VoiceLeadingError(f"chords {chords!r}: give at least one, as a list")
    whole = [chord if isinstance(chord, Chord) else Chord(chord) for chord in chords]
    low = Pitch(lowest)
    third, others = guide_degrees(whole[0])
    below, above = (third, others[0]) if upper == "seventh" else (others[0], third)
    bottom = _at_or_above(chord_name_at(whole[0], below), low)
    top = _at_or_above(chord_name_at(whole[0], above), bottom)
    lines = ([GuideTone(top, above, whole[0], "")], [GuideTone(bottom, below, whole[0], "")])
    for _, chord in pairwise(whole):
        here = (lines[0][-1].pitch, lines[1][-1].pitch)
        best = min(_ways(chord, here), key=lambda way: _cost(here, way))
        for line, (pitch, degree), old in zip(lines, best, here, strict=True):
            line.append(GuideTone(pitch, degree, chord, step_of(old, pitch)))
    return GuideToneLine(tuple(lines[0])), GuideToneLine(tuple(lines[1]))


_Way = tuple[tuple[Pitch, str], tuple[Pitch, str]]


def _ways(chord: Chord, here: tuple[Pitch, Pitch]) -> list[_Way]:
    """Ways in which two lines can go to the guide tones of a chord."""
    third, others = guide_degrees(chord)
    ways: list[_Way] = []
    for other in others:
        for first, second in ((third, other), (other, third)):
            a, b = (
                nearest_pitch(chord_name_at(chord, first), here[0]),
                nearest_pitch(chord_name_at(chord, second), here[1]),
            )
            ways.append(((a, first), (b, second)))
    return ways


def _cost(here: tuple[Pitch, Pitch], way: _Way) -> tuple[int, int, int]:
    moves = [abs(pitch.chromatic - old.chromatic) for (pitch, _), old in zip(way, here, strict=True)]
    crossed = way[0][0].chromatic <= way[1][0].chromatic
    return sum(moves) + 12 * crossed, max(moves), way[0][0].chromatic


def _at_or_above(name: PitchName, low: Pitch) -> Pitch:
    pitch = Pitch.from_name(name, low.octave - 1)
    while pitch.chromatic < low.chromatic:
        pitch = Pitch.of(pitch.step, pitch.alter, pitch.octave + 1)
    return pitch
