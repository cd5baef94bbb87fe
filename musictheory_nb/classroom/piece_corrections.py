r"""What a teacher puts right in an analysis: a small readable file, used from then on.

One correction a line: a word, a place and, after a colon, what is right there. Bars are numbers as players count them.

::

    # Corrections to low-water.abc
    key: F major
    section 1: A
    section 9: B
    section 17: A'
    chord 12: G7alt
    chord 12 beat 3: Cm7
    sure 41-56: trading
    wrong 41-42: inner pedal point

``section`` lines, where there are any, give the whole plan, in the order of the written bars. ``sure`` confirms a finding that
the analysis was unsure of, ``wrong`` takes one out; both name it as the analysis does.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from fractions import Fraction
from pathlib import Path
from typing import Final

from musictheory_nb.classroom.plain_line import plain_line
from musictheory_nb.errors import LessonError, TheoryError
from musictheory_nb.score.finding_kind import FINDING_KINDS
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.key import Key

#: Largest file that is read, in bytes; a longer text is no list of corrections.
MAX_BYTES: Final = 256 * 1024
#: Longest label of a section.
MAX_LABEL: Final = 8
WORDS: Final = ("key", "section", "chord", "sure", "wrong")
_LINE: Final = re.compile(r"(?P<word>[a-z]+)(?:\s+(?P<place>[^:]*?))?\s*:\s*(?P<value>.*\S)\s*", re.IGNORECASE)
_CHORD_PLACE: Final = re.compile(r"(?P<bar>\S+)(?:\s+beat\s+(?P<beat>\d+(?:[./]\d+)?))?", re.IGNORECASE)
_SPAN: Final = re.compile(r"(?P<first>[^\s-]+)(?:\s*-\s*(?P<last>[^\s-]+))?")
_FORMS: Final = "'key: F major', 'section 9: B', 'chord 12: G7alt', 'chord 12 beat 3: Cm7', 'sure 41-56: trading'"


@dataclass(frozen=True, slots=True)
class ChordCorrection:
    """The chord that begins on a beat of a bar; `line` is its line in the file."""

    bar: str
    beat: Fraction
    chord: Chord
    line: int


@dataclass(frozen=True, slots=True)
class SectionCorrection:
    """A section that begins at a bar, with its label."""

    bar: str
    label: str
    line: int


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a finding of that name in those bars is right."""

    name: str
    first: str
    last: str
    is_right: bool
    line: int


@dataclass(frozen=True)
class Corrections:
    """All corrections of a file, in its order.

    Parameters
    ----------
    name : str
        Of the file, for errors.
    key : Key or None
        The key of the piece, where it is given.
    sections, chords, verdicts : tuple
        The other corrections.
    """

    name: str = ""
    key: Key | None = None
    sections: tuple[SectionCorrection, ...] = ()
    chords: tuple[ChordCorrection, ...] = ()
    verdicts: tuple[Verdict, ...] = field(default=())

    def error(self, line: int, message: str) -> LessonError:
        """Return an error that names the file and the line."""
        return LessonError(f"{self.name!r}, line {line}: {message}")


