"""The grammar of what stands behind the root of a chord symbol: ``m7(b5)``, ``7alt``, ``6/9``, ``-Δ9``.

Written as musicians write it on charts::

    suffix      third [seventh] [number] tail
    third       (nothing) maj ma M · m mi min - · dim ° o · ø half-dim · aug + · sus sus2 sus4 · 5
    seventh     maj ma M Δ ^ j       (Δ alone is a major seventh chord; maj alone a major triad)
    number      6 6/9 7 9 11 13      (the seventh is minor unless the chord says maj, diminished in a dim chord)
    tail        alterations  b5 #9 -9 +11 (5- and 9+ behind a slash or in brackets)
                sus, alt, +          (+ with no degree behind it raises the fifth; also 4sus, 7/4sus)
                add9 addb13, no3 omit5
                a bare number only in brackets, or behind a comma, blank or slash

An alteration replaces the natural tone of its number, or is added where the chord has none. In a chord with a seventh
2, 4 and 6 without `add` mean 9, 11 and 13. A natural number in brackets is added and implies nothing below it.
The text arrives in plain signs, without blanks (see `chord_text`).
"""

import re
from typing import Final, NamedTuple, NoReturn

from musictheory_nb.errors import ChordError
from musictheory_nb.theory.chord_degree import DEGREE_ACCIDENTALS
from musictheory_nb.theory.chord_suffix_parts import Change, SuffixParts

#: What a bare 2 behind the root means, with what each choice does.
TWO_SETTINGS: Final = {"add": "C2 is a triad with an added 2 (default)", "sus": "C2 is Csus2"}

_TOKEN: Final = re.compile(
    r"""
    (?P<open>[(\[{]) | (?P<close>[)\]}]) | (?P<comma>[,;]|\.(?=[#b+♮-])) | (?P<slash>/)
  | (?P<no>(?i:no|omit|without|w/o)) (?P<root>(?i:root))?
  | (?P<add>(?i:added|add)\.?)
  | (?P<sus>(?i:suspended|sus)\.?) (?P<suspensions>24|42|2/4|4/2|[#b]?[24](?!\d)|)
  | (?P<alt>(?i:altered|alt)\.?)
  | (?P<half>(?i:half-?dim(?:inished)?|hdim)|ø|h(?=7|9|11|$))
  | (?P<dim>(?i:(?:fully?-?)?(?:diminished|dim\.?))|°|o(?!mit))
  | (?P<aug>(?i:augmented|aug\.?))
  | (?P<dom>(?i:dominant|dom\.?))
  | (?P<major>(?i:major|maj\.?|ma(?!dd|ug|lt)\.?)|M(?![iI])|[jJ](?=\d))
  | (?P<delta>Δ|\^)
  | (?P<minor>(?:(?i:minor|min(?!o)\.?|mi\.?)|m)(?:-(?=(?i:maj)|M|Δ))?)
  | (?P<degree>(?P<sign>bb|\#\#|b|\#|♮|\+|-) (?P<of>1[0-3]|[1-9])(?!\d))
  | (?P<plus>\+) | (?P<minus>-)
  | (?P<number>\d+) (?:(?i:st|nd|rd|th))?
    """,
    re.VERBOSE,
)
_SIGN_ALTER: Final = {"bb": -2, "b": -1, "-": -1, "♮": 0, "#": 1, "+": 1, "##": 2}
_NUMBERS: Final = {"6": 6, "7": 7, "9": 9, "11": 11, "13": 13}
_SUSPENDED: Final = {"": ("4",), "24": ("2", "4"), "42": ("2", "4"), "2/4": ("2", "4"), "4/2": ("2", "4")}
#: The suspended tone before the word: 4sus, 7/4sus, 2sus.
_SUSPENSION_AFTER_NUMBER: Final = re.compile(r"(?:^([m-]?)|/)(2/4|4/2|24|42|[24])(?i:suspended|sus)\.?(?![24#b])")
#: Alterations that stand without `add`.
_ALTERATIONS: Final = frozenset(["b5", "#5", "b9", "#9", "b10", "#11", "b13", "#4", "b6", "b2", "#2"])


class SuffixReading(NamedTuple):
    """Degrees of a suffix, and whether it says itself what the third is (``m``, ``maj``, ``dim``, ``sus``, ``5``)."""

    degrees: tuple[str, ...]
    tells_third: bool


