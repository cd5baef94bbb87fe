"""Intervals by quality and number, in either direction.

Conventions
-----------
An interval is counted in letters and measured in semitones; the two together fix it. Its direction is that of the
letters (B##3 to C4 ascends by a doubly diminished second although it sounds a semitone lower); between two pitches on
one letter it is that of the sound, so that C4 down to Cb4 is a descending augmented unison and no unison is
diminished. Teachers who speak of a diminished unison can have that name read (`read`) and find it among `other_names`.

An interval is compound when it is wider than a perfect octave: its number is over 8, or it is an augmented octave.
Compound intervals are inverted after reduction by octaves; other conventions are settings of `inverted`.
"""

from dataclasses import dataclass, field
from fractions import Fraction
from functools import total_ordering
from math import log2
from types import MappingProxyType
from typing import Final, Protocol, Self

from musictheory_nb.errors import IntervalError
from musictheory_nb.theory.interval_quality import interval_quality, interval_semitones
from musictheory_nb.theory.interval_text import OTHER_NAMES, number_word, quality_word, read_interval_text
from musictheory_nb.theory.just_intonation import just_ratios
from musictheory_nb.theory.pitch_grammar import STEP_INDEX, STEP_SEMITONES, read_pitch_text

#: How `Interval.inverted` treats compound intervals, with what each choice means.
COMPOUND_INVERSIONS: Final = MappingProxyType(
    {
        "reduce": "reduce by octaves while wider than a perfect octave, then invert: m9 M7, P15 P1 (default)",
        "fold": "take whole octaves as unisons first, then invert: m9 M7, P15 P8",
        "refuse": "compound intervals are not inverted",
    }
)

_set = object.__setattr__
_new = object.__new__


class SpelledNote(Protocol):
    """A letter with its alteration: a `PitchName`, or a `Pitch`, which also has an octave."""

    @property
    def step(self) -> str:
        """Letter C to B."""

    @property
    def alter(self) -> int:
        """Alteration in semitones."""


