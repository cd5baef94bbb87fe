"""Voicings of a chord: shell, close, drop 2, drop 3, rootless; which tones each has and how they lie.

Conventions
-----------
Four-note voicings have root, third (or suspended tone), fifth and seventh (or sixth). In a rootless voicing, which a
bass player completes, the ninth stands for the root and in a dominant the thirteenth for the fifth; the ninth and
thirteenth are those of the chord, else natural ones; a half-diminished or diminished chord keeps its root. The A form
has the third at the bottom, the B form the seventh.
A drop 2 voicing is a close one whose second note from the top is dropped an octave; drop 3 the third from the top.
Source: jazz keyboard and arranging courses (common practice, no source).
"""

from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import VoiceLeadingError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_FIFTHS, NAMES_BY_FIFTHS
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: The voicings by name, with what each is.
VOICINGS: Final = MappingProxyType(
    {
        "shell": "root, third and seventh (or sixth), in close position from the root up; position 1: root, seventh, third",
        "close": "root, third, fifth and seventh within an octave; position 1 to 3: third, fifth, seventh at the bottom",
        "drop 2": "the close voicing with the second note from the top an octave lower; positions as those of close",
        "drop 3": "the close voicing with the third note from the top an octave lower; positions as those of close",
        "rootless A": "third, fifth (thirteenth in a dominant), seventh and ninth from the bottom up",
        "rootless B": "seventh, ninth, third and fifth (thirteenth in a dominant) from the bottom up",
    }
)
_THIRDS: Final = ("3", "b3", "4", "2")
_SEVENTHS: Final = ("7", "b7", "bb7", "6")
_FIFTHS: Final = ("5", "b5", "#5")
_NINTHS: Final = ("9", "b9", "#9")
_THIRTEENTHS: Final = ("13", "b13")
#: Lowest note of voicings, where none is given.
DEFAULT_LOWEST: Final = "C3"


def _first(degrees: tuple[str, ...], wanted: tuple[str, ...]) -> str | None:
    return next((degree for degree in wanted if degree in degrees), None)


def essential_degrees(chord: Chord) -> tuple[str, str, str, str]:
    """Root, third, fifth and seventh of a chord as it has them; a suspended tone for the third, a sixth for the seventh.

    An altered dominant without fifth takes its flat thirteenth, else a sharp eleventh, for the fifth.

    Raises
    ------
    VoiceLeadingError
        There is no chord (N.C.), or it has no third or no seventh.

    Examples
    --------
    >>> essential_degrees(Chord("Dm7")), essential_degrees(Chord("C6")), essential_degrees(Chord("G7alt"))
    (('1', 'b3', '5', 'b7'), ('1', '3', '5', '6'), ('1', '3', 'b13', 'b7'))
    >>> essential_degrees(Chord("C"))
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: chord 'C': has no seventh or sixth; write one, such as 'C6' or 'Cmaj7'
    """
    degrees = chord.degrees
    if chord.root is None:
        raise VoiceLeadingError("chord 'N.C.': has no notes to voice")
    third, seventh = _first(degrees, _THIRDS), _first(degrees, _SEVENTHS)
    if seventh is None:
        example = f"{chord.root.name}{'m6' if third == 'b3' else '6'}' or '{chord.root.name}{'m7' if third == 'b3' else 'maj7'}"
        raise VoiceLeadingError(f"chord {chord.symbol!r}: has no seventh or sixth; write one, such as '{example}'")
    if third is None:
        raise VoiceLeadingError(f"chord {chord.symbol!r}: has no third or suspended tone")
    fifth = _first(degrees, _FIFTHS) or _first(degrees, ("b13", "13", "#11")) or "5"
    return "1", third, fifth, seventh


def _rootless_degrees(chord: Chord) -> tuple[str, str, str, str]:
    """Third, fifth or thirteenth, seventh, ninth."""
    _, third, fifth, seventh = essential_degrees(chord)
    ninth = _first(chord.degrees, _NINTHS) or ("1" if fifth == "b5" and third == "b3" else "9")
    if third != "b3" and seventh == "b7":
        fifth = _first(chord.degrees, _THIRTEENTHS) or (fifth if fifth != "5" else "13")
        if ninth in ("b9", "#9") and fifth == "13" and "13" not in chord.degrees:
            fifth = "b13"
    return third, fifth, seventh, ninth


