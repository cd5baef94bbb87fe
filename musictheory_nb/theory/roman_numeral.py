"""Roman numerals (`Roman`): a chord as it stands in a key.

Conventions
-----------
By default as in a North-American college course: capitals for major, small letters for minor chords, figured bass for
inversions, VI and VII for the major chords of minor keys, vii°7/ii for a chord applied to another. Each convention on
which teachers differ is a setting (`roman_setting.ROMAN_SETTINGS`); what the figures mean is told in `roman_chord`,
the grammar in `roman_text`. Whatever a numeral says, it reads back to the same notes.
"""

import re
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Final, Self

from musictheory_nb.errors import RomanNumeralError
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.chord_degree import ChordParts
from musictheory_nb.theory.harmonic_function import function_name
from musictheory_nb.theory.interval import Interval
from musictheory_nb.theory.key_degree import write_key_degree
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.pitch_grammar import STEP_INDEX
from musictheory_nb.theory.pitch_name import PitchName
from musictheory_nb.theory.roman_chord import roman_chord
from musictheory_nb.theory.roman_key import KeyGiven, RomanKey, read_roman_key
from musictheory_nb.theory.roman_setting import DEFAULT_SETTINGS, RomanSettings, roman_settings
from musictheory_nb.theory.roman_text import RomanText, read_roman_text
from musictheory_nb.theory.roman_writing import write_numeral

#: What kinds of numeral there are: chords with the same notes may be of different kinds.
ROMAN_KINDS: Final = MappingProxyType(
    {
        "plain": "a chord on a degree",
        "augmented sixth": "It6, Fr43, Ger65 or Sw43, in any position",
        "cadential": "a six-four of the tonic that delays the dominant",
        "substitute": "a dominant seventh a tritone away from the dominant that it stands for",
    }
)
_KIND_BY_NAME: Final = MappingProxyType(
    {"": "plain", "N": "plain", "Cad": "cadential", "sub": "substitute"}
    | dict.fromkeys(("It", "Fr", "Ger", "Sw"), "augmented sixth")
)
#: Triads to which chords are applied.
_TARGETS: Final = frozenset({("1", "3", "5"), ("1", "b3", "5"), ("1", "b3", "b5"), ("1", "3", "#5")})
#: A b that is a flat: before a numeral, a number or another flat, but not that of "sub".
_FLAT: Final = re.compile(r"(?<!su)b(?=[b0-9IViv])")
_set = object.__setattr__


def _printed(text: str) -> str:
    return _FLAT.sub("♭", text).replace("#", "♯")


