"""Keys: tonic and mode, scale degrees, solfège, signatures, and related keys.

A degree is a number with accidentals before it (``'#7'``). What an unaltered number stands for is a convention on
which teachers differ; it is a setting (`key_degree.DEGREE_CONVENTIONS`).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Self

from musictheory_nb.errors import KeyNameError, PitchError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key_degree import (
    DEGREE_NAMES,
    check_degree_convention,
    read_key_degree,
    signature_alter,
    write_key_degree,
)
from musictheory_nb.theory.key_mode import KEY_MODES, KeyMode, read_mode
from musictheory_nb.theory.key_text import read_key_text
from musictheory_nb.theory.note_name import name_of, spelling_of
from musictheory_nb.theory.note_stack import Note
from musictheory_nb.theory.pitch import Pitch, PitchName
from musictheory_nb.theory.pitch_grammar import HIGHEST_FIFTHS, LOWEST_FIFTHS, STEP_INDEX, STEPS
from musictheory_nb.theory.pitch_text import write_pitch
from musictheory_nb.theory.roman_analysis import roman_of
from musictheory_nb.theory.roman_numeral import Roman
from musictheory_nb.theory.solfege import check_solfege_system, fixed_syllable, read_syllable, syllable

#: Most accidentals of a signature in use.
_MOST_SIGNATURE: Final = 7
#: Modes whose sixth and seventh degrees other forms of the minor scale raise.
_MINORS: Final = ("minor", "harmonic minor", "melodic minor")


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Key:
    """A key: a tonic and a mode.

    Parameters
    ----------
    text : str or Key
        Such as ``"A minor"``, ``"Am"``, ``"a"``, ``"C"``, ``"F# dorian"``, ``"B-flat major"``. A tonic alone is major
        with a capital letter and minor with a small one.
    names : {'english', 'german', 'fixed do'}
        System of pitch names in the text: ``Key("h-Moll", names="german")``.

    Attributes
    ----------
    tonic : PitchName
        The first note of its scale.
    mode : str
        A name of `key_mode.KEY_MODES`.

    Raises
    ------
    KeyNameError
        The text is no key.

    Examples
    --------
    >>> k = Key("A minor")
    >>> k.degree("G#4"), k.degree("G#4", convention="major"), k.solfege("G#4"), k.fifths
    ('#7', '7', 'ti', 0)
    >>> Key("h-Moll", names="german"), Key("Es-Dur", names="german"), Key("la mineur", names="fixed do")
    (Key('B minor'), Key('Eb major'), Key('A minor'))
    >>> Key("F# dorian").names
    ['F#', 'G#', 'A', 'B', 'C#', 'D#', 'E']
    >>> Key("Q major")
    Traceback (most recent call last):
    musictheory_nb.errors.KeyNameError: key 'Q major': write tonic and mode, such as 'C major', 'A minor' or 'F# dorian'
    """

    tonic: PitchName
    mode: str

    def __init__(self, text: "str | Key", *, names: str = "english") -> None:
        if isinstance(text, Key):
            tonic, mode = text.tonic, text.mode
        else:
            tonic, read = read_key_text(text, names)
            mode = read.name
            _check_scale(tonic, read)
        object.__setattr__(self, "tonic", tonic)
        object.__setattr__(self, "mode", mode)

    @classmethod
    def of(cls, tonic: PitchName | str, mode: str = "major") -> Self:
        """Build from tonic and mode.

        Raises
        ------
        KeyNameError
            No such mode, or its scale would need more than three accidentals on a note.

        Examples
        --------
        >>> Key.of("Eb", "minor")
        Key('Eb minor')
        >>> Key.of("B###", "lydian")
        Traceback (most recent call last):
        musictheory_nb.errors.KeyNameError: key 'B### lydian': its scale needs more than three accidentals on a note
        """
        note, read = PitchName(tonic), read_mode(mode)
        _check_scale(note, read)
        self = object.__new__(cls)
        object.__setattr__(self, "tonic", note)
        object.__setattr__(self, "mode", read.name)
        return self

    @classmethod
    def read(cls, text: str, names: str = "english") -> Self:
        """Read a key in a system of pitch names; ``Key(text, names=...)`` does the same.

        Raises
        ------
        KeyNameError, PitchError
            The text is no key, or there is no such system.

        Examples
        --------
        >>> Key.read("h-Moll", "german"), Key.read("Es-Dur", "german"), Key.read("la mineur", "fixed do")
        (Key('B minor'), Key('Eb major'), Key('A minor'))
        """
        return cls(text, names=names)

    @classmethod
    def from_fifths(cls, fifths: int, mode: str = "major") -> Self:
        """Key of a signature: sharps positive, flats negative.

        Raises
        ------
        KeyNameError
            No such mode, or no such key.

        Examples
        --------
        >>> Key.from_fifths(-3), Key.from_fifths(4, "minor")
        (Key('Eb major'), Key('C# minor'))
        """
        if not isinstance(fifths, int):
            raise KeyNameError(f"fifths {fifths!r}: must be a whole number, sharps positive, flats negative")
        try:
            tonic = PitchName.from_fifths(fifths - read_mode(mode).signature_shift)
        except PitchError as error:
            raise KeyNameError(f"fifths {fifths!r}: no {mode} key has that signature") from error
        return cls.of(tonic, mode)

    @property
    def _mode(self) -> KeyMode:
        return KEY_MODES[self.mode]

    @property
    def name(self) -> str:
        """ASCII name, such as ``'Eb minor'``; `Key` reads it back."""
        return f"{self.tonic.name} {self.mode}"

    @property
    def display(self) -> str:
        """Name with printed accidentals, such as ``'E♭ minor'``; `Key` reads it back."""
        return f"{self.tonic.display} {self.mode}"

    def text(self, names: str = "english") -> str:
        """Name in a system of pitch names; in German with Dur and Moll.

        Raises
        ------
        PitchError
            No such system.

        Examples
        --------
        >>> Key("Bb minor").text("german"), Key("B major").text("german"), Key("F# dorian").text("fixed do")
        ('b-Moll', 'H-Dur', 'Fa# dorian')
        """
        tonic = write_pitch(self.tonic, names)
        if names != "german":
            return f"{tonic} {self.mode}"
        if self.mode in ("major", "minor"):
            return f"{tonic}-Dur" if self.mode == "major" else f"{tonic.lower()}-Moll"
        return f"{tonic} {self.mode}"

    @property
    def is_minor(self) -> bool:
        """Whether its third is minor."""
        return self._mode.is_minor

    @property
    def fifths(self) -> int:
        """Key signature: sharps positive, flats negative. Beyond 7 in theory only."""
        return self.tonic.fifths + self._mode.signature_shift

    @property
    def signature(self) -> list[str]:
        """Altered notes of its key signature, in the order in which they are written.

        Examples
        --------
        >>> Key("Eb major").signature, Key("E major").signature, Key("G# major").signature[-2:]
        (['Bb', 'Eb', 'Ab'], ['F#', 'C#', 'G#', 'D#'], ['B#', 'F##'])
        """
        order = [PitchName.from_fifths(place) for place in range(self.fifths - 1, self.fifths + 6)]
        altered = [note.name for note in order if note.alter]
        return altered if self.fifths > 0 else altered[::-1]

    @property
    def pitch_names(self) -> tuple[PitchName, ...]:
        """Notes of its scale from the tonic up (melodic minor: ascending form)."""
        first = STEP_INDEX[self.tonic.step]
        fifths, raised = self.fifths, self._mode.raised
        return tuple(
            PitchName.of(step, signature_alter(step, fifths) + (degree in raised))
            for degree, step in enumerate(STEPS[first:] + STEPS[:first], start=1)
        )

    @property
    def names(self) -> list[str]:
        """Names of the notes of its scale from the tonic up.

        Examples
        --------
        >>> Key("Ab major").names, Key("A harmonic minor").names[-1]
        (['Ab', 'Bb', 'C', 'Db', 'Eb', 'F', 'G'], 'G#')
        """
        return [note.name for note in self.pitch_names]

    def __contains__(self, note: PitchName | Pitch | str) -> bool:
        """Whether a note, as it is spelled, belongs to the scale."""
        return name_of(note) in self.pitch_names

    def _plain_alter(self, step: str, place: int, convention: str) -> int:
        """Alteration that the unaltered number of a letter, 0-6 places above the tonic, stands for."""
        check_degree_convention(convention)
        if convention == "major":
            return signature_alter(step, self.tonic.fifths)
        raised = self._mode.raised
        if convention != "key" and self.mode in _MINORS:
            raised = KEY_MODES[f"{convention} minor"].raised
        return signature_alter(step, self.fifths) + (place + 1 in raised)

    def degree(self, note: PitchName | Pitch | str, convention: str = "key") -> str:
        """Scale degree of a note, accidentals before the number.

        Parameters
        ----------
        note : PitchName, Pitch or str
            A note with or without octave.
        convention : {'key', 'harmonic', 'melodic', 'major'}
            What an unaltered number stands for; `key_degree.DEGREE_CONVENTIONS` says what each means.

        Raises
        ------
        PitchError
            The note cannot be read.
        KeyNameError
            No such convention.

        Examples
        --------
        >>> k = Key("A minor")
        >>> [k.degree(n) for n in ("A", "C", "G", "G#", "Bb")]
        ['1', '3', '7', '#7', 'b2']
        >>> [k.degree("G#", convention=c) for c in ("key", "harmonic", "melodic", "major")]
        ['#7', '7', '7', '7']
        >>> k.degree("G#", convention="jazz")
        Traceback (most recent call last):
        musictheory_nb.errors.KeyNameError: convention 'jazz': must be one of 'key', 'harmonic', 'melodic', 'major'
        """
        step, alter = spelling_of(note)
        place = (STEP_INDEX[step] - STEP_INDEX[self.tonic.step]) % 7
        return write_key_degree(place + 1, alter - self._plain_alter(step, place, convention))

    def note(self, degree: str | int, convention: str = "key") -> PitchName:
        """Note of a scale degree: the way back from `degree`.

        Raises
        ------
        KeyNameError
            The text is no degree, or there is no such convention.
        PitchError
            The note would need more than three accidentals.

        Examples
        --------
        >>> Key("A minor").note("#7"), Key("C major").note("b6"), Key("C major").note(5)
        (PitchName('G#'), PitchName('Ab'), PitchName('G'))
        >>> Key("C major").note("9")
        Traceback (most recent call last):
        musictheory_nb.errors.KeyNameError: degree '9': write accidentals then a number from 1 to 7, such as 'b3'
        """
        number, alter = read_key_degree(degree)
        step = STEPS[(STEP_INDEX[self.tonic.step] + number - 1) % 7]
        return PitchName.of(step, self._plain_alter(step, number - 1, convention) + alter)

    def degree_name(self, note: PitchName | Pitch | str) -> str:
        """Name of the degree of a diatonic note, such as ``'dominant'``.

        The seventh is the leading tone a half step below the tonic, the subtonic a whole step below. In minor the raised
        seventh is read as the leading tone.

        Raises
        ------
        PitchError
            The note is not diatonic in the key.

        Examples
        --------
        >>> k = Key("A minor")
        >>> k.degree_name("E"), k.degree_name("G"), k.degree_name("G#")
        ('dominant', 'subtonic', 'leading tone')
        >>> k.degree_name("C#")
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: note 'C#': is not diatonic in A minor (degree #3)
        """
        degree = self.degree(note)
        above = Interval.between(name_of(note), self.tonic)
        if degree[-1] == "7" and above.number == 2 and (degree == "7" or self.is_minor):
            if above.quality == "m":
                return "leading tone"
            if above.quality == "M":
                return "subtonic"
        if len(degree) > 1:
            raise PitchError(f"note {str(note)!r}: is not diatonic in {self.name} (degree {degree})")
        return DEGREE_NAMES[int(degree) - 1]

    def solfege(self, note: PitchName | Pitch | str, system: str = "do") -> str:
        """Solfège syllable of a note.

        Parameters
        ----------
        system : {'do', 'la', 'fixed', 'fixed chromatic'}
            `solfege.SOLFEGE_SYSTEMS` says what each means.

        Raises
        ------
        PitchError
            The note cannot be read or has no syllable in that system, or there is no such system.

        Examples
        --------
        >>> k = Key("A minor")
        >>> [k.solfege(n) for n in k.names], [k.solfege(n, "la") for n in k.names]
        (['do', 're', 'me', 'fa', 'sol', 'le', 'te'], ['la', 'ti', 'do', 're', 'mi', 'fa', 'sol'])
        >>> k.solfege("G#"), k.solfege("G#", "la"), k.solfege("G#", "fixed"), k.solfege("G#", "fixed chromatic")
        ('ti', 'si', 'sol', 'si')
        >>> Key("C major").solfege("E#")
        Traceback (most recent call last):
        musictheory_nb.errors.PitchError: degree '#3': has no syllable of its own; it sounds as fa
        """
        check_solfege_system(system)
        if system.startswith("fixed"):
            return fixed_syllable(name_of(note), chromatic=system == "fixed chromatic")
        return syllable(*read_key_degree(self._do_key(system).degree(note)))

    def note_of_syllable(self, text: str, system: str = "do") -> PitchName:
        """Note of a movable-do syllable: the way back from `solfege`.

        Raises
        ------
        PitchError
            No such syllable, or a system other than 'do' and 'la'.

        Examples
        --------
        >>> Key("A minor").note_of_syllable("me"), Key("A minor").note_of_syllable("si", "la")
        (PitchName('C'), PitchName('G#'))
        """
        check_solfege_system(system)
        if system.startswith("fixed"):
            raise PitchError(f"system {system!r}: only movable-do syllables depend on a key; use 'do' or 'la'")
        degree, alter = read_syllable(text)
        plain = self._do_key(system).pitch_names[degree - 1]
        return PitchName.of(plain.step, plain.alter + alter)

    def _do_key(self, system: str) -> "Key":
        """Major key whose tonic is do."""
        return Key.of(self.tonic, "major") if system == "do" else Key.from_fifths(self.fifths, "major")

    def roman(
        self, chord: Chord | str | Iterable[Note], following: Chord | str | Iterable[Note] | None = None
    ) -> Roman:
        """Usual Roman numeral of a chord in this key; `roman_analysis.roman_of` says how it is found and what it raises.

        Parameters
        ----------
        chord : Chord, str or iterable of Pitch, PitchName or str
            A chord, its symbol, or its notes, bass first.
        following : Chord, str or iterable of notes, optional
            The next chord, which decides where a chord has several usual numerals.

        Examples
        --------
        >>> k = Key("A minor")
        >>> k.roman("E7/G#").figure, k.roman("G").figure, k.roman(["A", "C#", "E", "G"]).figure
        ('V65', 'VII', 'V7/iv')
        >>> Key("C major").roman("N.C.")
        Traceback (most recent call last):
        musictheory_nb.errors.RomanNumeralError: chord 'N.C.': has no Roman numeral
        """
        return roman_of(chord, self, following)

    @property
    def relative(self) -> "Key":
        """Key of the same signature in the other gender: minor for major, major for minor; for a mode, the major key.

        Examples
        --------
        >>> Key("C major").relative, Key("F# minor").relative, Key("D dorian").relative
        (Key('A minor'), Key('A major'), Key('C major'))
        """
        return Key.from_fifths(self.fifths, "minor" if self.mode in ("major", "ionian") else "major")

    @property
    def parallel(self) -> "Key":
        """Key on the same tonic in the other gender: minor where the third is major, major where it is minor.

        Examples
        --------
        >>> Key("C major").parallel, Key("Eb minor").parallel
        (Key('C minor'), Key('Eb major'))
        """
        return Key.of(self.tonic, "major" if self.is_minor else "minor")

    @property
    def dominant(self) -> "Key":
        """Key of the same mode a fifth above."""
        return Key.of(self.tonic.up("P5"), self.mode)

    @property
    def subdominant(self) -> "Key":
        """Key of the same mode a fifth below."""
        return Key.of(self.tonic.down("P5"), self.mode)

    @property
    def closely_related(self) -> tuple["Key", ...]:
        """Five keys whose signatures differ by at most one accidental: relative, dominant, its relative, subdominant, its.

        Raises `KeyNameError` for a mode other than major and minor.

        Examples
        --------
        >>> [k.name for k in Key("C major").closely_related]
        ['A minor', 'G major', 'E minor', 'F major', 'D minor']
        >>> Key("D dorian").closely_related
        Traceback (most recent call last):
        musictheory_nb.errors.KeyNameError: key 'D dorian': closely related keys are told of major and minor keys only
        """
        if self.mode not in ("major", "minor"):
            raise KeyNameError(f"key {self.name!r}: closely related keys are told of major and minor keys only")
        above, below = self.dominant, self.subdominant
        return self.relative, above, above.relative, below, below.relative

    @property
    def enharmonic_keys(self) -> tuple["Key", ...]:
        """Keys that sound alike under another spelling, with at most seven accidentals in the signature.

        Examples
        --------
        >>> Key("F# major").enharmonic_keys, Key("G# major").enharmonic_keys, Key("C major").enharmonic_keys
        ((Key('Gb major'),), (Key('Ab major'),), ())
        """
        others = (fifths for fifths in range(-_MOST_SIGNATURE, _MOST_SIGNATURE + 1) if (fifths - self.fifths) % 12 == 0)
        return tuple(Key.from_fifths(fifths, self.mode) for fifths in others if fifths != self.fifths)

    def __str__(self) -> str:
        return self.name

    def __repr__(self) -> str:
        return f"Key({self.name!r})"


def _check_scale(tonic: PitchName, mode: KeyMode) -> None:
    """Raise unless every note of the scale can be written."""
    fifths = tonic.fifths + mode.signature_shift
    highest = fifths + 5 if not mode.raised else tonic.fifths + 5
    if fifths - 1 < LOWEST_FIFTHS or max(highest, fifths + 5) > HIGHEST_FIFTHS:
        name = f"{tonic.name} {mode.name}"
        raise KeyNameError(f"key {name!r}: its scale needs more than three accidentals on a note")
