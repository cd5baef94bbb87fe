"""Which accidentals are printed: those that key signature and measure do not already give.

Common practice: an accidental holds for its line or space to the end of the measure, and for no other octave; but
where a letter was altered in another octave of the same measure, the accidental is printed all the same. A note tied
over a barline takes its accidental along without a new one, and without effect on the notes that follow.
"""

from typing import Final

from musictheory_nb.theory.pitch import Pitch

_SHARP_ORDER: Final = "FCGDAEB"


def key_alterations(fifths: int) -> dict[str, int]:
    """Return the alteration of each letter under a key signature, in semitones.

    Examples
    --------
    >>> {letter: alter for letter, alter in key_alterations(-2).items() if alter}
    {'B': -1, 'E': -1}
    """
    order = _SHARP_ORDER if fifths > 0 else _SHARP_ORDER[::-1]
    sign = 1 if fifths > 0 else -1
    # beyond seven a signature has double accidentals
    return {
        letter: sign * (abs(fifths) // 7 + (order.index(letter) < abs(fifths) % 7)) for letter in sorted(_SHARP_ORDER)
    }


class MeasureAccidentals:
    """What the accidentals of one measure of one staff have said so far.

    Parameters
    ----------
    fifths : int
        Key signature of the staff.

    Examples
    --------
    >>> said = MeasureAccidentals(1)
    >>> said.needed(Pitch("F#4")), said.needed(Pitch("F4")), said.needed(Pitch("F4")), said.needed(Pitch("F#5"))
    (False, True, False, True)
    """

    def __init__(self, fifths: int) -> None:
        self._key = key_alterations(fifths)
        self._said: dict[tuple[str, int], int] = {}

    def needed(self, pitch: Pitch, *, tied_over: bool = False) -> bool:
        """Whether `pitch`, the next one in the measure, needs its accidental; it is then taken as said.

        `tied_over` is for the end of a tie that began in the measure before.
        """
        place = (pitch.step, pitch.octave)
        here = self._said.get(place, self._key[pitch.step])
        elsewhere = {
            alter for (step, octave), alter in self._said.items() if step == pitch.step and octave != pitch.octave
        }
        if tied_over:
            return False
        needed = here != pitch.alter or (place not in self._said and bool(elsewhere - {pitch.alter}))
        if needed:
            self._said[place] = pitch.alter
        return needed