def voicing(
    chord: Chord | str, kind: str = "close", position: int = 0, lowest: Pitch | str = DEFAULT_LOWEST
) -> tuple[Pitch, ...]:
    """Pitches of a chord in a voicing, from the bottom up.

    Parameters
    ----------
    chord : Chord or str
        The chord or its symbol; its bass plays no part.
    kind : str
        A name of `VOICINGS`, which says what each is.
    position : int
        0 to 3 for close, drop 2 and drop 3; 0 or 1 for a shell; 0 for a rootless voicing.
    lowest : Pitch or str
        The lowest note is the first of its name from here up.

    Raises
    ------
    VoiceLeadingError
        No such voicing or position, or the chord has no seventh or sixth.
    ChordError, PitchError
        The chord or pitch cannot be read.

    Examples
    --------
    >>> [pitch.name for pitch in voicing("G7", "shell")], [pitch.name for pitch in voicing("G7", "shell", 1)]
    (['G3', 'B3', 'F4'], ['G3', 'F4', 'B4'])
    >>> [pitch.name for pitch in voicing("Cmaj7", "drop 2")], [p.name for p in voicing("Cmaj7", "drop 2", 1)]
    (['G3', 'C4', 'E4', 'B4'], ['B3', 'E4', 'G4', 'C5'])
    >>> [pitch.name for pitch in voicing("Dm7", "rootless A")], [p.name for p in voicing("G7", "rootless B")]
    (['F3', 'A3', 'C4', 'E4'], ['F3', 'A3', 'B3', 'E4'])
    >>> voicing("C7", "drop 5")
    Traceback (most recent call last):
    musictheory_nb.errors.VoiceLeadingError: voicing 'drop 5': must be one of 'shell', 'close', 'drop 2', 'drop 3', \
'rootless A', 'rootless B'
    """
    if kind not in VOICINGS:
        raise VoiceLeadingError(f"voicing {kind!r}: must be one of {', '.join(map(repr, VOICINGS))}")
    whole = chord if isinstance(chord, Chord) else Chord(chord)
    most = positions(kind)
    if isinstance(position, bool) or not isinstance(position, int) or not 0 <= position < most:
        raise VoiceLeadingError(f"position {position!r}: {kind} has positions 0 to {most - 1}")
    root, third, fifth, seventh = essential_degrees(whole)
    order: tuple[str, ...]
    if kind == "shell":
        order = (root, third, seventh) if position == 0 else (root, seventh, third)
    elif kind.startswith("rootless"):
        third, fifth, seventh, ninth = _rootless_degrees(whole)
        order = (third, fifth, seventh, ninth) if kind == "rootless A" else (seventh, ninth, third, fifth)
    else:
        stack = (root, third, fifth, seventh)
        close = stack[position:] + stack[:position]
        order = {
            "close": close,
            "drop 2": (close[2], close[0], close[1], close[3]),
            "drop 3": (close[1], close[0], close[2], close[3]),
        }[kind]
    return _piled(whole, order, Pitch(lowest))


def positions(kind: str) -> int:
    """How many positions a voicing has.

    Examples
    --------
    >>> positions("shell"), positions("drop 2"), positions("rootless A")
    (2, 4, 1)
    """
    return 2 if kind == "shell" else 1 if kind.startswith("rootless") else 4


def chord_name_at(chord: Chord, degree: str) -> PitchName:
    """Name of a degree above the root of a chord, whether or not the chord has it.

    Examples
    --------
    >>> chord_name_at(Chord("G7"), "9"), chord_name_at(Chord("C7"), "b13")
    (PitchName('A'), PitchName('Ab'))
    """
    assert chord.root is not None
    place = chord.root.fifths + DEGREE_FIFTHS[degree]
    if place not in NAMES_BY_FIFTHS:
        raise VoiceLeadingError(f"chord {chord.symbol!r}: its {degree} would carry more than three accidentals")
    return NAMES_BY_FIFTHS[place]


def _piled(chord: Chord, order: tuple[str, ...], lowest: Pitch) -> tuple[Pitch, ...]:
    """Pitches in the order of degrees, each the next of its name above the one before."""
    pitches: list[Pitch] = []
    floor = lowest.chromatic
    for degree in order:
        name = chord_name_at(chord, degree)
        pitch = Pitch.from_name(name, lowest.octave - 1)
        while pitch.chromatic < floor:
            pitch = Pitch.of(pitch.step, pitch.alter, pitch.octave + 1)
        pitches.append(pitch)
        floor = pitch.chromatic + 1
    return tuple(pitches)
