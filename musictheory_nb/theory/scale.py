"""A scale on a tonic (`Scale`): its notes spelled, its degrees, its parent and its modes.

Conventions: a scale of seven notes takes each letter once; others are spelled by the degrees of the catalogue. The
parent of a mode is the scale that it is a mode of; a parent is its own first mode. Two scales are equal when tonic,
kind and spelling are, whichever of its names was used.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Self

from musictheory_nb.errors import ScaleError
from musictheory_nb.theory.note_name import name_of
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import HIGHEST_FIFTHS, LOWEST_FIFTHS
from musictheory_nb.theory.pitch_name import HasPitchClass, PitchName
from musictheory_nb.theory.scale_catalogue import ScaleType, mode_of
from musictheory_nb.theory.scale_degree import degree_fifths, display_degree, read_degree
from musictheory_nb.theory.scale_name import read_scale_name, read_scale_text
from musictheory_nb.theory.scale_note import pitch_above, plain_fifths

__all__ = ["Scale", "by_brightness"]

_set = object.__setattr__


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Scale:
    """A scale or mode on a tonic.

    Parameters
    ----------
    text : str or Scale
        Tonic and name, in any letter case: ``"C altered"``, ``"F# half-whole diminished"``, ``"Bb bebop dominant"``.
        Any name that the trade uses is read, also ``"5th mode of F harmonic minor"``.
    spelled_as_chord_tones : bool
        Spell and number the notes as tones of the chord that goes with the scale: the altered scale as
        1 b9 #9 3 #11 b13 b7 instead of one letter a degree.

    Raises
    ------
    ScaleError
        No such scale, no tonic, an octave number, or a tonic so far out that a note would need four accidentals.
    AmbiguousError
        The name means more than one scale (``"C diminished"``); ``.readings`` lists them.

    Notes
    -----
    The catalogue, ``scale_catalogue.tsv``, names where each scale is taught. ``melodic minor`` is the scale whose modes
    jazz uses; `descending_names` gives the classical way down. ``jazz minor`` is the same up and down.

    Examples
    --------
    >>> s = Scale("C altered")
    >>> s.names
    ['C', 'Db', 'Eb', 'Fb', 'Gb', 'Ab', 'Bb']
    >>> s.degrees
    ['1', 'b2', 'b3', 'b4', 'b5', 'b6', 'b7']
    >>> s.parent, s.mode_number, s.other_names[0]
    (Scale('Db melodic minor'), 7, 'super-Locrian')
    >>> Scale("C altered", spelled_as_chord_tones=True).names
    ['C', 'Db', 'D#', 'E', 'F#', 'Ab', 'Bb']
    >>> Scale("C diminished")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: scale 'C diminished': can be C half-whole diminished or C whole-half \
