"""Notes as a scale needs them: a plainer spelling, the next pitch of a name."""

from typing import Final

from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName

#: Places of Fb and B# on the line of fifths: beyond them a name has a double accidental.
_FLATTEST_PLAIN: Final = -8
_SHARPEST_PLAIN: Final = 12


def plain_fifths(place: int) -> int:
    """Move a place on the line of fifths by enharmonic steps until its name has no double accidental.

    Examples
    --------
    >>> [PitchName.from_fifths(plain_fifths(PitchName(name).fifths)).name for name in ("G##", "Cbb", "B#")]
    ['A', 'Bb', 'B#']
    """
    while place < _FLATTEST_PLAIN:
        place += 12
    while place > _SHARPEST_PLAIN:
        place -= 12
    return place


def pitch_above(low: Pitch, name: PitchName) -> Pitch:
    """Nearest pitch of a name above another one, by letter: the same letter counts as above.

    Examples
    --------
    >>> pitch_above(Pitch("A3"), PitchName("B")), pitch_above(Pitch("A3"), PitchName("Cb"))
    (Pitch('B3'), Pitch('Cb4'))
    """
    pitch = Pitch.from_name(name, low.octave)
    return pitch if pitch.diatonic >= low.diatonic else Pitch.from_name(name, low.octave + 1)
