"""What stands in a score besides notes: chord symbols, rehearsal marks, tempo, keys, clefs, words.

Each says the measure (an index), the onset in quarters from its start, and the start in quarters from the
beginning of the score.
"""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class ChordSymbol:
    """A chord symbol at its beat.

    Parameters
    ----------
    text : str
        Sounding chord as chart text: ``'Am7'``, ``'G7b9/B'``, ``'N.C.'``.
    written : str
        The same as it stands in its part; differs from `text` for a transposing instrument.
    kind : str
        Kind as MusicXML names it (``'minor-seventh'``), ``'none'`` for N.C.; ``''`` where the file gives only text.
    part : int
        Index of the part in which it stands.
    beat : Fraction
        As `Note.beat`.
    """

    measure: int
    onset: Fraction
    start: Fraction
    beat: Fraction
    text: str
    written: str
    kind: str = ""
    part: int = 0

    @property
    def is_no_chord(self) -> bool:
        """Whether it says that no chord is played (N.C.)."""
        return self.kind == "none"


@dataclass(frozen=True, slots=True)
class RehearsalMark:
    """A letter or number in a box, or the name of a section."""

    measure: int
    onset: Fraction
    start: Fraction
    text: str


@dataclass(frozen=True, slots=True)
class TempoMark:
    """Tempo from here on, in quarters a minute, and the words that go with it."""

    measure: int
    onset: Fraction
    start: Fraction
    quarters_per_minute: Fraction
    text: str = ""


@dataclass(frozen=True, slots=True)
class KeySignature:
    """Key signature of one part from here on.

    Parameters
    ----------
    fifths : int
        Sounding: sharps above 0, flats below.
    written : int
        As it stands in the part; differs for a transposing instrument.
    mode : str
        ``'major'``, ``'minor'``, ``'dorian'`` and so on; ``''`` where the file does not say.
    """

    measure: int
    onset: Fraction
    start: Fraction
    part: int
    fifths: int
    written: int
    mode: str = ""


@dataclass(frozen=True, slots=True)
class Clef:
    """Clef of one staff from here on: ``'treble'``, ``'bass'``, ``'alto'``, ``'tenor'``, ``'treble-8'`` and so on."""

    measure: int
    onset: Fraction
    start: Fraction
    part: int
    staff: int
    name: str


@dataclass(frozen=True, slots=True)
class Transposition:
    """From written to sounding pitch from here on, in semitones and steps, for one part (a player changes horns)."""

    measure: int
    onset: Fraction
    start: Fraction
    part: int
    chromatic: int
    diatonic: int


@dataclass(frozen=True, slots=True)
class Words:
    """Words above or below the music: ``'dolce'``, ``'Trio'``."""

    measure: int
    onset: Fraction
    start: Fraction
    text: str
    part: int = 0