@dataclass(frozen=True, slots=True, init=False, repr=False)
class Roman:
    """A Roman numeral in a key.

    Two are equal when they are in the same key and say the same of the same chord: V7/V and II7 are different numerals
    of one chord, N6 and bII6 are the same.

    Parameters
    ----------
    figure : str or Roman
        Such as ``"V65/V"``, ``"bVII"``, ``"Ger65"``, ``"ii-7"``, ``"vii°7/ii"``.
    key : Key or str
        The key, such as ``"C major"``.
    **settings : str
        Conventions under which `figure` is read: `numerals`, `degrees`, `ring`. See `roman_setting.ROMAN_SETTINGS`.

    Attributes
    ----------
    figure : str
        The numeral in the default conventions.
    key : str
        Name of the key, which `Key` reads.
    chord : Chord
        The chord.
    kind : str
        One of `ROMAN_KINDS`.
    applied_to : Roman or None
        The chord to which it is applied.

    Raises
    ------
    RomanNumeralError
        The text is no numeral, or its chord cannot be spelled in that key.
    AmbiguousError
        The text has several readings.
    KeyNameError
        `key` is no key.

    Examples
    --------
    >>> Roman("V7/V", key="C major").names, Roman("V65", "A minor").names, Roman("Ger7", "C").names
    (['D', 'F#', 'A', 'C'], ['G#', 'B', 'D', 'E'], ['F#', 'Ab', 'C', 'Eb'])
    >>> Roman("VII", "A minor").names == Roman("bVII", "A minor").names == ["G", "B", "D"]
    True
    >>> Roman("II7", "C major", numerals="capitals").figure, Roman("bII7", "C", numerals="jazz").chord.symbol
    ('ii7', 'Db7')
    >>> Roman("V7/9", "C major")
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: Roman numeral 'V7/9': '7/9' is no figure of a chord in thirds; allowed: \
6, 64, 7, 65, 43, 42, 9, 11, 13
    """

    figure: str = field(compare=False)
    key: str
    chord: Chord
    kind: str
    applied_to: "Roman | None"

    def __init__(self, figure: "str | Roman", key: KeyGiven | None = None, **settings: str) -> None:
        if isinstance(figure, Roman):
            if key is not None and read_roman_key(key).name != figure.key:
                raise RomanNumeralError(
                    f"Roman numeral {figure.figure!r}: is in {figure.key}; give its text to move it"
                )
            made = figure
        elif key is None:
            raise RomanNumeralError(f"Roman numeral {figure!r}: give its key too, such as Roman({figure!r}, 'C major')")
        else:
            choice = roman_settings(settings)
            made = _resolve(read_roman_text(figure, choice.numerals), read_roman_key(key), choice, figure)
        for name in ("figure", "key", "chord", "kind", "applied_to"):
            _set(self, name, getattr(made, name))

    @classmethod
    def of(
        cls,
        chord: Chord | str,
        key: KeyGiven,
        kind: str = "plain",
        applied_to: "Roman | None" = None,
    ) -> Self:
        """Build from a chord, its key, and what it is applied to. `roman_of` finds the usual numeral of a chord.

        Raises
        ------
        RomanNumeralError
            There is no chord (N.C.), no such kind, or no numeral for that chord.

        Examples
        --------
        >>> Roman.of("D7", "C major"), Roman.of("D7", "C major", applied_to=Roman("V", "C major"))
        (Roman('II7', 'C major'), Roman('V7/V', 'C major'))
        >>> Roman.of("D7", "C major", kind="borrowed")
        Traceback (most recent call last):
        musictheory_nb.errors.RomanNumeralError: kind 'borrowed': must be one of 'plain', 'augmented sixth', \
'cadential', 'substitute'
        """
        if kind not in ROMAN_KINDS:
            raise RomanNumeralError(f"kind {kind!r}: must be one of {', '.join(map(repr, ROMAN_KINDS))}")
        whole, home = chord if isinstance(chord, Chord) else Chord(chord), read_roman_key(key)
        if applied_to is not None and (
            applied_to.key != home.name
            or applied_to.chord.degrees not in _TARGETS
            or applied_to.bass != applied_to.root
            or applied_to.kind != "plain"
        ):
            raise RomanNumeralError(f"applied_to {applied_to!r}: must be a triad in root position in {home.name}")
        made = cls._make(whole, home, kind, applied_to)
        if kind != "plain" and Roman(made.figure, home) != made:
            raise RomanNumeralError(f"chord {whole.symbol!r}: cannot be of the kind {kind!r} in {home.name}")
        return made

    @classmethod
    def _make(cls, chord: Chord, key: RomanKey, kind: str, applied_to: "Roman | None") -> Self:
        self = object.__new__(cls)
        local = key if applied_to is None else applied_to.tonicized
        text = write_numeral(chord.parts, local, kind, DEFAULT_SETTINGS)
        _set(self, "figure", text if applied_to is None else f"{text}/{applied_to._as_target(DEFAULT_SETTINGS)}")
        _set(self, "key", key.name)
        _set(self, "chord", chord)
        _set(self, "kind", kind)
        _set(self, "applied_to", applied_to)
        return self

    @property
    def _key(self) -> RomanKey:
        return read_roman_key(self.key)

    @property
    def tonicized(self) -> RomanKey:
        """Key of which this chord is the tonic: minor if its third is minor."""
        assert self.chord.root is not None
        return RomanKey(self.chord.root.fifths, "minor" if "b3" in self.chord.degrees else "major")

    @property
    def local_key(self) -> RomanKey:
        """Key in which the numeral before the slash stands: that of the chord it is applied to, else the key itself."""
        return self._key if self.applied_to is None else self.applied_to.tonicized

    @property
    def root(self) -> PitchName:
        """Root of the chord; of an augmented sixth chord the lowered sixth degree."""
        assert self.chord.root is not None
        return self.chord.root

    @property
    def bass(self) -> PitchName:
        """Bass of the chord."""
        assert self.chord.bass is not None
        return self.chord.bass

    @property
    def names(self) -> list[str]:
        """Names of the notes from the bass up, in the order of their letters.

        Examples
        --------
        >>> Roman("V6", "C major").names, Roman("Fr43", "C minor").names, Roman("V9", "C major").names
        (['B', 'D', 'G'], ['Ab', 'C', 'D', 'F#'], ['G', 'B', 'D', 'F', 'A'])
        """
        names = list(self.chord.pitch_names)
        if self.kind != "augmented sixth" and self.bass == self.root:
            return [name.name for name in names]
        lowest = self.bass
        rest = sorted(
            (name for name in names if name != lowest),
            key=lambda name: ((STEP_INDEX[name.step] - STEP_INDEX[lowest.step]) % 7, name.alter),
        )
        return [lowest.name, *(name.name for name in rest)]

    @property
    def pitch_names(self) -> tuple[PitchName, ...]:
        """`names` as `PitchName`."""
        return tuple(PitchName(name) for name in self.names)

    def pitches(self, lowest: Pitch | str = "C3") -> tuple[Pitch, ...]:
        """The chord in close position from its bass up, to be sounded or written out.

        Raises
        ------
        PitchError
            `lowest` is no pitch.

        Examples
        --------
        >>> [pitch.name for pitch in Roman("V65", "C major").pitches()]
        ['B3', 'D4', 'F4', 'G4']
        """
        return self.chord.pitches(lowest)

    @property
    def inversion(self) -> int | None:
        """0 in root position, then 1 to 3; counted as the figures count. None where the bass is no tone of the stack."""
        if self.kind == "augmented sixth":
            return {"53": 0, "7": 0, "6": 1, "65": 1, "64": 2, "43": 2, "42": 3}[
                self.figure.split("/")[0].lstrip("ItFrGeSw")
            ]
        return self.chord.inversion

    @property
    def degree(self) -> str:
        """Scale degree of the root in the key, as `Key.degree` names it.

        Examples
        --------
        >>> [Roman(text, "A minor").degree for text in ("V", "VII", "vii°7", "V/V", "N6")]
        ['5', '7', '#7', '2', 'b2']
        """
        key = self._key
        number, alter = key.place(self.root.fifths)
        return write_key_degree(number, alter - key.plain_alter(number, "key", low_third=False))

    @property
    def function(self) -> str:
        """``'tonic'``, ``'predominant'``, ``'dominant'`` or ``'other'``; of an applied chord with ``'secondary '`` before.

        Examples
        --------
        >>> [Roman(text, "C major").function for text in ("vi", "ii65", "V7", "Cad64", "N6", "V7/ii", "subV7")]
        ['tonic', 'predominant', 'dominant', 'dominant', 'predominant', 'secondary dominant', 'dominant']
        """
        name = self.local_function
        return name if self.applied_to is None else f"secondary {name}"

    @property
    def local_function(self) -> str:
        """Function in `local_key`: of V7/V it is ``'dominant'``."""
        if self.kind != "plain":
            return "predominant" if self.kind == "augmented sixth" else "dominant"
        local = self.local_key
        number, alter = local.place(self.root.fifths)
        return function_name(number, alter, self.chord.degrees, local.is_minor)

    @property
    def is_applied(self) -> bool:
        """Whether it is applied to another chord than the tonic."""
        return self.applied_to is not None

    @property
    def is_diatonic(self) -> bool:
        """Whether all its notes are in the scale of the key; in minor the raised sixth and seventh degrees too.

        Examples
        --------
        >>> Roman("V7", "A minor").is_diatonic, Roman("V7/V", "A minor").is_diatonic
        (True, False)
        """
        return self._key.holds(self.chord.pitch_names)

    @property
    def is_mixture(self) -> bool:
        """Whether it is borrowed from the parallel major or minor key: not diatonic here, but diatonic there.

        Examples
        --------
        >>> [Roman(text, "C major").is_mixture for text in ("iv", "bVI", "ii°", "V/V", "ii")]
        [True, True, True, False, False]
        >>> Roman("I", "C minor").is_mixture
        True
        """
        key = self._key
        other = RomanKey(key.tonic, "major" if key.is_minor else "minor")
        is_plain = self.applied_to is None and self.kind == "plain"
        return is_plain and not self.is_diatonic and other.holds(self.chord.pitch_names)

    def written(self, *, printed: bool = False, **settings: str) -> str:
        """The numeral under other conventions; read under the same ones it gives an equal `Roman`.

        Parameters
        ----------
        printed : bool
            With ♯ and ♭.
        **settings : str
            Choices of `roman_setting.ROMAN_SETTINGS`.

        Raises
        ------
        RomanNumeralError
            No such setting or choice, or the chord cannot be written so.

        Examples
        --------
        >>> numeral = Roman("VII7", "A minor")
        >>> numeral.written(degrees="major"), numeral.written(numerals="jazz"), numeral.written(numerals="capitals")
        ('bVII7', 'bVII7', 'bVII7')
        >>> Roman("ii65", "C major").written(numerals="jazz"), Roman("ii65", "C major").written(figures="6/5")
        ('IIm7[bass b3]', 'ii6/5')
        >>> Roman("vii°7/ii", "C major").written(signs="ascii"), Roman("N6", "C major").written(neapolitan="bII6")
        ('viio7/ii', 'bII6')
        >>> numeral.written(numerals="nashville")
        Traceback (most recent call last):
        musictheory_nb.errors.RomanNumeralError: numerals 'nashville': must be one of 'case', 'capitals', 'jazz'
        """
        choice = roman_settings(settings)
        text = write_numeral(self.chord.parts, self.local_key, self.kind, choice)
        if self.applied_to is not None:
            text += f"/{self.applied_to._as_target(choice)}"
        return _printed(text) if printed else text

    def _as_target(self, settings: RomanSettings) -> str:
        """Text behind the slash of a chord that is applied to this one."""
        parts = self.chord.parts
        text = write_numeral(ChordParts(parts.root, parts.degrees, parts.root), self.local_key, "plain", settings)
        return text if self.applied_to is None else f"{text}/{self.applied_to._as_target(settings)}"

    @property
    def display(self) -> str:
        """The numeral with printed accidentals, such as ``'♭VII'``; it reads back.

        Examples
        --------
        >>> [Roman(text, "C major").display for text in ("bVII", "#iv°7", "V7b9[bass b9]", "subV7")]
        ['♭VII', '♯iv°7', 'V7♭9[bass ♭9]', 'subV7']
        """
        return _printed(self.figure)

    def up(self, interval: Interval | str) -> "Roman":
        """The same numeral in the key an interval higher.

        Raises
        ------
        IntervalError, PitchError, RomanNumeralError
            The interval cannot be read, or the chord could not be spelled there.

        Examples
        --------
        >>> Roman("V7/V", "C major").up("M2").chord
        Chord('E7')
        """
        by = interval if isinstance(interval, Interval) else Interval(interval)
        key = self._key
        moved = RomanKey(key.tonic_name.up(by).fifths, key.mode)
        target = None if self.applied_to is None else self.applied_to.up(by)
        return Roman._make(self.chord.up(by), moved, self.kind, target)

    def __str__(self) -> str:
        return self.figure

    def __repr__(self) -> str:
        return f"Roman({self.figure!r}, {self.key!r})"


def _resolve(part: RomanText, key: RomanKey, settings: RomanSettings, text: str) -> Roman:
    """Build from parts, the chord behind the slash first."""
    target = None if part.target is None else _resolve(part.target, key, settings, text)
    if target is not None and target.chord.degrees not in _TARGETS:
        raise RomanNumeralError(
            f"Roman numeral {text!r}: the chord behind the slash is a triad; write the numeral alone"
        )
    local = key if target is None else target.tonicized
    parts = roman_chord(part, local, settings, text)
    return Roman._make(Chord.from_parts(parts), key, _KIND_BY_NAME[part.name], target)
