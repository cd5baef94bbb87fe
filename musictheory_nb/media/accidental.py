"""Which accidentals are printed: those that key signature and measure do not already give.

Common practice: an accidental holds for its line or space to the end of the measure, and for no other octave; but
where a letter was altered in another octave of the same measure, the accidental is printed all the same. A note tied
over a barline takes its accidental along without a new one, and without effect on the notes that follow.
"""

from collections.abc import Sequence

from musictheory_nb.media.key_signature import key_alterations
from musictheory_nb.theory.pitch import Pitch


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

    def needed(self, pitch: Pitch, *, tied_over: bool = False, beside: Sequence[Pitch] = ()) -> bool:
        """Whether `pitch`, the next one in the measure, needs its accidental; it is then taken as said.

        `tied_over` is for the end of a tie that began in the measure before; `beside` are the pitches struck at the
        same time, of which one may share the line or space but not the alteration.
        """
        place = (pitch.step, pitch.octave)
        here = self._said.get(place, self._key[pitch.step])
        elsewhere = {
            alter for (step, octave), alter in self._said.items() if step == pitch.step and octave != pitch.octave
        }
        if tied_over:
            return False
        needed = (
            here != pitch.alter
            or (place not in self._said and bool(elsewhere - {pitch.alter}))
            or any((one.step, one.octave) == place and one.alter != pitch.alter for one in beside)
        )
        if needed:
            self._said[place] = pitch.alter
        return needed
