"""The key of a Roman numeral, as numbers: place of the tonic on the line of fifths, and the scale of the mode.

Degrees are counted as in `chord_degree`: a number from 1 to 7 with its alteration in semitones against the major scale
on the tonic. What an unaltered numeral stands for in minor is a convention (`roman_setting.ROMAN_SETTINGS`).
"""

from collections.abc import Iterable
from functools import lru_cache
from types import MappingProxyType
from typing import Final, NamedTuple, Protocol

from musictheory_nb.errors import RomanNumeralError
from musictheory_nb.theory.chord_degree import NAMES_BY_FIFTHS, TEXTS_BY_FIFTHS
from musictheory_nb.theory.key_mode import KEY_MODES
from musictheory_nb.theory.key_text import read_key_text
from musictheory_nb.theory.pitch_name import PitchName

#: Distance from the tonic on the line of fifths of the degrees 1 to 7 of the major scale.
MAJOR_FIFTHS: Final = (0, 2, 4, -1, 1, 3, 5)
#: Degree of the major scale by place from its fourth on: the order F C G D A E B.
_NUMBER_BY_PLACE: Final = (4, 1, 5, 2, 6, 3, 7)
#: Minors whose sixth and seventh degrees vary.
_MINORS: Final = ("minor", "harmonic minor", "melodic minor")


class HasTonicAndMode(Protocol):
    """A `key.Key`, or anything else with a tonic and a mode."""

    @property
    def tonic(self) -> PitchName:
        """First note of its scale."""

    @property
    def mode(self) -> str:
        """Name of a mode in `key_mode.KEY_MODES`."""


