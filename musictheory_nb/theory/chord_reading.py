"""One name for a set of notes (`ChordReading`): the chord, what is missing or left over, and the reason in words."""

from dataclasses import dataclass
from typing import Final

from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import DEGREE_CLASS, NAMES_BY_FIFTHS
from musictheory_nb.theory.enumeration import listed
from musictheory_nb.theory.pitch_name import PitchName

#: Usual spelling of a root whose name was not given, by pitch class, on the line of fifths.
ROOT_FIFTHS: Final = (0, -5, 2, -3, 4, -1, 6, 1, -4, 3, -2, 5)
_POSITIONS: Final = {1: "its root", 3: "its third", 5: "its fifth", 6: "its sixth", 7: "its seventh", 9: "its ninth"}


@dataclass(frozen=True, slots=True)
class ChordReading:
    """One way to name a set of notes.

    Attributes
    ----------
    chord : Chord
        The chord. Its bass is the lowest note, except where the root is left out.
    notes : tuple of PitchName or int
        What was given, each pitch class once, from the bass up; MIDI numbers as pitch classes.
    missing_degrees : tuple of str
        Degrees of the chord that are not among the notes.
    score : float
        From 0 to 1, the higher the better.
    context : tuple of str
        What the key, the bass player and the next chord say for it.
    """

    chord: Chord
    notes: tuple[PitchName | int, ...]
    missing_degrees: tuple[str, ...]
    score: float
    context: tuple[str, ...] = ()

    @property
    def missing(self) -> list[str]:
        """Names of the chord's tones that are not among the notes."""
        tones = {tone.degree: tone.name for tone in self.chord.tones}
        return [tones[degree] for degree in self.missing_degrees]

    @property
    def extra(self) -> list[str]:
        """Names of the notes that the chord does not have."""
        classes = self.chord.pitch_classes
        return [note_text(note) for note in self.notes if pitch_class_of(note) not in classes]

    @property
    def respelled(self) -> list[tuple[str, str]]:
        """Notes that the chord spells otherwise: as given, and as in the chord."""
        names = {name.pitch_class: name.name for name in self.chord.pitch_names}
        return [
            (note.name, names[note.pitch_class])
            for note in self.notes
            if isinstance(note, PitchName) and names.get(note.pitch_class, note.name) != note.name
        ]

    @property
    def is_rootless(self) -> bool:
        """Whether the root is not among the notes."""
        return "1" in self.missing_degrees

    @property
    def reason(self) -> str:
        """Why the notes may be called so, in one sentence."""
        chord = self.chord
        assert chord.root is not None
        assert chord.bass is not None
        words = f"{chord.root.name} {chord.words}" if chord.words != chord.suffix else chord.symbol
        said = [f"{words}: {self._position()}"]
        left_out = [tone.name for tone in chord.tones if tone.degree in self.missing_degrees and tone.degree != "1"]
        if left_out:
            optional = all(tone.optional for tone in chord.tones if tone.name in left_out)
            said.append(f"{listed(left_out)} left out{', as players may' if optional else ''}")
        said += [f"{given} read as {read}" for given, read in self.respelled]
        said += self.context
        return "; ".join(said)

    def _position(self) -> str:
        chord = self.chord
        if self.is_rootless:
            return f"{chord.root} itself is not played, as over a bass player"
        if chord.bass == chord.root:
            return "the root is in the bass"
        assert chord.root is not None
        assert chord.bass is not None
        above = (chord.bass.pitch_class - chord.root.pitch_class) % 12
        degree = next((degree for degree in chord.degrees if DEGREE_CLASS[degree] == above), None)
        if degree is None:
            return f"over {chord.bass}, which is no tone of it"
        number = int(degree.lstrip("b#"))
        return f"{_POSITIONS.get(number, f'its {degree}')} is in the bass"


def pitch_class_of(note: PitchName | int) -> int:
    """Pitch class of a name, or of a pitch class itself.

    Examples
    --------
    >>> pitch_class_of(PitchName("Eb")), pitch_class_of(3)
    (3, 3)
    """
    return note if isinstance(note, int) else note.pitch_class


def note_text(note: PitchName | int) -> str:
    """Name of a note; of a pitch class its usual one.

    Examples
    --------
    >>> note_text(PitchName("D#")), note_text(3)
    ('D#', 'Eb')
    """
    return NAMES_BY_FIFTHS[ROOT_FIFTHS[note]].name if isinstance(note, int) else note.name
