"""The major scale, from which the degrees of scales, chords and keys and the sizes of intervals are measured."""

from typing import Final

#: Semitones of degrees 1 to 7 above the tonic.
MAJOR_SEMITONES: Final = (0, 2, 4, 5, 7, 9, 11)
#: Distance of degrees 1 to 7 from the tonic on the line of fifths (C = 0, G = 1).
MAJOR_FIFTHS: Final = (0, 2, 4, -1, 1, 3, 5)