def _alters(shift: int) -> tuple[int, ...]:
    """Alterations of the degrees of a mode against the major scale, from the shift of its signature."""
    return tuple((shift + 5 - place) // 7 for place in MAJOR_FIFTHS)


#: Alterations of degrees 1 to 7 of each mode against the major scale; the minors in their natural form.
MODE_ALTERS: Final = MappingProxyType({name: _alters(mode.signature_shift) for name, mode in KEY_MODES.items()})


class RomanKey(NamedTuple):
    """Tonic (place on the line of fifths, C = 0) and mode."""

    tonic: int
    mode: str

    @property
    def name(self) -> str:
        """Name that `key.Key` reads, such as ``'Eb minor'``."""
        return f"{TEXTS_BY_FIFTHS[self.tonic]} {self.mode}"

    @property
    def tonic_name(self) -> PitchName:
        """The tonic as a name."""
        return NAMES_BY_FIFTHS[self.tonic]

    @property
    def alters(self) -> tuple[int, ...]:
        """Alterations of degrees 1 to 7 against the major scale; the minors in their natural form."""
        return MODE_ALTERS[self.mode]

    @property
    def is_minor(self) -> bool:
        """Whether its third is minor."""
        return MODE_ALTERS[self.mode][2] < 0

    @property
    def is_variable(self) -> bool:
        """Whether its sixth and seventh degrees vary: the minors, but no church mode."""
        return self.mode in _MINORS

    def place(self, fifths: int) -> tuple[int, int]:
        """Degree number, and alteration against the major scale, of a note given by its place on the line of fifths.

        Examples
        --------
        >>> c_major = RomanKey(0, "major")
        >>> c_major.place(1), c_major.place(-2), c_major.place(6)
        ((5, 0), (7, -1), (4, 1))
        """
        alter, place = divmod(fifths - self.tonic + 1, 7)
        return _NUMBER_BY_PLACE[place], alter

    def fifths_of(self, number: int, alter: int) -> int:
        """Place on the line of fifths of a degree: the way back from `place`.

        Examples
        --------
        >>> RomanKey(0, "major").fifths_of(7, -1)
        -2
        """
        return self.tonic + MAJOR_FIFTHS[number - 1] + 7 * alter

    def plain_alter(self, number: int, convention: str, low_third: bool) -> int:
        """Alteration against the major scale that an unaltered numeral stands for.

        Parameters
        ----------
        number : int
            1 to 7.
        convention : str
            A choice of the setting `degrees`, but not ``'usual'``.
        low_third : bool
            Whether the chord has a minor third.

        Examples
        --------
        >>> a_minor = RomanKey(3, "minor")
        >>> [a_minor.plain_alter(7, "quality", low_third) for low_third in (False, True)]
        [-1, 0]
        """
        if convention == "major":
            return 0
        natural = MODE_ALTERS[self.mode][number - 1]
        if convention == "key":
            return natural + (number in KEY_MODES[self.mode].raised)
        if number < 6 or self.mode not in _MINORS:
            return natural
        if convention == "quality":
            return 0 if low_third else natural
        return natural + (number in KEY_MODES[f"{convention} minor"].raised)

    def caution_direction(self, number: int, low_third: bool) -> int:
        """Direction of an accidental that only repeats what the numeral means: -1, 1, or 0 where there is none.

        Examples
        --------
        >>> a_minor = RomanKey(3, "minor")
        >>> a_minor.caution_direction(7, False), a_minor.caution_direction(7, True), a_minor.caution_direction(4, False)
        (-1, 1, 0)
        """
        if number > 5 and self.mode in _MINORS:
            return 1 if low_third else -1
        alter = MODE_ALTERS[self.mode][number - 1]
        return (alter > 0) - (alter < 0)

    def read_alter(self, number: int, written: int, convention: str, low_third: bool) -> int:
        """Alteration against the major scale of a numeral with `written` sharps (flats negative) before it.

        Examples
        --------
        >>> a_minor = RomanKey(3, "minor")
        >>> [a_minor.read_alter(7, written, "quality", low_third=False) for written in (0, -1, -2, 1)]
        [-1, -1, -2, 0]
        >>> a_minor.read_alter(7, -1, "key", low_third=False)
        -2
        """
        plain = self.plain_alter(number, convention, low_third)
        if written and convention == "quality":
            direction = self.caution_direction(number, low_third)
            if direction and written * direction > 0:
                written -= direction
        return plain + written

    def written_alter(self, number: int, alter: int, convention: str, low_third: bool) -> int:
        """Sharps (flats negative) to write before a numeral: the way back from `read_alter`.

        Examples
        --------
        >>> a_minor = RomanKey(3, "minor")
        >>> [a_minor.written_alter(7, -1, convention, low_third=False) for convention in ("quality", "harmonic", "major")]
        [0, -1, -1]
        """
        written = alter - self.plain_alter(number, convention, low_third)
        if written and convention == "quality":
            direction = self.caution_direction(number, low_third)
            if direction and written * direction > 0:
                written += direction
        return written

    def holds(self, names: Iterable[PitchName]) -> bool:
        """Whether all names are in its scale; in minor the sixth and seventh degrees vary.

        Examples
        --------
        >>> RomanKey(3, "minor").holds([PitchName("E"), PitchName("G#")]), RomanKey(3, "minor").holds([PitchName("Bb")])
        (True, False)
        """
        own = {self.scale_fifths(number) for number in range(1, 8)}
        if self.is_variable:
            own |= {self.fifths_of(6, 0), self.fifths_of(7, 0)}
        return all(name.fifths in own for name in names)

    def scale_fifths(self, number: int) -> int:
        """Place on the line of fifths of a degree of its scale; numbers go on above 7, minors are natural.

        Examples
        --------
        >>> RomanKey(3, "minor").scale_fifths(7), RomanKey(3, "minor").scale_fifths(8)
        (1, 3)
        """
        index = (number - 1) % 7
        return self.tonic + MAJOR_FIFTHS[index] + 7 * MODE_ALTERS[self.mode][index]


@lru_cache(maxsize=512)
def _read_text(text: str) -> RomanKey:
    tonic, mode = read_key_text(text)
    return RomanKey(tonic.fifths, mode.name)


#: How a key may be given.
KeyGiven = HasTonicAndMode | RomanKey | str


def read_roman_key(key: KeyGiven) -> RomanKey:
    """Key of a Roman numeral from a text or a `Key`.

    Raises
    ------
    KeyNameError
        The text is no key.
    RomanNumeralError
        `key` is neither.

    Examples
    --------
    >>> read_roman_key("Eb minor")
    RomanKey(tonic=-3, mode='minor')
    >>> read_roman_key(3)
    Traceback (most recent call last):
    musictheory_nb.errors.RomanNumeralError: key 3: give a Key, or text such as 'C major' or 'A minor'
    """
    if isinstance(key, RomanKey):
        return key
    if isinstance(key, str):
        return _read_text(key)
    try:
        return RomanKey(key.tonic.fifths, key.mode)
    except AttributeError:
        raise RomanNumeralError(f"key {key!r}: give a Key, or text such as 'C major' or 'A minor'") from None