def read_suffix(suffix: str, text: str, root: str, two: str = "add") -> SuffixReading:
    """Read the suffix of a chord symbol.

    Parameters
    ----------
    suffix : str
        What stands behind the root, in plain signs and without blanks.
    text : str
        The whole text as it was given, for messages.
    root : str
        Name of the root, for the readings of an ambiguous text.
    two : {'add', 'sus'}
        What a bare 2 means.

    Raises
    ------
    ChordError
        The suffix is no chord suffix.
    AmbiguousError
        It has more than one reading.

    Examples
    --------
    >>> read_suffix("m7(b5)", "Cm7(b5)", "C").degrees
    ('1', 'b3', 'b5', 'b7')
    >>> read_suffix("7+9", "C7+9", "C").degrees, read_suffix("+9", "C+9", "C").degrees
    (('1', '3', '5', 'b7', '#9'), ('1', '3', '#5', 'b7', '9'))
    >>> read_suffix("4", "C4", "C")
    Traceback (most recent call last):
    musictheory_nb.errors.AmbiguousError: chord 'C4': may be Csus4 or C(add4); write one of these
    """
    reader = _Reader(suffix, text, root, two)
    reader.scan()
    degrees = reader.build()
    return SuffixReading(degrees, reader.tells_third())


class _Reader(SuffixParts):
    """One reading: scans the suffix into its parts."""

    __slots__ = ("depth", "last", "listed", "pos", "suffix", "two")

    def __init__(self, suffix: str, text: str, root: str, two: str) -> None:
        super().__init__(text, root)
        self.suffix, self.two = _SUSPENSION_AFTER_NUMBER.sub(r"\1sus\2", suffix), two
        self.pos = 0
        self.depth = 0
        self.listed = False  # a bare number is allowed here
        self.last = ""  # kind of the token before: "add", "no", "major", "number" …, or "add," inside a list

    def scan(self) -> None:
        suffix, end, match_token = self.suffix, len(self.suffix), _TOKEN.match
        while self.pos < end:
            match = match_token(suffix, self.pos)
            if match is None:
                self.fail()
            kind = match.lastgroup or ""
            start, self.pos = self.pos, match.end()
            if kind == "number":
                self.last = self.on_number(match["number"], start)
            elif kind == "degree":
                self.last = self.on_degree(match["sign"], match["of"], start)
            elif kind in ("suspensions", "sus"):
                self.last = self.on_sus(match["suspensions"], start)
            elif kind in ("no", "root"):
                self.last = self.on_no(match["root"], start)
            else:
                self.last = getattr(self, "on_" + kind)(start)
        if self.depth:
            raise ChordError(f"chord {self.text!r}: a bracket is not closed")
        if self.last.endswith(("comma", ",")):
            self.fail(end - 1)
        if self.last in ("add", "no"):
            raise ChordError(f"chord {self.text!r}: say which tone behind {self.last!r}, such as '{self.last}5'")
        if self.last == "dom" and self.number is None:
            raise ChordError(f"chord {self.text!r}: say which dominant, such as '{self.root}7'")

    def fail(self, at: int | None = None) -> NoReturn:
        rest = self.suffix[self.pos if at is None else at :]
        raise ChordError(
            f"chord {self.text!r}: cannot read {rest!r}; behind a root come qualities such as m, maj7, 7, dim, ø, sus4, "
            "alterations such as b9 and #11, add9, no3, and a bass such as /E"
        )

    def ambiguous_here(self, *suffixes: str) -> NoReturn:
        """Refuse what has been scanned so far, with its readings before the rest of the suffix."""
        self.ambiguous(*(suffix + self.suffix[self.pos :] for suffix in suffixes))

    @property
    def at_head(self) -> bool:
        return self.third is None and self.number is None and not (self.changes or self.suspensions or self.alt)

    def on_open(self, start: int) -> str:
        self.depth += 1
        self.listed = True
        return self.last if self.last in ("add", "no") else "open"

    def on_close(self, start: int) -> str:
        self.depth -= 1
        self.listed = False
        if self.depth < 0 or self.last in ("add", "no", "open") or self.last.endswith(("comma", ",")):
            self.fail(start)
        return "close"

    def on_comma(self, start: int) -> str:
        self.listed = True
        if self.last in ("add", "no", "open") or self.last.endswith(("comma", ",")):
            self.fail(start)
        return {"added": "add,", "omitted": "no,"}.get(self.last, "comma")

    on_slash = on_comma

    def on_no(self, root: str | None, start: int) -> str:
        if root:
            self.changes.append(Change("no", 1, None))
            return "omitted"
        return "no"

    def on_add(self, start: int) -> str:
        return "add"

    def on_alt(self, start: int) -> str:
        if self.third not in (None, "dom") or self.number not in (None, "7") or self.changes or self.suspensions:
            self.fail(start)
        self.alt = True
        return "alt"

    def on_sus(self, suspensions: str, start: int) -> str:
        if self.third in ("dim", "half", "5") or self.alt:
            self.fail(start)
        if self.third == "m":
            number = self.number or ""
            rest = suspensions or "4"
            self.ambiguous_here(f"{number}sus{rest}", f"m{number}(add{rest.replace('4', '11') if number else rest})")
        self.suspensions += tuple(
            degree for degree in _SUSPENDED.get(suspensions, (suspensions,)) if degree not in self.suspensions
        )
        return "sus"

    def on_half(self, start: int) -> str:
        if not self.at_head:
            self.fail(start)
        self.third = "half"
        return "third"

    def on_dim(self, start: int) -> str:
        if self.at_head:
            self.third = "dim"
            return "third"
        if self.suffix.startswith("5", self.pos):  # 7dim5, m7°5
            self.pos += 1
            self.changes.append(Change("alter", 5, -1))
            return "altered"
        self.fail(start)

    def on_aug(self, start: int) -> str:
        if self.at_head:
            self.third = "aug"
            return "third"
        if self.third in ("dim", "half", "aug", "5") or self.last in ("add", "no"):
            self.fail(start)
        if self.suffix.startswith("5", self.pos):
            self.pos += 1
        self.changes.append(Change("alter", 5, 1))
        return "altered"

    def on_dom(self, start: int) -> str:
        if self.last == "alt":  # altered dominant
            return "alt"
        if not self.at_head:
            self.fail(start)
        self.third = "dom"
        return "dom"

    def on_minor(self, start: int) -> str:
        if not self.at_head:
            self.fail(start)
        self.third = "m"
        return "third"

    on_minus = on_minor
    on_plus = on_aug

    def on_delta(self, start: int) -> str:
        return self.on_major(start, delta=True)

    def on_major(self, start: int, *, delta: bool = False) -> str:
        if self.last in ("add", "add,"):
            self.take_seven(start)
            self.changes.append(Change("add", 7, 0))
            return "added"
        if self.last == "no" or self.third == "half" or self.alt:
            self.fail(start)
        if self.number is None and self.third is None and not self.suspensions:
            if not self.changes:
                self.third = "maj"
            self.major_seventh = self.major_seventh or delta
            return "delta" if delta else "major"
        if self.number in ("6", "69") or (self.third, self.number) == ("dim", "7") or self.third == "5":
            self.take_seven(start)
            self.changes.append(Change("add", 7, 0))
            return "added"
        if self.major_seventh or (self.third == "maj" and not delta):
            self.fail(start)
        if self.number is None:  # mM7, -Δ, +maj7, sus4(maj7), (maj7)
            self.major_seventh = True
            return "delta" if delta else "major"
        if self.third in (None, "m", "dim", "aug") and (self.third is not None or not self.depth):
            self.take_seven(start, optional=self.last == "number")  # 7M, m9(maj7)
            self.major_seventh = True
            return "number"
        self.fail(start)

    def take_seven(self, start: int, *, optional: bool = False) -> None:
        if self.suffix.startswith("7", self.pos):
            self.pos += 1
        elif not optional:
            self.fail(start)

    def on_number(self, digits: str, start: int) -> str:
        if self.last in ("add", "add,", "no", "no,"):
            return self.on_degree("", digits, start)
        if self.last in ("major", "delta"):
            return self.on_major_number(digits, start)
        may_head = self.number is None and self.third != "5" and not self.changes
        if may_head and (not self.listed or digits in ("7", "69")):
            return self.on_head_number(digits, start)
        if self.last == "alt" and digits == "7":
            return "alt"
        if self.listed:
            sign = self.suffix[self.pos : self.pos + 1]
            follows = self.suffix[self.pos + 1 : self.pos + 2]
            if sign and sign in "+-#b" and not follows.isdigit():  # 5- 9+ 11#
                self.pos += 1
                return self.on_degree(sign, digits, start)
            return self.on_degree("", digits, start)
        self.fail(start)

    def on_major_number(self, digits: str, start: int) -> str:
        if digits in ("7", "9", "11", "13"):
            self.number, self.major_seventh = digits, True
        elif digits in ("6", "69") and self.third == "maj" and self.last == "major":
            self.number = digits
        else:
            self.fail(start)
        return "number"

    def on_head_number(self, digits: str, start: int) -> str:
        third = self.third
        if digits in _NUMBERS or digits == "69":
            if (digits in ("6", "69") and third in ("dim", "half", "aug", "dom")) or (
                digits == "13" and third == "dim"
            ):
                self.fail(start)
            self.number = digits
            return "number"
        if digits == "5" and third is None and not self.suspensions:
            self.third = "5"
            return "number"
        if digits == "2" and third in (None, "maj", "m") and not self.suspensions:
            if self.two == "add":
                self.changes.append(Change("add", 2, 0))
            elif third == "m":
                self.ambiguous_here("sus2", "m(add2)")
            else:
                self.suspensions = ("2",)
            return "added"
        if digits == "4" and third in (None, "m") and not self.suspensions:
            self.ambiguous_here("sus4", f"{third or ''}(add4)")
        if digits == "96":
            self.ambiguous_here("6/9", "9(add6)")
        self.fail(start)

    def on_degree(self, sign: str, digits: str, start: int) -> str:
        number = int(digits)
        adding = self.last in ("add", "add,")
        if self.last == "no" or (self.last == "no," and not sign):
            if number > 13:
                self.fail(start)
            self.changes.append(Change("no", number, _SIGN_ALTER[sign] if sign else None))
            return "omitted"
        if self.last == "add," and sign and number == 5:
            adding = False
        if adding:
            return self.on_added(sign, number, start)
        if sign in ("+", "-") and self.on_leading_sign(sign, number):
            return "third"
        if number == 7:
            return self.on_seventh(sign, start)
        alter = _SIGN_ALTER[sign] if sign else 0
        if number == 5 and self.third == "5":
            self.fail(start)
        if alter and DEGREE_ACCIDENTALS[alter] + digits not in _ALTERATIONS:
            self.refuse_alteration(sign, number, start)
        if not alter and number not in (2, 3, 4, 6, 9, 11, 13) and (sign != "♮" or number != 5):
            self.fail(start)
        if number == 6 and not alter and self.number == "9" and not self.major_seventh:
            self.ambiguous_here("6/9", "9(add6)")
        if sign == "-" and number == 9 and self.number == "6":
            self.ambiguous_here("6/9", "6(b9)")
        if number == 3 and not (self.suspensions or self.third == "5"):
            raise ChordError(f"chord {self.text!r}: has its third; a bass is written as a note, such as C/E")
        self.changes.append(Change("alter", number, alter))
        return "altered"

    def on_added(self, sign: str, number: int, start: int) -> str:
        if not 2 <= number <= 13 and not (sign and 1 <= number <= 13):
            self.fail(start)
        if number == 7 and not sign:
            self.ambiguous_here("7", "maj7")
        self.changes.append(Change("add", number, _SIGN_ALTER[sign] if sign else 0))
        return "added"

    def on_leading_sign(self, sign: str, number: int) -> bool:
        """Whether a sign right behind the root is a quality (C-7, C+7) and not an accidental (C-5, C7-5)."""
        if not self.at_head or self.depth or self.listed or number == 5:
            return False
        if sign == "+" and number in (11, 13):
            self.ambiguous_here(f"{number}(#5)", f"(add#{number})")
        self.third = "m" if sign == "-" else "aug"
        self.pos -= len(str(number))
        return True

    def on_seventh(self, sign: str, start: int) -> str:
        alter = _SIGN_ALTER[sign] if sign else None
        if sign == "+" and self.third == "m" and self.number is None:
            self.ambiguous_here("m(maj7)", "m7(#5)")
        if alter == -2 and self.third == "dim":
            self.number = "7"
        elif alter == -1 and self.number not in (None, "6", "69") and not self.major_seventh:
            self.fail(start)
        elif alter == -1 or (sign == "" and (self.suspensions or self.number or self.third == "5" or self.changes)):
            self.changes.append(Change("add", 7, -1))
        elif (sign == "♮" and self.third != "half") or (sign == "#" and self.third == "m"):
            self.number, self.major_seventh = self.number or "7", True
        else:
            self.fail(start)
        return "number"

    def refuse_alteration(self, sign: str, number: int, start: int) -> NoReturn:
        written = {"+": "#", "-": "b"}.get(sign, sign) + str(number)
        if number == 3:
            raise ChordError(f"chord {self.text!r}: a flat third makes the chord minor; write '{self.root}m'")
        raise ChordError(
            f"chord {self.text!r}: {written!r} is no alteration in use; write 'add{written}' if that tone is meant"
        )
