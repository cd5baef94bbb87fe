"""A time signature: its beat, the places where long values are split, and the groups that are beamed together."""

from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import MediaError

#: Eighth-note groups of metres that are neither simple nor compound; others are cut into threes from the left.
_UNEVEN_GROUPS: Final = MappingProxyType({5: (3, 2), 7: (2, 2, 3), 8: (3, 3, 2), 10: (3, 3, 2, 2), 11: (3, 3, 3, 2)})
_EIGHTH: Final = Fraction(1, 2)


@dataclass(frozen=True)
class Metre:
    """A time signature.

    Parameters
    ----------
    text : str
        ``'6/8'``.

    Raises
    ------
    MediaError
        The text is no time signature.

    Notes
    -----
    Beaming is common practice: by the beat; plain eighths by the half of a measure in duple and quadruple time, and by
    the measure in 3/4; by the dotted beat in compound time.

    Examples
    --------
    >>> Metre("6/8").beat, Metre("3/4").beat
    (Fraction(3, 2), Fraction(1, 1))
    >>> Metre("waltz")
    Traceback (most recent call last):
    musictheory_nb.errors.MediaError: metre 'waltz': write a number of beats and a note value, such as '3/4'
    """

    text: str

    def __post_init__(self) -> None:
        count, _, unit = self.text.partition("/")
        if not (count.isdecimal() and unit.isdecimal() and int(count) and int(unit)):
            raise MediaError(f"metre {self.text!r}: write a number of beats and a note value, such as '3/4'")

    @cached_property
    def count(self) -> int:
        """Upper number."""
        return int(self.text.partition("/")[0])

    @cached_property
    def unit(self) -> Fraction:
        """Length of the lower number's value, in quarters."""
        return Fraction(4, int(self.text.partition("/")[2]))

    @cached_property
    def length(self) -> Fraction:
        """Length of a full measure, in quarters."""
        return self.count * self.unit

    @cached_property
    def is_compound(self) -> bool:
        """Whether the beat is dotted: an upper number of 3, 6, 9 or 12 over eighths or shorter."""
        return self.unit <= _EIGHTH and self.count % 3 == 0

    @cached_property
    def beat(self) -> Fraction:
        """Length of a beat, in quarters; of eighths in an uneven metre, the quarter."""
        if self.is_compound:
            return 3 * self.unit
        return max(self.unit, Fraction(1)) if self.unit <= _EIGHTH else self.unit

    @cached_property
    def beats(self) -> tuple[Fraction, ...]:
        """Where the beats of a measure begin, in quarters; in an uneven metre, its groups.

        Examples
        --------
        >>> [str(beat) for beat in Metre("6/8").beats], [str(beat) for beat in Metre("7/8").beats]
        (['0', '3/2'], ['0', '1', '2'])
        """
        if self.length % self.beat:
            return (Fraction(0), *self._narrow_groups[:-1])
        return tuple(self.beat * at for at in range(int(self.length / self.beat)))

    @cached_property
    def strong_steps(self) -> tuple[Fraction, ...]:
        """Distances between places of equal weight, from the strongest down to 1/64 of a quarter."""
        steps = []
        step = self.length
        while step > self.beat and step % (2 * self.beat) == 0:
            step /= 2
            steps.append(step)
        if not steps or steps[-1] != self.beat:
            steps.append(self.beat)
        part = self.unit if self.is_compound else self.beat / 2
        while part >= Fraction(1, 64):
            steps.append(part)
            part /= 2
        return tuple(dict.fromkeys(steps))

    @cached_property
    def _narrow_groups(self) -> tuple[Fraction, ...]:
        """Ends of the beam groups, in quarters from the start of the measure."""
        if self.is_compound:
            size = [3 * self.unit] * (self.count // 3)
        elif self.unit >= 1:
            size = [Fraction(1)] * int(self.length)
        elif self.count in _UNEVEN_GROUPS:
            size = [part * self.unit for part in _UNEVEN_GROUPS[self.count]]
        elif self.length % 1 == 0:
            size = [Fraction(1)] * int(self.length)
        else:
            size = [3 * self.unit] * (self.count // 3) + [self.count % 3 * self.unit]
        return tuple(sum(size[: at + 1], Fraction(0)) for at in range(len(size)))

    @cached_property
    def _wide_groups(self) -> tuple[Fraction, ...]:
        """Ends of the groups that plain eighths share."""
        if self.unit < 1 or self.is_compound:
            return self._narrow_groups
        width = Fraction(3) if self.length in (3, 6) else Fraction(2)
        if self.length % width:
            return self._narrow_groups
        return tuple(width * (at + 1) for at in range(int(self.length / width)))

    def beam_group(self, position: Fraction, *, eighths: bool = False) -> int:
        """Return the number, from 0, of the beam group at `position` quarters; `eighths` where it holds nothing else.

        Examples
        --------
        >>> [Metre("4/4").beam_group(Fraction(n), eighths=True) for n in range(4)]
        [0, 0, 1, 1]
        >>> [Metre("4/4").beam_group(Fraction(n)) for n in range(4)]
        [0, 1, 2, 3]
        """
        ends = self._wide_groups if eighths else self._narrow_groups
        return sum(end <= position for end in ends)
