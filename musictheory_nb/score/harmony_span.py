"""What was found about the harmony of a stretch of music (`HarmonySpan`), and the keys along a piece (`KeySpan`)."""

from dataclasses import dataclass
from fractions import Fraction

from musictheory_nb.score.harmony_evidence import Evidence
from musictheory_nb.score.note_table import Note
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key
from musictheory_nb.theory.roman_numeral import Roman


@dataclass(frozen=True, slots=True)
class ForeignNote:
    """A note that is foreign to the chord over which it sounds.

    Attributes
    ----------
    note : Note
        The note, ties joined.
    role : str
        What it is: a name of `melodic_role.MELODIC_ROLES`; ``'foreign note'`` where nothing explains it.
    """

    note: Note
    role: str

    @property
    def is_explained(self) -> bool:
        """Whether its line explains it."""
        return self.role != "foreign note"


@dataclass(frozen=True, slots=True)
class HarmonySpan:
    """One chord for as long as it lasts.

    Attributes
    ----------
    measure : int
        Index of the measure in which it begins.
    onset, start, duration : Fraction
        Quarters from the start of that measure, from the start of the score, and its length.
    beat : Fraction
        Beat on which it begins, as `Note.beat`.
    chord : Chord
        The chord; ``N.C.`` where one is written.
    origin : str
        ``'written'`` for a chord symbol of the score, ``'implied'`` for a chord found from the notes.
    confidence : float
        From 0 to 1. Of an implied chord: how surely its root is this one and no other. Of a written one: 1.
    carried_by : tuple of Note
        The notes that are tones of the chord, ties joined.
    foreign : tuple of ForeignNote
        The notes that are not, each with what explains it.
    missing : tuple of str
        Degrees of the chord that do not sound.
    key : Key
        Local key.
    numeral : Roman or None
        Roman numeral in the local key; None where there is no chord, or none is usual.
    evidence : Evidence
        What it rests on: the notes that carry it, as rows of the score's `notes`, and words.
    """

    measure: int
    onset: Fraction
    start: Fraction
    duration: Fraction
    beat: Fraction
    chord: Chord
    origin: str
    confidence: float
    carried_by: tuple[Note, ...]
    foreign: tuple[ForeignNote, ...]
    missing: tuple[str, ...]
    key: Key
    numeral: Roman | None
    evidence: Evidence

    @property
    def end(self) -> Fraction:
        """Quarters from the start of the score to its end."""
        return self.start + self.duration


@dataclass(frozen=True, slots=True)
class KeySpan:
    """One key for as long as it lasts.

    Attributes
    ----------
    measure, last_measure : int
        Indices of the measures in which it begins and ends.
    onset, start, duration : Fraction
        Quarters from the start of its first measure, from the start of the score, and its length.
    beat : Fraction
        Beat on which it begins, as `Note.beat`.
    key : Key
        The key.
    confidence : float
        From 0 to 1, the mean over its chords of how clearly this key is before the next best.
    cadences : int
        Motions from dominant to tonic within it that are in the key.
    """

    measure: int
    last_measure: int
    onset: Fraction
    start: Fraction
    duration: Fraction
    beat: Fraction
    key: Key
    confidence: float
    cadences: int

    @property
    def end(self) -> Fraction:
        """Quarters from the start of the score to its end."""
        return self.start + self.duration