@total_ordering
@dataclass(frozen=True, slots=True, init=False, repr=False)
class Interval:
    """An interval: quality, number, direction. Intervals sort by signed size, then by signed number.

    Parameters
    ----------
    text : str or Interval
        Quality then number, with a minus sign if it descends: ``"m3"``, ``"AA4"``, ``"-P12"``; or in words:
        ``"minor third"``, ``"descending doubly augmented fourth"``.

    Attributes
    ----------
    quality : str
        ``P``, ``M``, ``m``, ``A``, ``d``, ``AA``, ``dd`` and so on.
    number : int
        1 or more.
    direction : int
        1 up, -1 down; 1 for a perfect unison.
    semitones : int
        Signed size in 12-tone equal-temperament semitones.

    Raises
    ------
    AmbiguousError
        The text has several readings ("tritone", "half step").
    IntervalError
        The text is no interval, or its quality cannot go with its number.

    Examples
    --------
    >>> Interval("A4").semitones, Interval("-m3").semitones, Interval("minor ninth").number
    (6, -3, 9)
    >>> str(Interval.between("B3", "F4")), Interval.between("B3", "F4").name
    ('d5', 'diminished fifth')
    >>> Interval("M5")
    Traceback (most recent call last):
    musictheory_nb.errors.IntervalError: interval 'M5': a fifth is P, A or d, never M
    >>> Interval("tritone")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: interval 'tritone': may be A4 or d5; write 'A4' or 'd5'
    """

    quality: str
    number: int
    direction: int
    semitones: int = field(compare=False)

    def __init__(self, text: "str | Interval") -> None:
        if isinstance(text, Interval):
            quality, number, direction, size = text.quality, text.number, text.direction, text.semitones
        else:
            quality, number, direction = read_interval_text(text)
            size = direction * interval_semitones(quality, number, text)
            if number == 1 and quality == "P":
                direction = 1
        _set(self, "quality", quality)
        _set(self, "number", number)
        _set(self, "direction", direction)
        _set(self, "semitones", size)

    @classmethod
    def of(cls, quality: str, number: int, direction: int = 1) -> Self:
        """Build from quality, number and direction.

        Raises
        ------
        IntervalError
            No such quality of that number, a number below 1, or a direction other than 1 and -1.

        Examples
        --------
        >>> Interval.of("d", 5), Interval.of("M", 6, -1)
        (Interval('d5'), Interval('-M6'))
        >>> Interval.of("m", 4)
        Traceback (most recent call last):
        musictheory_nb.errors.IntervalError: interval 'm4': a fourth is P, A or d, never m
        """
        if direction not in (1, -1):
            raise IntervalError(f"direction {direction!r}: must be 1 (up) or -1 (down)")
        size = interval_semitones(quality, number, f"{quality}{number}")
        return cls._make(quality, number, 1 if number == 1 and quality == "P" else direction, direction * size)

    @classmethod
    def _make(cls, quality: str, number: int, direction: int, semitones: int) -> Self:
        self = _new(cls)
        _set(self, "quality", quality)
        _set(self, "number", number)
        _set(self, "direction", direction)
        _set(self, "semitones", semitones)
        return self

    @classmethod
    def from_steps(cls, steps: int, semitones: int) -> Self:
        """Build from signed letters crossed and signed semitones.

        Raises
        ------
        IntervalError
            The two are more than nine alterations apart.

        Examples
        --------
        >>> Interval.from_steps(4, 6), Interval.from_steps(0, -1)
        (Interval('d5'), Interval('-A1'))
        >>> Interval.from_steps(1, 40)
        Traceback (most recent call last):
        musictheory_nb.errors.IntervalError: 1 letter and 40 semitones: no interval is altered more than nine times
        """
        if not (type(steps) is int and type(semitones) is int):
            raise IntervalError(f"steps {steps!r} and semitones {semitones!r}: must be whole numbers")
        direction = -1 if steps < 0 or (steps == 0 and semitones < 0) else 1
        quality = interval_quality(steps * direction, semitones * direction)
        if quality is None:
            letters = f"{steps} letter{'' if abs(steps) == 1 else 's'}"
            raise IntervalError(f"{letters} and {semitones} semitones: no interval is altered more than nine times")
        return cls._make(quality, steps * direction + 1, direction, semitones)

    @classmethod
    def between(cls, first: SpelledNote | str, second: SpelledNote | str) -> Self:
        """Interval from one pitch to another.

        Parameters
        ----------
        first, second : Pitch, PitchName or str
            Two pitches, or two names without octaves. Between names it is the simple ascending interval, smaller
            than an octave in letters: C to Cb is a diminished octave.

        Raises
        ------
        PitchError
            A text cannot be read.
        IntervalError
            One has an octave and the other has none.

        Examples
        --------
        >>> Interval.between("C4", "E5"), Interval.between("C4", "Cb4"), Interval.between("B", "F")
        (Interval('M10'), Interval('-A1'), Interval('d5'))
        >>> Interval.between("C4", "E")
        Traceback (most recent call last):
        musictheory_nb.errors.IntervalError: interval from 'C4' to 'E': give both an octave number, or neither
        """
        step, alter, octave = read_pitch_text(first) if isinstance(first, str) else _spelling(first)
        step2, alter2, octave2 = read_pitch_text(second) if isinstance(second, str) else _spelling(second)
        steps = STEP_INDEX[step2] - STEP_INDEX[step]
        semitones = STEP_SEMITONES[step2] + alter2 - STEP_SEMITONES[step] - alter
        if octave is not None and octave2 is not None:
            octaves = octave2 - octave
        elif octave is None and octave2 is None:
            octaves = 1 if steps < 0 or (steps == 0 and semitones < 0) else 0
        else:
            raise IntervalError(
                f"interval from {str(first)!r} to {str(second)!r}: give both an octave number, or neither"
            )
        return cls.from_steps(steps + 7 * octaves, semitones + 12 * octaves)

    @classmethod
    def read(cls, text: str, *, diminished_unison: bool = False) -> Self:
        """Read a text under a setting of convention.

        Parameters
        ----------
        diminished_unison : bool
            Whether "d1" or "diminished unison" is read, as another name of the descending augmented unison. By
            default it is refused: widening by a semitone in either direction augments a unison.

        Raises
        ------
        IntervalError, AmbiguousError
            As the constructor.

        Examples
        --------
        >>> Interval.read("diminished unison", diminished_unison=True)
        Interval('-A1')
        >>> Interval.read("d1")
        Traceback (most recent call last):
        musictheory_nb.errors.IntervalError: interval 'd1': a unison is never diminished; write '-A1' if it descends
        """
        quality, number, direction = read_interval_text(text)
        if diminished_unison and number == 1 and quality.startswith("d"):
            return cls.of("A" * len(quality), 1, -direction)
        return cls(text)

    @property
    def steps(self) -> int:
        """Signed count of letters crossed: 2 for a third up, -2 for a third down."""
        return self.direction * (self.number - 1)

    @property
    def name(self) -> str:
        """Name in words, such as ``'diminished fifth'`` or ``'descending minor third'``; it reads back."""
        ascending = f"{quality_word(self.quality)} {number_word(self.number)}"
        return ascending if self.direction > 0 else f"descending {ascending}"

    @property
    def other_names(self) -> tuple[str, ...]:
        """Other names that the trade uses, such as ``'tritone'``; without direction.

        Examples
        --------
        >>> Interval("d5").other_names, Interval("P15").other_names, Interval("m9").other_names
        (('tritone',), ('double octave', 'compound perfect octave'), ('compound minor second',))
        >>> Interval("-A1").other_names[-1], Interval("m6").other_names
        ('diminished unison', ())
        """
        names = OTHER_NAMES.get(f"{self.quality}{self.number}", ())
        if self.is_compound:
            names += tuple(f"compound {name}" for name in (self.simple.as_ascending.name, *self._simple_tritone))
        if self.number == 1 and self.direction < 0:
            names += (quality_word("d" * len(self.quality)) + " unison",)
        return names

    @property
    def _simple_tritone(self) -> tuple[str, ...]:
        return ("tritone",) if self.is_tritone else ()

    @property
    def is_compound(self) -> bool:
        """Whether it is wider than a perfect octave: number over 8, or an augmented octave."""
        return self.number > 8 or (self.number == 8 and self.quality[0] == "A")

    @property
    def is_tritone(self) -> bool:
        """Whether it is an augmented fourth or a diminished fifth, octaves aside."""
        return (self.quality, (self.number - 1) % 7) in (("A", 3), ("d", 4))

    def is_enharmonic_to(self, other: "Interval | str") -> bool:
        """Whether both sound alike in equal temperament: the same signed number of semitones.

        Examples
        --------
        >>> Interval("A4").is_enharmonic_to(Interval("d5")), Interval("A4") == Interval("d5")
        (True, False)
        """
        return self.semitones == Interval(other).semitones

    @property
    def as_ascending(self) -> "Interval":
        """Same interval, ascending."""
        return self if self.direction > 0 else -self

    @property
    def simple(self) -> "Interval":
        """Reduced by octaves until it is no wider than a perfect octave; an octave stays an octave.

        Examples
        --------
        >>> [str(Interval(i).simple) for i in ("m9", "P8", "P15", "A8", "d8", "-M10")]
        ['m2', 'P8', 'P8', 'A1', 'd8', '-M3']
        """
        if not self.is_compound:
            return self
        number = (self.number - 1) % 7 + 1
        if number == 1 and self.quality[0] != "A":
            number = 8
        return Interval.of(self.quality, number, self.direction)

    @property
    def inversion(self) -> "Interval":
        """Inversion by the default convention, direction kept: see `inverted`.

        Examples
        --------
        >>> [str(Interval(i).inversion) for i in ("m3", "P1", "d8", "m9", "P15", "A8", "-P5")]
        ['M6', 'P8', 'A1', 'M7', 'P1', 'd8', '-P4']
        """
        return self.inverted()

    def inverted(self, compound: str = "reduce") -> "Interval":
        """Interval that is left when one note is moved across the other by octaves; direction kept.

        Parameters
        ----------
        compound : {'reduce', 'fold', 'refuse'}
            What is done with compound intervals, on which teachers differ; `COMPOUND_INVERSIONS` says what each
            means.

        Raises
        ------
        IntervalError
            `compound` is none of these, or it is 'refuse' and the interval is compound.

        Examples
        --------
        >>> str(Interval("P15").inverted()), str(Interval("P15").inverted(compound="fold"))
        ('P1', 'P8')
        >>> Interval("m9").inverted(compound="refuse")
        Traceback (most recent call last):
        musictheory_nb.errors.IntervalError: interval 'm9': is compound, and by this setting is not inverted
        """
        if not isinstance(compound, str) or compound not in COMPOUND_INVERSIONS:
            choices = ", ".join(map(repr, COMPOUND_INVERSIONS))
            raise IntervalError(f"compound {compound!r}: must be one of {choices}")
        if compound == "refuse" and self.is_compound:
            raise IntervalError(f"interval {str(self)!r}: is compound, and by this setting is not inverted")
        simple = self.simple
        if compound == "fold" and self.is_compound and simple.number == 8 and simple.quality == "P":
            return Interval.of("P", 8, self.direction)
        return Interval.from_steps(self.direction * 7 - simple.steps, self.direction * 12 - simple.semitones)

    def towards(self, direction: int) -> "Interval":
        """Same quality and number, up (1) or down (-1).

        Raises
        ------
        IntervalError
            `direction` is neither.

        Examples
        --------
        >>> Interval("m3").towards(-1)
        Interval('-m3')
        """
        return Interval.of(self.quality, self.number, direction)

    @property
    def complement(self) -> "Interval":
        """What is missing to whole perfect octaves, in the same direction: both add up to one, two … octaves.

        Examples
        --------
        >>> [str(Interval(i).complement) for i in ("M3", "P8", "P1", "m9", "A8")]
        ['m6', 'P1', 'P8', 'M7', 'd8']
        """
        return self.inverted()

    @property
    def fifths(self) -> int:
        """Signed distance on the line of fifths: 1 for a fifth up, 4 for a major third up, 0 for an octave."""
        return 7 * self.semitones - 12 * self.steps

    @property
    def cents(self) -> int:
        """Signed size in cents of 12-tone equal temperament (100 a semitone)."""
        return 100 * self.semitones

    @property
    def just_ratio(self) -> Fraction:
        """Frequency ratio of its usual tuning in 5-limit just intonation; below 1 if it descends.

        Raises `IntervalError` where no ratio is standard. `just_intonation.just_ratios` lists the others in use.

        Examples
        --------
        >>> Interval("P5").just_ratio, Interval("M10").just_ratio, Interval("-P5").just_ratio
        (Fraction(3, 2), Fraction(5, 2), Fraction(2, 3))
        >>> Interval("AA4").just_ratio
        Traceback (most recent call last):
        musictheory_nb.errors.IntervalError: interval 'AA4': has no standard just ratio
        """
        simple = self.simple.as_ascending
        ratios = just_ratios(str(simple))
        if not ratios:
            raise IntervalError(f"interval {str(self)!r}: has no standard just ratio")
        ratio: Fraction = ratios[0][0] * 2 ** ((self.number - simple.number) // 7)
        return ratio if self.direction > 0 else 1 / ratio

    @property
    def just_cents(self) -> float:
        """Signed size in cents of `just_ratio`, and raises where that does.

        Examples
        --------
        >>> round(Interval("P5").just_cents, 3), round(Interval("M3").just_cents, 3)
        (701.955, 386.314)
        """
        return 1200 * log2(self.just_ratio)

    def __neg__(self) -> "Interval":
        return Interval.of(self.quality, self.number, -self.direction)

    def __add__(self, other: "Interval") -> "Interval":
        if not isinstance(other, Interval):
            return NotImplemented
        return Interval.from_steps(self.steps + other.steps, self.semitones + other.semitones)

    def __sub__(self, other: "Interval") -> "Interval":
        if not isinstance(other, Interval):
            return NotImplemented
        return Interval.from_steps(self.steps - other.steps, self.semitones - other.semitones)

    def __lt__(self, other: "Interval") -> bool:
        return self._order() < other._order() if isinstance(other, Interval) else NotImplemented

    def _order(self) -> tuple[int, int]:
        return self.semitones, self.steps

    def __str__(self) -> str:
        return f"{'-' if self.direction < 0 else ''}{self.quality}{self.number}"

    def __repr__(self) -> str:
        return f"Interval({str(self)!r})"


def _spelling(note: SpelledNote) -> tuple[str, int, int | None]:
    """Letter, alteration, and octave (None for a name without one)."""
    try:
        return note.step, note.alter, getattr(note, "octave", None)
    except AttributeError:
        raise IntervalError(f"interval with {note!r}: give each pitch as text, Pitch or PitchName") from None
