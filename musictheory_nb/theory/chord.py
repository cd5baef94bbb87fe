"""Chords (`Chord`): root, degrees and bass, read from a chord symbol, a Harte label or a MusicXML kind.

Conventions
-----------
Two chords are equal when they have the same root, degrees and bass, however they were written; which tones players
may leave out plays no part. The tones are the chord's degrees; a seventh in the bass of a triad is a tone too
(D/C sounds as the third inversion of D7), any other foreign bass note (Am7/D) is the bass alone.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Self

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord_degree import (
    DEGREE_CLASS,
    DEGREE_FIFTHS,
    DEGREE_PARTS,
    ChordParts,
    check_spellable,
    degree_between,
    degree_name,
    in_order,
    lowest_tone,
)
from musictheory_nb.theory.chord_quality import QUALITY_BY_DEGREES
from musictheory_nb.theory.chord_symbol import read_chord_symbol
from musictheory_nb.theory.chord_tone import Tone, chord_tones, seventh_in_bass
from musictheory_nb.theory.chord_voicing import close_position
from musictheory_nb.theory.chord_writing import chord_suffix, chord_symbol, printed_accidentals
from musictheory_nb.theory.harte import read_harte, write_harte
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.musicxml_kind import KindDegree, read_musicxml_kind, write_musicxml_kind
from musictheory_nb.theory.note_name import name_of
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.pitch_text import write_pitch

_set = object.__setattr__


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Chord:
    """A chord.

    Parameters
    ----------
    text : str or Chord
        A chord symbol (``"Bb13"``, ``"F♯ø7"``, ``"C/E"``, ``"D/C7"``, ``"N.C."``), or a Harte label with its colon
        (``"A:min7/b3"``).
    names : {'english', 'german', 'fixed do'}
        System of root and bass names in the text.
    two : {'add', 'sus'}
        Whether ``C2`` is a triad with an added 2 or Csus2.

    Attributes
    ----------
    root, bass : PitchName or None
        None where there is no chord (N.C.).
    degrees : tuple of str
        Degrees of the chord above its root, in order.

    Raises
    ------
    ChordError
        The text is no chord symbol.
    AmbiguousError
        It has several readings, which its `readings` list.

    Notes
    -----
    The grammar is set out in `chord_symbol` and `chord_suffix`.

    Examples
    --------
    >>> chord = Chord("G7alt")
    >>> [(tone.degree, tone.name, tone.optional) for tone in chord.tones[:4]]
    [('1', 'G', False), ('3', 'B', False), ('b7', 'F', False), ('b9', 'Ab', True)]
    >>> chord.symbol, chord.harte, Chord("C△9").symbol, Chord("D/C7").symbol
    ('G7alt', 'G:7(*5,b9,#9,#11,b13)', 'Cmaj9', 'C13#11')
    >>> Chord("Ebb5")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: chord 'Ebb5': may be Eb(b5) or Ebb(no3); write one of these
    """

    root: PitchName | None
    degrees: tuple[str, ...]
    bass: PitchName | None

    def __init__(self, text: "str | Chord", *, names: str = "english", two: str = "add") -> None:
        if type(text) is Chord:
            root, degrees, bass = text.root, text.degrees, text.bass
        elif isinstance(text, str) and ":" in text:
            root, degrees, bass = read_harte(text.strip())
        else:
            root, degrees, bass = read_chord_symbol(text, names=names, two=two)  # type: ignore[arg-type]
        _set(self, "root", root)
        _set(self, "degrees", degrees)
        _set(self, "bass", bass)

    # building from parts

    @classmethod
    def from_parts(cls, parts: ChordParts) -> Self:
        """Build from parts as the readers give them, without checking them again.

        Examples
        --------
        >>> Chord.from_parts(Chord("C7/E").parts) == Chord("C7/E")
        True
        """
        self = object.__new__(cls)
        _set(self, "root", parts.root)
        _set(self, "degrees", parts.degrees)
        _set(self, "bass", parts.bass)
        return self

    @classmethod
    def of(cls, root: PitchName | str, degrees: Iterable[str] | str, bass: PitchName | str | None = None) -> Self:
        """Build from root, degrees (a list, or one text such as ``"1 3 5 b7"``) and bass.

        Raises
        ------
        ChordError
            No degree, an unknown one, or one that cannot be spelled.
        PitchError
            `root` or `bass` is no pitch name.

        Examples
        --------
        >>> Chord.of("C", ["1", "3", "5", "b7", "#9"], bass="E")
        Chord('C7#9/E')
        >>> Chord.of("C", ["1", "third"])
        Traceback (most recent call last):
        musictheory_nb.errors.ChordError: degree 'third': write a number from 1 to 13 behind up to two # or b, such as 'b9'
        """
        name = PitchName(root)
        if isinstance(degrees, str):
            degrees = degrees.replace(",", " ").split()
        if not isinstance(degrees, Iterable):
            raise ChordError(f"degrees {degrees!r}: give them as a list or text, such as '1 3 5 b7'")
        given = tuple(degrees)
        for degree in given:
            degree_name(name, degree)
        if not given:
            raise ChordError(f"chord on {name.name!r}: needs at least one degree")
        ordered = in_order(given)
        return cls.from_parts(
            ChordParts(name, ordered, lowest_tone(name, ordered) if bass is None else PitchName(bass))
        )

    @classmethod
    def from_harte(cls, label: str) -> Self:
        """Read a Harte label; raises as `harte.read_harte` does.

        Examples
        --------
        >>> Chord.from_harte("A:min7/b3"), Chord.from_harte("N")
        (Chord('Am7/C'), Chord('N.C.'))
        """
        return cls.from_parts(read_harte(label))

    @classmethod
    def from_musicxml(
        cls,
        root: PitchName | str | None,
        kind: str,
        degrees: Iterable[tuple[int, int, str]] = (),
        bass: PitchName | str | None = None,
    ) -> Self:
        """Read a MusicXML kind with its degrees; raises as `musicxml_kind.read_musicxml_kind` does.

        Examples
        --------
        >>> Chord.from_musicxml("C", "dominant", [(9, -1, "add")], bass="E"), Chord.from_musicxml(None, "none")
        (Chord('C7b9/E'), Chord('N.C.'))
        """
        return cls.from_parts(
            read_musicxml_kind(
                None if root is None else PitchName(root), kind, degrees, None if bass is None else PitchName(bass)
            )
        )

    # what the chord is

    @property
    def parts(self) -> ChordParts:
        """Root, degrees and bass."""
        return ChordParts(self.root, self.degrees, self.bass)

    @property
    def is_no_chord(self) -> bool:
        """Whether the text said that there is no chord (N.C.)."""
        return self.root is None

    @property
    def tones(self) -> tuple[Tone, ...]:
        """Every tone of the chord in the order of its degrees; those that players may leave out are flagged.

        Examples
        --------
        >>> [tone.name for tone in Chord("F#m7b5").tones]
        ['F#', 'A', 'C', 'E']
        >>> [tone.degree for tone in Chord("C13").tones if tone.optional]
        ['5', '9', '11']
        """
        if self.root is None:
            return ()
        return chord_tones(self.parts)

    @property
    def names(self) -> tuple[str, ...]:
        """Names of all that sounds: a foreign bass note first, then the tones.

        Examples
        --------
        >>> Chord("Am7/D").names, Chord("C/E").names
        (('D', 'A', 'C', 'E', 'G'), ('C', 'E', 'G'))
        """
        tones = tuple(tone.name for tone in self.tones)
        if self.bass is None or self.bass.name in tones:
            return tones
        return (self.bass.name, *tones)

    @property
    def pitch_names(self) -> tuple[PitchName, ...]:
        """`names` as `PitchName`."""
        return tuple(PitchName(name) for name in self.names)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """Pitch classes 0 to 11 of all that sounds, the bass included."""
        if self.root is None or self.bass is None:
            return frozenset()
        base = self.root.pitch_class
        classes = {(base + DEGREE_CLASS[degree]) % 12 for degree in self.degrees}
        classes.add(self.bass.pitch_class)
        return frozenset(classes)

    @property
    def bass_degree(self) -> str:
        """Degree of the bass above the root; ``'1'`` in root position. Raises `ChordError` for N.C.

        Examples
        --------
        >>> Chord("C/E").bass_degree, Chord("Am7/D").bass_degree, Chord("C9/D").bass_degree
        ('3', '4', '9')
        """
        if self.root is None or self.bass is None:
            raise ChordError("chord 'N.C.': has no bass")
        distance = self.bass.fifths - self.root.fifths
        own = next((degree for degree in self.degrees if DEGREE_FIFTHS[degree] == distance), None)
        return own or degree_between(self.root, self.bass)

    @property
    def inversion(self) -> int | None:
        """0 in root position, 1 with the third or suspended tone in the bass, 2 with the fifth, 3 with sixth or seventh.

        None where the bass is no tone of the stack of thirds, and for N.C.

        Examples
        --------
        >>> [Chord(text).inversion for text in ("C", "C/E", "C/G", "C7/Bb", "D/C", "Am7/D")]
        [0, 1, 2, 3, 3, None]
        """
        if self.root is None:
            return None
        degree = self.bass_degree
        if degree not in self.degrees and not seventh_in_bass(self.parts):
            return None
        return {1: 0, 2: 1, 3: 1, 4: 1, 5: 2, 6: 3, 7: 3}.get(DEGREE_PARTS[degree][0])

    def has(self, note: PitchName | Pitch | str) -> bool:
        """Whether a note, as spelled, is a tone of the chord.

        Examples
        --------
        >>> Chord("C7").has("Bb"), Chord("C7").has("A#4")
        (True, False)
        """
        name = name_of(note)
        return any(tone.name == name.name for tone in self.tones)

    def degree_of(self, note: PitchName | Pitch | str) -> str:
        """Degree of a spelled note: that of the tone of the chord, else from 1 to 7.

        Raises
        ------
        ChordError
            There is no chord, or the note is more than two alterations from any degree.

        Examples
        --------
        >>> Chord("C13").degree_of("A4"), Chord("C7").degree_of("A4")
        ('13', '6')
        """
        if self.root is None:
            raise ChordError("chord 'N.C.': has no root to count degrees from")
        name = name_of(note)
        own = next((tone.degree for tone in self.tones if tone.name == name.name), None)
        return own or degree_between(self.root, name)

    # writing

    @property
    def symbol(self) -> str:
        """The chord symbol in one canonical chart spelling; it reads back to the same chord."""
        return chord_symbol(self.parts)

    @property
    def display(self) -> str:
        """The symbol with printed accidentals: ``'B♭7(♭9,♯11)'``; it reads back to the same chord.

        Examples
        --------
        >>> Chord("Bbmaj7#11/F").display, Chord("Gb7(b9,b13)").display
        ('B♭maj7♯11/F', 'G♭7(♭9,♭13)')
        """
        return printed_accidentals(self.symbol)

    @property
    def suffix(self) -> str:
        """What stands behind the root in `symbol`: ``'m7b5'``, and an empty text for a major triad or N.C."""
        return chord_suffix(self.degrees) if self.degrees else ""

    @property
    def words(self) -> str:
        """Name of the quality in words, such as ``'minor seventh'``; the suffix where it has no name.

        Examples
        --------
        >>> Chord("Cm7").words, Chord("C7(#9,b13)").words, Chord("N.C.").words
        ('minor seventh', 'dominant seventh with sharp ninth and flat thirteenth', 'no chord')
        """
        if not self.degrees:
            return "no chord"
        named = QUALITY_BY_DEGREES.get(self.degrees)
        return named.words if named else self.suffix

    @property
    def harte(self) -> str:
        """The chord as a Harte label; `Chord` reads it back to the same chord."""
        return write_harte(self.parts)

    @property
    def musicxml_kind(self) -> str:
        """MusicXML `kind` value; together with `musicxml_degrees` it reads back to the same chord.

        Examples
        --------
        >>> chord = Chord("Bb7#9")
        >>> chord.musicxml_kind, chord.musicxml_degrees
        ('dominant', (KindDegree(value=9, alter=1, type='add'),))
        >>> Chord.from_musicxml("Bb", chord.musicxml_kind, chord.musicxml_degrees) == chord
        True
        """
        return write_musicxml_kind(self.parts).kind

    @property
    def musicxml_degrees(self) -> tuple[KindDegree, ...]:
        """Added, altered and subtracted degrees that go with `musicxml_kind`."""
        return write_musicxml_kind(self.parts).degrees

    def spelled(self, names: str = "english", *, printed: bool = False) -> str:
        """The symbol with root and bass in a system of names; `Chord` with the same `names` reads it back.

        A polychord is written as the one chord that its tones make.

        Raises
        ------
        PitchError
            No such system.

        Examples
        --------
        >>> Chord("Bbm7/Eb").spelled("german"), Chord("B7").spelled("german"), Chord("F#7").spelled("fixed do")
        ('Bm7/Es', 'H7', 'Fa#7')
        >>> Chord("Ebm7b5/Gb").spelled("fixed do", printed=True)
        'Mi♭m7♭5/Sol♭'
        """
        if self.root is None or self.bass is None:
            return self.symbol
        root, bass = (write_pitch(name, names, printed=printed) for name in (self.root, self.bass))
        slash = "" if self.bass == lowest_tone(self.root, self.degrees) else f"/{bass}"
        return root + (printed_accidentals(self.suffix) if printed else self.suffix) + slash

    # moving and sounding

    def up(self, interval: Interval | str) -> "Chord":
        """The chord an interval higher.

        Raises
        ------
        IntervalError
            `interval` cannot be read.
        PitchError, ChordError
            A name would carry more than three accidentals.

        Examples
        --------
        >>> Chord("Cm7/Eb").up("M2"), Chord("C7").up("-m2")
        (Chord('Dm7/F'), Chord('B7'))
        """
        if self.root is None or self.bass is None:
            return self
        by = interval if isinstance(interval, Interval) else Interval(interval)
        root, bass = self.root.up(by), self.bass.up(by)
        check_spellable(root, self.degrees, root.name + self.suffix)
        return Chord.from_parts(ChordParts(root, self.degrees, bass))

    def down(self, interval: Interval | str) -> "Chord":
        """The chord an interval lower; raises as `up` does.

        Examples
        --------
        >>> Chord("C7").down("m2")
        Chord('B7')
        """
        return self.up(-(interval if isinstance(interval, Interval) else Interval(interval)))

    def over(self, bass: PitchName | str) -> "Chord":
        """The chord over another bass.

        Raises
        ------
        ChordError
            There is no chord.
        PitchError
            `bass` is no pitch name.

        Examples
        --------
        >>> Chord("C7").over("E")
        Chord('C7/E')
        """
        if self.root is None:
            raise ChordError("chord 'N.C.': has no bass to change")
        return Chord.from_parts(ChordParts(self.root, self.degrees, PitchName(bass)))

    def pitches(self, lowest: Pitch | str | int = 3, *, complete: bool = False) -> tuple[Pitch, ...]:
        """The chord in close position from its bass up, to be sounded or written out.

        Parameters
        ----------
        lowest : Pitch, str or int
            The bass is the first of its name from this pitch up; or the octave of the bass, 4 from middle C up.
        complete : bool
            Whether tones that players leave out as a rule (an 11 against a major third) are there too.

        Raises
        ------
        ChordError
            There is no chord.
        PitchError
            `lowest` is no pitch.

        Examples
        --------
        >>> [pitch.name for pitch in Chord("C13").pitches(3)]
        ['C3', 'E3', 'G3', 'Bb3', 'D4', 'A4']
        >>> [pitch.name for pitch in Chord("Am7/D").pitches("C2")]
        ['D2', 'A2', 'C3', 'E3', 'G3']
        """
        return close_position(self.parts, lowest, complete=complete)

    def __str__(self) -> str:
        return self.symbol

    def __repr__(self) -> str:
        return f"Chord({self.symbol!r})"
