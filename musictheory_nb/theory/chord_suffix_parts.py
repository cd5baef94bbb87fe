"""The parts of a chord suffix, and how degrees are built from them: thirds piled up, then changed.

The head of a suffix says what third, which seventh and how high; the tail suspends, alters, adds and omits. An
alteration takes the place of the natural tone of its number, or is added where the chord has none.
"""

from typing import Final, NamedTuple, NoReturn

from musictheory_nb.errors import AmbiguousError, ChordError
from musictheory_nb.theory.chord_degree import DEGREE_PARTS, DEGREE_TEXT, in_order
from musictheory_nb.theory.chord_writing import chord_suffix

_RAISED: Final = {2: 9, 4: 11, 6: 13}
_SEVENTHS: Final = ("7", "b7", "bb7")
_ALTERED_DOMINANT: Final = ("1", "3", "b7", "b9", "#9", "#11", "b13")


class Change(NamedTuple):
    """One entry of the tail: ``alter``, ``add`` or ``no``, the number, the alteration (None: whichever is there)."""

    how: str
    number: int
    alter: int | None


class SuffixParts:
    """What a suffix says.

    Attributes
    ----------
    third : str or None
        ``maj``, ``m``, ``dim``, ``half`` (diminished), ``aug``, ``dom``, ``5`` (none), or None where nothing is said.
    major_seventh : bool
        Whether the seventh is major.
    number : str or None
        ``6``, ``69``, ``7``, ``9``, ``11`` or ``13``.
    suspensions : tuple of str
        Degrees in the place of the third.
    alt : bool
        Whether it is the altered dominant.
    changes : list of Change
        The tail, in order.
    """

    __slots__ = ("alt", "changes", "major_seventh", "number", "root", "suspensions", "text", "third")

    def __init__(self, text: str, root: str) -> None:
        self.text, self.root = text, root
        self.third: str | None = None
        self.major_seventh = False
        self.number: str | None = None
        self.suspensions: tuple[str, ...] = ()
        self.alt = False
        self.changes: list[Change] = []

    def ambiguous(self, *suffixes: str) -> NoReturn:
        """Refuse the text, with its readings as suffixes of the root."""
        readings = tuple(self.root + suffix for suffix in suffixes)
        raise AmbiguousError(f"chord {self.text!r}: may be {' or '.join(readings)}; write one of these", readings)

    def tells_third(self) -> bool:
        """Whether the suffix itself says what the third is."""
        return bool(self.third is not None or self.suspensions or self.alt) or any(
            change.how == "no" and change.number == 3 for change in self.changes
        )

    def build(self) -> tuple[str, ...]:
        """Degrees of what was read, in order."""
        if self.alt:
            if self.changes or self.suspensions:
                raise ChordError(f"chord {self.text!r}: 'alt' already alters fifth and ninth; leave the rest out")
            return _ALTERED_DOMINANT
        if self.suspensions and self.number is None and not self.major_seventh and self.implies_seventh():
            self.number = "7"
        degrees = self.stack()
        if self.suspensions:
            for degree in ("3", "11"):
                if degree in degrees:
                    degrees.remove(degree)
            degrees.extend(self.suspensions)
        for change in self.changes:
            if change.how == "add":
                degrees.append(DEGREE_TEXT[change.number, change.alter or 0])
            elif change.how == "no":
                self.omit(degrees, change)
            else:
                self.alter(degrees, change.number, change.alter or 0)
        if not degrees:
            raise ChordError(f"chord {self.text!r}: leaves no tone")
        return in_order(degrees)

    def implies_seventh(self) -> bool:
        """A suspended chord with an altered ninth has a seventh: Csus(b9)."""
        return any(change.how == "alter" and change.number == 9 and change.alter for change in self.changes)

    def stack(self) -> list[str]:
        """Thirds piled up to the number that the head gives."""
        third, number = self.third, self.number
        if third == "5":
            return ["1", "5"]
        if number is None and (third == "half" or self.major_seventh):
            number = "7"
        degrees = [
            "1",
            "b3" if third in ("m", "dim", "half") else "3",
            "b5" if third in ("dim", "half") else "#5" if third == "aug" else "5",
        ]
        if number is None:
            return degrees
        if number in ("6", "69"):
            degrees.append("6")
            if number == "69":
                degrees.append("9")
            return degrees
        degrees.append("7" if self.major_seventh else "bb7" if third == "dim" else "b7")
        degrees.extend(extension for extension in ("9", "11", "13") if int(extension) <= int(number))
        return degrees

    def omit(self, degrees: list[str], change: Change) -> None:
        """Leave out the degrees of a number."""
        gone = [
            degree
            for degree in degrees
            if DEGREE_PARTS[degree][0] == change.number and change.alter in (None, DEGREE_PARTS[degree][1])
        ]
        for degree in gone:
            degrees.remove(degree)
        if not gone and change.number != 3:
            raise ChordError(f"chord {self.text!r}: has no {change.number} to leave out")

    def alter(self, degrees: list[str], number: int, alter: int) -> None:
        """Put an altered or bare number in the place of its natural tone, or add it."""
        stable = any(seventh in degrees for seventh in _SEVENTHS)
        if number == 4 and not alter and ("3" in degrees or ("b3" in degrees and not stable)):
            self.refuse_four("11" if stable else "4")
        if stable:
            number = _RAISED.get(number, number)
        elif alter and self.may_imply_seventh(number, alter, "6" in degrees):
            self.refuse_implied_seventh()
        natural, altered = str(number), DEGREE_TEXT[number, alter]
        if alter and natural in degrees and (number == 5 or number > 7):
            degrees.remove(natural)
        degrees.append(altered)

    def may_imply_seventh(self, number: int, alter: int, sixth: bool) -> bool:
        """Whether an alteration on a triad is read with and without a seventh: C(b9), Cmaj#11."""
        if number in (9, 10) or (number == 13 and alter < 0):
            return not sixth
        return self.third == "maj" and self.number is None and number > 9

    def refuse_implied_seventh(self) -> NoReturn:
        """Refuse an alteration on a triad, with the chord with a seventh and the one with the tone added."""
        seventh, added = self.copied(), self.copied()
        seventh.number = "7"
        seventh.major_seventh = self.third == "maj" and not any(change.number in (9, 10) for change in self.changes)
        if seventh.third in ("5", "maj"):
            seventh.third = None
        added.changes = [
            Change("add", change.number, change.alter)
            if change.how == "alter" and change.alter and change.number > 5
            else change
            for change in self.changes
        ]
        self.ambiguous(chord_suffix(seventh.build()), chord_suffix(added.build()))

    def refuse_four(self, added: str) -> NoReturn:
        """Refuse a 4 that may suspend the third or stand beside it."""
        suspended, beside = self.copied(), self.copied()
        four = Change("alter", 4, 0)
        suspended.third = None if self.third == "m" else self.third
        suspended.suspensions = ("4",)
        suspended.changes = [change for change in self.changes if change != four]
        beside.changes = [Change("add", int(added), 0) if change == four else change for change in self.changes]
        self.ambiguous(chord_suffix(suspended.build()), chord_suffix(beside.build()))

    def copied(self) -> "SuffixParts":
        """Same parts, to be changed."""
        copy = SuffixParts(self.text, self.root)
        copy.third, copy.major_seventh, copy.number = self.third, self.major_seventh, self.number
        copy.suspensions, copy.changes = self.suspensions, list(self.changes)
        return copy