def read_corrections(path: Path) -> Corrections:
    """Read a file of corrections.

    Raises
    ------
    LessonError
        The file cannot be read, or a line is none of the forms; the line is named.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise LessonError(f"corrections {str(path)!r}: cannot be read ({error.strerror})") from None
    if len(data) > MAX_BYTES:
        raise LessonError(f"corrections {str(path)!r}: {len(data)} bytes; at most {MAX_BYTES} are read")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise LessonError(f"corrections {str(path)!r}: is no UTF-8 text; save it as UTF-8") from None
    return parse_corrections(text, path.name)


def parse_corrections(text: str, name: str = "corrections") -> Corrections:
    r"""Return the corrections of a text.

    Raises
    ------
    LessonError
        A line is none of the forms, or what it says cannot be read.

    Examples
    --------
    >>> found = parse_corrections("key: F major\nchord 12 beat 3: Cm7  # heard it\nsure 41-56: trading\n")
    >>> found.key.name, found.chords[0].chord.symbol, found.chords[0].beat, found.verdicts[0].last
    ('F major', 'Cm7', Fraction(3, 1), '56')
    >>> parse_corrections("tonality: F major")  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: 'corrections', line 1: 'tonality: F major' is no correction; write one of 'key: F ...
    """
    key: Key | None = None
    sections: list[SectionCorrection] = []
    chords: list[ChordCorrection] = []
    verdicts: list[Verdict] = []
    made = Corrections(name)
    for number, raw in enumerate(text.splitlines(), start=1):
        line = re.sub(r"(^|\s)#(\s.*|$)", "", raw).strip()
        if not line:
            continue
        match = _LINE.fullmatch(line)
        word = match["word"].lower() if match else ""
        if match is None or word not in WORDS or (word == "key") == bool(match["place"]):
            raise made.error(number, f"{plain_line(line, 60)!r} is no correction; write one of {_FORMS}")
        place, value = match["place"] or "", match["value"]
        try:
            if word == "key":
                key = Key(value)
            elif word == "section":
                sections.append(_section(place, value, number))
            elif word == "chord":
                chords.append(_chord(place, value, number))
            else:
                verdicts.append(_verdict(place, value, word == "sure", number))
        except TheoryError as error:
            raise made.error(number, str(error)) from None
        except ValueError as error:
            raise made.error(number, str(error)) from None
    return Corrections(name, key, tuple(sections), tuple(chords), tuple(verdicts))


def _section(place: str, value: str, line: int) -> SectionCorrection:
    if not place or " " in place:
        raise ValueError(f"section {place!r}: name the bar in which it begins, as 'section 9: B'")
    if len(value) > MAX_LABEL or not value.isprintable():
        raise ValueError(f"label {plain_line(value, 20)!r}: write at most {MAX_LABEL} characters, such as A or B'")
    return SectionCorrection(place, value, line)


def _chord(place: str, value: str, line: int) -> ChordCorrection:
    match = _CHORD_PLACE.fullmatch(place)
    if match is None:
        raise ValueError(
            f"chord {plain_line(place, 30)!r}: name bar and beat, as 'chord 12: G7' or 'chord 12 beat 3: G7'"
        )
    return ChordCorrection(match["bar"], Fraction(match["beat"] or 1), Chord(value), line)


def _verdict(place: str, value: str, is_right: bool, line: int) -> Verdict:
    match = _SPAN.fullmatch(place)
    if match is None:
        raise ValueError(f"bars {plain_line(place, 30)!r}: name them as 41-56, or 41 alone")
    name = value.casefold()
    names: Mapping[str, str] = {kind.casefold(): kind for kind in FINDING_KINDS}
    if name not in names:
        near = get_close_matches(name, list(names), n=1)
        meant = f"; did you mean {names[near[0]]!r}?" if near else f"; it is one of {', '.join(FINDING_KINDS)}"
        raise ValueError(f"finding {plain_line(value, 40)!r} is not a name of a finding{meant}")
    return Verdict(names[name], match["first"], match["last"] or match["first"], is_right, line)


def corrections_template(title: str, doubts: Sequence[tuple[str, str]]) -> str:
    """Return the text of a file of corrections in which every doubt stands as a comment, ready to be used.

    Parameters
    ----------
    title : str
        Of the piece.
    doubts : sequence of (str, str)
        A line that would confirm what the analysis says, and what makes it doubtful.

    Examples
    --------
    >>> print(corrections_template("Low Water", [("chord 12: G7", "55 % sure")]).splitlines()[-1])
    # chord 12: G7    # 55 % sure
    """
    width = max((len(line) for line, _ in doubts), default=0)
    told = [f"# {line:<{width}}    # {why}" for line, why in doubts] or ["# Nothing is in doubt."]
    return "\n".join(
        [
            f"# Corrections to {plain_line(title, 80)}. One a line; everything after a lone # is a remark.",
            f"# The forms: {_FORMS}, 'wrong 41-42: trading'.",
            "# What the analysis is not sure of stands below. Take away the first # of a line to confirm it, or write what is right.",
            "",
            *told,
            "",
        ]
    )
