"""A few measures of music, or a whole piece, as plain data.

An excerpt is what a lesson shows and sounds: drawn by rule, or cut from a score and frozen into the lesson, so that
an upgrade of a library changes nothing. It knows no file format and no library.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property
from typing import Any, Final

from musictheory_nb.errors import ExerciseError
from musictheory_nb.practice.plain_data import JSON, digest

#: The clefs that notation is written in.
CLEFS: Final = ("treble", "bass", "alto", "tenor", "treble-8")
TIES: Final = ("", "start", "stop", "continue")
#: How a part may sound: like a struck or plucked string, like a held one or a pipe, or a plain tone.
TIMBRES: Final = ("struck", "plucked", "held", "plain")
_METRE: Final = re.compile(r"[1-9][0-9]?/(1|2|4|8|16|32)")


def _fraction(value: Any, what: str) -> Fraction:
    try:
        return Fraction(value)
    except (TypeError, ValueError, ArithmeticError):
        raise ExerciseError(f"excerpt: {what} {value!r} is no number of quarters, such as 1 or '3/2'") from None


def _text(value: Fraction) -> JSON:
    return int(value) if value.denominator == 1 else f"{value.numerator}/{value.denominator}"


@dataclass(frozen=True, slots=True)
class ExcerptPart:
    """One line of the score.

    Parameters
    ----------
    name : str
        ``'Violin I'``.
    clef : str
        One of `CLEFS`. A part of several staves (piano) is written as several parts of the same `group`.
    short : str
        Short name for the margin.
    group : int
        Parts of one player share a number above 0 and are braced together; 0 stands alone.
    chromatic, diatonic : int
        From written to sounding pitch, in semitones and in steps, as MusicXML's ``transpose`` (double bass: -12, -7).
    timbre : str
        How it sounds, one of `TIMBRES`.
    """

    name: str
    clef: str = "treble"
    short: str = ""
    group: int = 0
    chromatic: int = 0
    diatonic: int = 0
    timbre: str = "struck"


@dataclass(frozen=True, slots=True)
class ExcerptMeasure:
    """One measure.

    Parameters
    ----------
    number : str
        As players count it; ``'0'`` for a pickup.
    length : Fraction
        In quarters, as it really is (a pickup is short).
    metre : str
        ``'3/4'``.
    fifths : int
        Key signature: sharps above 0, flats below.
    mark : str
        Rehearsal mark or section name printed above it.
    repeat_start, repeat_end, double_bar : bool
        Barlines: a repeat opening at its left, closing at its right; a double bar at its right.
    ending : str
        ``'1'`` or ``'2'`` under a bracket.
    """

    number: str
    length: Fraction
    metre: str = "4/4"
    fifths: int = 0
    mark: str = ""
    repeat_start: bool = False
    repeat_end: bool = False
    double_bar: bool = False
    ending: str = ""


@dataclass(frozen=True, slots=True)
class ExcerptNote:
    """One note, chord or rest in a part.

    Parameters
    ----------
    part, measure : int
        Indices into the excerpt's parts and measures, from 0.
    onset, duration : Fraction
        In quarters; the onset from the start of its measure. A grace note has duration 0.
    pitches : tuple of str
        Written pitches from low to high (``'F#4'``); none for a rest.
    voice : int
        1 or more.
    tie : str
        One of `TIES`: how it is tied to its neighbours.
    """

    part: int
    measure: int
    onset: Fraction
    duration: Fraction
    pitches: tuple[str, ...] = ()
    voice: int = 1
    tie: str = ""


@dataclass(frozen=True, slots=True)
class ExcerptChord:
    """A chord symbol above a beat: measure index, onset in quarters from its start, text as written."""

    measure: int
    onset: Fraction
    text: str


@dataclass(frozen=True)
class Excerpt:
    """Music as plain data.

    Parameters
    ----------
    parts, measures, notes, chords : sequences
        See the classes of this module. Notes stand in any order; they are kept as given.
    title, composer, source : str
        Where it comes from.
    tempo : Fraction
        Quarters a minute.

    Raises
    ------
    ExerciseError
        A note outside the parts or measures, a clef, timbre, metre or tie that is not known.

    Examples
    --------
    >>> two = Excerpt.melody(["B3", "F4"])
    >>> [note.pitches[0] for note in two.notes], two.measures[0].metre
    (['B3', 'F4'], '2/4')
    >>> Excerpt.from_data(two.to_data()) == two
    True
    """

    parts: tuple[ExcerptPart, ...]
    measures: tuple[ExcerptMeasure, ...]
    notes: tuple[ExcerptNote, ...]
    chords: tuple[ExcerptChord, ...] = ()
    title: str = ""
    composer: str = ""
    source: str = ""
    tempo: Fraction = field(default=Fraction(96))

    def __post_init__(self) -> None:
        if not self.parts or not self.measures:
            raise ExerciseError("excerpt: it needs at least one part and one measure")
        for part in self.parts:
            if part.clef not in CLEFS:
                raise ExerciseError(f"excerpt: clef {part.clef!r} of part {part.name!r}; allowed: {', '.join(CLEFS)}")
            if part.timbre not in TIMBRES:
                raise ExerciseError(
                    f"excerpt: timbre {part.timbre!r} of part {part.name!r}; allowed: {', '.join(TIMBRES)}"
                )
        for measure in self.measures:
            if not _METRE.fullmatch(measure.metre):
                raise ExerciseError(f"excerpt: metre {measure.metre!r} of measure {measure.number}; write '3/4'")
            if measure.length <= 0:
                raise ExerciseError(f"excerpt: measure {measure.number} has no length")
        for note in self.notes:
            if not (0 <= note.part < len(self.parts) and 0 <= note.measure < len(self.measures)):
                raise ExerciseError(f"excerpt: note {note} lies outside the {len(self.measures)} measures")
            if note.tie not in TIES:
                raise ExerciseError(f"excerpt: tie {note.tie!r}; allowed: {', '.join(map(repr, TIES))}")
            if note.onset < 0 or note.duration < 0:
                raise ExerciseError(f"excerpt: note {note} has a negative onset or duration")

    @classmethod
    def melody(
        cls,
        pitches: Sequence[str],
        durations: Sequence[Fraction | int] | None = None,
        *,
        clef: str = "treble",
        fifths: int = 0,
        tempo: int = 96,
        timbre: str = "struck",
        together: bool = False,
        chord: str = "",
    ) -> "Excerpt":
        """Return one measure that holds `pitches` in turn, or at once with `together`.

        Durations are quarters, one each; by default a quarter each (a whole note when together).
        """
        part = ExcerptPart("", clef, timbre=timbre)
        chords = (ExcerptChord(0, Fraction(0), chord),) if chord else ()
        if together:
            length = Fraction(durations[0] if durations else 4)
            notes: tuple[ExcerptNote, ...] = (ExcerptNote(0, 0, Fraction(0), length, tuple(pitches)),)
        else:
            steps = [Fraction(d) for d in durations] if durations else [Fraction(1)] * len(pitches)
            notes = tuple(
                ExcerptNote(0, 0, sum(steps[:at], Fraction(0)), steps[at], (pitch,) if pitch else ())
                for at, pitch in enumerate(pitches)
            )
            length = sum(steps, Fraction(0))
        unit = 4 if length.denominator == 1 else 4 * length.denominator
        metre = f"{int(length * unit / 4)}/{unit}"
        return cls((part,), (ExcerptMeasure("1", length, metre, fifths),), notes, chords, tempo=Fraction(tempo))

    def __hash__(self) -> int:
        """Hash of the content, worked out once."""
        return hash(self.digest)

    @cached_property
    def digest(self) -> str:
        """``'sha256:…'`` over the whole content."""
        return digest(self.to_data())

    @cached_property
    def starts(self) -> tuple[Fraction, ...]:
        """Onset of each measure in quarters from the beginning, and the end of the last one."""
        at = [Fraction(0)]
        for measure in self.measures:
            at.append(at[-1] + measure.length)
        return tuple(at)

    def measure_index(self, number: str) -> int:
        """Return the index of the first measure that is printed with `number`.

        Raises
        ------
        ExerciseError
            No measure has that number.
        """
        for at, measure in enumerate(self.measures):
            if measure.number == str(number):
                return at
        first, last = self.measures[0].number, self.measures[-1].number
        raise ExerciseError(f"measure {number!r}: this excerpt has the measures {first} to {last}")

    def cut(self, first: int, last: int, parts: Sequence[int] = ()) -> "Excerpt":
        """Return measures `first` to `last` (indices, both included), of all parts or only of `parts` (indices)."""
        if not 0 <= first <= last < len(self.measures):
            raise ExerciseError(
                f"measures {first} to {last}: this excerpt has the indices 0 to {len(self.measures) - 1}"
            )
        kept = tuple(parts) or tuple(range(len(self.parts)))
        place = {part: at for at, part in enumerate(kept)}
        return replace(
            self,
            parts=tuple(self.parts[part] for part in kept),
            measures=self.measures[first : last + 1],
            notes=tuple(
                replace(note, part=place[note.part], measure=note.measure - first)
                for note in self.notes
                if first <= note.measure <= last and note.part in place
            ),
            chords=tuple(replace(c, measure=c.measure - first) for c in self.chords if first <= c.measure <= last),
        )

    def to_data(self) -> dict[str, JSON]:
        """Return the excerpt as JSON values: compact rows whose columns are the fields of the classes, in order."""
        return {
            "title": self.title,
            "composer": self.composer,
            "source": self.source,
            "tempo": _text(self.tempo),
            "parts": [[p.name, p.clef, p.short, p.group, p.chromatic, p.diatonic, p.timbre] for p in self.parts],
            "measures": [
                [
                    m.number,
                    _text(m.length),
                    m.metre,
                    m.fifths,
                    m.mark,
                    int(m.repeat_start),
                    int(m.repeat_end),
                    int(m.double_bar),
                    m.ending,
                ]
                for m in self.measures
            ],
            "notes": [
                [n.part, n.measure, _text(n.onset), _text(n.duration), " ".join(n.pitches), n.voice, n.tie]
                for n in self.notes
            ],
            "chords": [[c.measure, _text(c.onset), c.text] for c in self.chords],
        }

    @classmethod
    def from_data(cls, data: Mapping[str, JSON]) -> "Excerpt":
        """Read what `to_data` writes.

        Raises
        ------
        ExerciseError
            A row is missing or of another shape.
        """
        try:
            return cls(
                parts=tuple(ExcerptPart(*row) for row in data["parts"]),
                measures=tuple(
                    ExcerptMeasure(
                        str(row[0]),
                        _fraction(row[1], "length"),
                        row[2],
                        int(row[3]),
                        row[4],
                        bool(row[5]),
                        bool(row[6]),
                        bool(row[7]),
                        row[8],
                    )
                    for row in data["measures"]
                ),
                notes=tuple(
                    ExcerptNote(
                        int(row[0]),
                        int(row[1]),
                        _fraction(row[2], "onset"),
                        _fraction(row[3], "duration"),
                        tuple(row[4].split()),
                        int(row[5]),
                        row[6],
                    )
                    for row in data["notes"]
                ),
                chords=tuple(ExcerptChord(int(r[0]), _fraction(r[1], "onset"), str(r[2])) for r in data["chords"]),
                title=str(data["title"]),
                composer=str(data["composer"]),
                source=str(data["source"]),
                tempo=_fraction(data["tempo"], "tempo"),
            )
        except ExerciseError:
            raise
        except (KeyError, IndexError, TypeError, AttributeError, ValueError) as error:
            raise ExerciseError(f"excerpt data: {type(error).__name__}: {error}") from None