diminished; write which
    """

    tonic: PitchName
    type: ScaleType
    spelled_as_chord_tones: bool
    #: The name that was used, without the tonic.
    called: str = field(compare=False)

    def __init__(self, text: "str | Scale", *, spelled_as_chord_tones: bool = False) -> None:
        if isinstance(text, Scale):
            tonic, kind, called = text.tonic, text.type, text.called
        else:
            tonic, kind, called = read_scale_text(text)
        self._fill(tonic, kind, called, spelled_as_chord_tones)

    def _fill(self, tonic: PitchName, kind: ScaleType, called: str, as_chord_tones: bool) -> None:
        place = tonic.fifths
        low, high = kind.reach
        if as_chord_tones:
            chord_fifths = [degree_fifths(degree) for degree in kind.as_chord_tones()]
            low, high = min(low, *chord_fifths), max(high, *chord_fifths)
        if place + low < LOWEST_FIFTHS or place + high > HIGHEST_FIFTHS:
            nearer = PitchName.from_fifths(plain_fifths(place))
            raise ScaleError(
                f"scale '{tonic.name} {called}': a note would need four accidentals; write '{nearer.name} {called}'"
            )
        _set(self, "tonic", tonic)
        _set(self, "type", kind)
        _set(self, "called", called)
        _set(self, "spelled_as_chord_tones", as_chord_tones)

    @classmethod
    def of(
        cls,
        tonic: PitchName | str,
        kind: ScaleType | str,
        *,
        called: str | None = None,
        spelled_as_chord_tones: bool = False,
    ) -> Self:
        """Build from a tonic and a kind of scale.

        Parameters
        ----------
        tonic : PitchName or str
            Without octave.
        kind : ScaleType or str
            A kind, or any name that `read_scale_name` reads.
        called : str, optional
            Which of its names to show; the kind's own if not given.
        spelled_as_chord_tones : bool
            As for `Scale`.

        Raises
        ------
        ScaleError, AmbiguousError, PitchError
            As for `Scale`.

        Examples
        --------
        >>> Scale.of(PitchName("F#"), "super locrian")
        Scale('F# super-Locrian')
        >>> Scale.of("C4", "Lydian")
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: pitch name 'C4': has an octave number; write PitchName('C'), or Pitch('C4')
        """
        name = tonic if isinstance(tonic, PitchName) else PitchName(tonic)
        kind, read_as = read_scale_name(kind, name.name) if isinstance(kind, str) else (kind, kind.name)
        self = object.__new__(cls)
        self._fill(name, kind, called or read_as, spelled_as_chord_tones)
        return self

    @property
    def name(self) -> str:
        """Tonic and name, such as ``'C super-Locrian'``, as it was called; `Scale` reads it back."""
        return f"{self.tonic.name} {self.called}"

    @property
    def display(self) -> str:
        """Name with printed accidentals, such as ``'B♭ Lydian ♭7'``; `Scale` reads it back."""
        called = re.sub(r"(?:##?|bb?)(?=\d)", lambda match: display_degree(match[0]), self.called)
        return f"{self.tonic.display} {called}"

    @property
    def other_names(self) -> list[str]:
        """The trade's other names, without the tonic.

        Examples
        --------
        >>> Scale("C Lydian dominant").other_names
        ['Lydian b7', 'overtone', 'acoustic', 'Mixolydian #4', 'Mixolydian #11']
        >>> Scale("C acoustic").other_names[0]
        'Lydian dominant'
        """
        return [name for name in self.type.names if name != self.called]

    @property
    def family(self) -> str:
        """Family of modes, or the kind of its build, such as ``'melodic minor'`` or ``'symmetric'``."""
        return self.type.family

    @property
    def degrees(self) -> list[str]:
        """Degrees measured from the major scale on the tonic, or as chord tones if spelled so."""
        return list(self._degrees())

    def _degrees(self) -> tuple[str, ...]:
        return self.type.as_chord_tones() if self.spelled_as_chord_tones else self.type.degrees

    def _fifths(self) -> tuple[int, ...]:
        if not self.spelled_as_chord_tones:
            return self.type.fifths
        return tuple(degree_fifths(degree) for degree in self._degrees())

    @property
    def pitch_names(self) -> tuple[PitchName, ...]:
        """Notes from the tonic up to the one below the octave."""
        place = self.tonic.fifths
        return tuple(PitchName.from_fifths(place + fifths) for fifths in self._fifths())

    @property
    def names(self) -> list[str]:
        """Names of the notes from the tonic up to the one below the octave."""
        return [name.name for name in self.pitch_names]

    @property
    def plain_names(self) -> list[str]:
        """Names of the notes with every double accidental respelled, as players read symmetric and far-off scales.

        Examples
        --------
        >>> Scale("F# half-whole diminished").names[:4], Scale("F# half-whole diminished").plain_names[:4]
        (['F#', 'G', 'G##', 'A#'], ['F#', 'G', 'A', 'A#'])
        """
        return [PitchName.from_fifths(plain_fifths(name.fifths)).name for name in self.pitch_names]

    @property
    def descending_names(self) -> list[str]:
        """Names of the notes on the way down, from the tonic to the note above the lower tonic.

        Examples
        --------
        >>> Scale("C melodic minor").descending_names
        ['C', 'Bb', 'Ab', 'G', 'F', 'Eb', 'D']
        >>> Scale("C jazz minor").descending_names
        ['C', 'B', 'A', 'G', 'F', 'Eb', 'D']
        """
        return [name.name for name in self._descending()]

    def _descending(self) -> tuple[PitchName, ...]:
        place = self.tonic.fifths
        down = self.type.descending or self._degrees()
        names = [PitchName.from_fifths(place + degree_fifths(degree)) for degree in down]
        return (names[0], *reversed(names[1:]))

    @property
    def pitch_classes(self) -> list[int]:
        """Pitch classes of the notes, from the tonic up."""
        tonic = self.tonic.pitch_class
        return [(tonic + semitone) % 12 for semitone in self.type.semitones]

    @property
    def steps(self) -> list[int]:
        """Semitones from each note to the next, the last one to the octave.

        Examples
        --------
        >>> Scale("C harmonic minor").steps
        [2, 1, 2, 2, 1, 3, 1]
        """
        return list(self.type.steps)

    @property
    def brightness(self) -> int:
        """Semitones by which its degrees lie above those of the major scale, all added up.

        Notes
        -----
        Orders the modes from Lydian (1) over Ionian (0) to Locrian (-5). Source: V. Persichetti, Twentieth-Century
        Harmony (1961), modes by number of flats (from memory).

        Examples
        --------
        >>> [Scale(f"C {mode}").brightness for mode in ("Lydian", "Ionian", "Dorian", "Locrian")]
        [1, 0, -2, -5]
        """
        return sum(read_degree(degree)[1] for degree in self.type.degrees)

    @property
    def mode_number(self) -> int:
        """On which note of its parent it begins, 1 for the parent itself."""
        return self.type.mode

    @property
    def parent(self) -> "Scale":
        """The scale that it is a mode of; a parent is its own.

        Raises
        ------
        ScaleError
            The parent's tonic would lie so far out that a note needs four accidentals.

        Examples
        --------
        >>> Scale("D Dorian").parent, Scale("C Phrygian dominant").parent, Scale("C major").parent
        (Scale('C major'), Scale('F harmonic minor'), Scale('C major'))
        """
        if self.mode_number == 1:
            return Scale.of(self.tonic, self.type, called=self.called)
        parent, _ = read_scale_name(self.type.parent)
        place = self.tonic.fifths - parent.fifths[self.mode_number - 1]
        if len(parent.degrees) != 7:  # not one letter a degree: the plainer spelling
            place = plain_fifths(place)
        return Scale.of(PitchName.from_fifths(place), parent, called=self.type.parent)

    @property
    def modes(self) -> list["Scale"]:
        """The modes of its parent in order, the parent first: this scale is ``modes[mode_number - 1]``.

        Examples
        --------
        >>> [mode.name for mode in Scale("C melodic minor").modes[:4]]
        ['C melodic minor', 'D Dorian b2', 'Eb Lydian augmented', 'F Lydian dominant']
        """
        parent = self.parent
        names = parent.pitch_names
        if len(names) != 7:
            names = tuple(PitchName.from_fifths(plain_fifths(name.fifths)) for name in names)
        return [parent, *(Scale.of(names[i], mode_of(parent.type, i + 1)) for i in range(1, len(names)))]

    def pitches(self, octave: int = 4, *, descending: bool = False) -> list[Pitch]:
        """Notes for sounding, from the tonic to the tonic an octave above, or from there down.

        Parameters
        ----------
        octave : int
            Octave number of the lower tonic.
        descending : bool
            From the upper tonic down, in the descending form.

        Raises
        ------
        PitchError
            `octave` is no whole number.

        Examples
        --------
        >>> " ".join(p.name for p in Scale("A melodic minor").pitches(3))
        'A3 B3 C4 D4 E4 F#4 G#4 A4'
        >>> " ".join(p.name for p in Scale("A melodic minor").pitches(3, descending=True))
        'A4 G4 F4 E4 D4 C4 B3 A3'
        """
        low = Pitch.from_name(self.tonic, octave)
        names = reversed(self._descending()[1:]) if descending else self.pitch_names[1:]
        rising = [low, *(pitch_above(low, name) for name in names), Pitch.from_name(self.tonic, octave + 1)]
        return rising[::-1] if descending else rising

    def degree_of(self, note: "PitchName | Pitch | str") -> str:
        """Degree of a note of the scale, by its spelling, else by its sound.

        Raises
        ------
        ScaleError
            The scale does not hold the note.

        Examples
        --------
        >>> Scale("C altered").degree_of("Fb"), Scale("C altered").degree_of("E4")
        ('b4', 'b4')
        >>> Scale("C altered").degree_of("D")
        Traceback (most recent call last):
        musictheory_nb.errors.ScaleError: note 'D': not in C altered, which has C Db Eb Fb Gb Ab Bb
        """
        name = name_of(note)
        names = self.pitch_names
        if name in names:
            return self._degrees()[names.index(name)]
        classes = self.pitch_classes
        if name.pitch_class in classes:
            return self._degrees()[classes.index(name.pitch_class)]
        raise ScaleError(f"note {name.name!r}: not in {self.name}, which has {' '.join(self.names)}")

    def holds(self, note: "HasPitchClass | str") -> bool:
        """Whether the scale has a note of that sound, however it is spelled.

        Examples
        --------
        >>> Scale("C altered").holds("E"), Scale("C altered").holds("D")
        (True, False)
        """
        sound = note.pitch_class if hasattr(note, "pitch_class") else name_of(note).pitch_class
        return sound in self.pitch_classes

    def on(self, tonic: PitchName | str) -> "Scale":
        """Same kind of scale on another tonic.

        Raises
        ------
        PitchError, ScaleError
            `tonic` cannot be read, or lies too far out.

        Examples
        --------
        >>> Scale("C altered").on("G").names
        ['G', 'Ab', 'Bb', 'Cb', 'Db', 'Eb', 'F']
        """
        return Scale.of(tonic, self.type, called=self.called, spelled_as_chord_tones=self.spelled_as_chord_tones)

    def is_enharmonic_to(self, other: "Scale | str") -> bool:
        """Whether both sound alike from the tonic up, however they are spelled.

        Examples
        --------
        >>> Scale("C# major").is_enharmonic_to(Scale("Db major")), Scale("C major").is_enharmonic_to(Scale("A Aeolian"))
        (True, False)
        """
        return self.pitch_classes == Scale(other).pitch_classes

    def __len__(self) -> int:
        return len(self.type.degrees)

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        option = ", spelled_as_chord_tones=True" if self.spelled_as_chord_tones else ""
        return f"Scale({self.name!r}{option})"


def by_brightness(scales: Iterable[Scale | str]) -> list[Scale]:
    """Sort scales from the brightest to the darkest; see `Scale.brightness`.

    Raises
    ------
    ScaleError
        One of them is no scale.

    Examples
    --------
    >>> [scale.called for scale in by_brightness(Scale("C major").modes)]
    ['Lydian', 'major', 'Mixolydian', 'Dorian', 'Aeolian', 'Phrygian', 'Locrian']
    """
    if isinstance(scales, str | bytes) or not isinstance(scales, Iterable):
        raise ScaleError(f"scales {scales!r}: give several scales, such as Scale('C major').modes")
    return sorted(map(Scale, scales), key=lambda scale: -scale.brightness)
