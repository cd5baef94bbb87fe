"""Chord changes: the chords of some measures, from a teacher's text or from a piece.

In a text a bar stands between measures; the chords of a measure share its beats equally, or there is one for each beat
and ``/`` for a beat on which the chord stays; ``%`` repeats the measure before: ``Dm7 | G7 / / Db7 | Cmaj7 | %``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from musictheory_nb.errors import ExerciseError, TheoryError
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import Excerpt, ExcerptChord
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.rhythm_figure import METRES, beats_of
from musictheory_nb.theory.chord import Chord
from musictheory_nb.theory.interval import Interval

#: How many measures a line has.
FEWEST_MEASURES, MOST_MEASURES = 2, 8
_BAR, _SAME_MEASURE, _SAME_CHORD = "|", "%", "/"
#: Most characters of a text.
_LONGEST: Final = 300


@dataclass(frozen=True, slots=True)
class ChordSpan:
    """One chord: its symbol, where it begins in quarters from the beginning, how long it lasts."""

    symbol: str
    onset: Fraction
    quarters: Fraction

    @property
    def end(self) -> Fraction:
        """Where it ends."""
        return self.onset + self.quarters

    @property
    def chord(self) -> Chord:
        """The chord."""
        return chord_of(self.symbol)


@lru_cache(maxsize=2048)
def chord_of(symbol: str) -> Chord:
    """Return the chord of a symbol that was checked before."""
    return Chord(symbol)


@dataclass(frozen=True, slots=True)
class ChordChanges:
    """The chords of some measures; a chord that goes on over a barline is one span.

    Parameters
    ----------
    spans : tuple of ChordSpan
        In order, without gaps.
    metre : str
        Of all measures.
    measures : int
        How many.
    """

    spans: tuple[ChordSpan, ...]
    metre: str
    measures: int

    @property
    def length(self) -> Fraction:
        """Of all measures, in quarters."""
        return self.measures * measure_quarters(self.metre)

    def at(self, onset: Fraction) -> ChordSpan:
        """Return the chord at a place in quarters from the beginning."""
        return next(span for span in reversed(self.spans) if span.onset <= onset)

    def moved(self, interval: Interval) -> "ChordChanges":
        """Return all chords an interval higher.

        Raises
        ------
        TheoryError
            A name would need too many accidentals.

        Examples
        --------
        >>> [span.symbol for span in read_changes("Dm7 G7 | Cmaj7", "4/4").moved(Interval("M2")).spans]
        ['Em7', 'A7', 'Dmaj7']
        """
        if interval.semitones == 0:
            return self
        spans = tuple(ChordSpan(span.chord.up(interval).symbol, span.onset, span.quarters) for span in self.spans)
        return ChordChanges(spans, self.metre, self.measures)

    def words(self, display: Display) -> str:
        """Return the chords measure by measure, as printed.

        Examples
        --------
        >>> read_changes("Bbm7 Eb7 | Abmaj7 | %", "4/4").words(Display())
        'B♭m7 E♭7 | A♭maj7 | A♭maj7'
        """
        full = measure_quarters(self.metre)
        told = []
        for at in range(self.measures):
            inside = [span for span in self.spans if at * full < span.end and span.onset < (at + 1) * full]
            inside = [span for span in inside if span.end > at * full]
            told.append(" ".join(chord_words(span.symbol, display) for span in inside))
        return " | ".join(told)

    def printed(self) -> tuple[ExcerptChord, ...]:
        """Return the symbols where they stand above a staff."""
        full = measure_quarters(self.metre)
        return tuple(ExcerptChord(int(span.onset // full), span.onset % full, span.symbol) for span in self.spans)


@lru_cache(maxsize=2048)
def chord_words(symbol: str, display: Display) -> str:
    """Return a chord symbol as shown, in a system of names."""
    return chord_of(symbol).spelled(display.theory_names, printed=True)


def _joined(spans: Sequence[ChordSpan], metre: str, measures: int) -> ChordChanges:
    """Join spans of one chord that follow each other."""
    found: list[ChordSpan] = []
    for span in spans:
        if found and found[-1].symbol == span.symbol:
            found[-1] = ChordSpan(span.symbol, found[-1].onset, found[-1].quarters + span.quarters)
        else:
            found.append(span)
    return ChordChanges(tuple(found), metre, measures)


def _symbol(text: str, where: str) -> str:
    try:
        chord = Chord(text)
    except TheoryError as error:
        raise ExerciseError(f"{where}: {error}") from None
    if chord.is_no_chord:
        raise ExerciseError(f"{where}: {text!r} is no chord; a line needs one everywhere")
    return chord.symbol


@lru_cache(maxsize=1024)
def read_changes(text: str, metre: str) -> ChordChanges:
    """Read changes from a teacher's text.

    Raises
    ------
    ExerciseError
        A chord cannot be read, the beats cannot be shared, or there are too few or too many measures.

    Examples
    --------
    >>> [(span.symbol, str(span.onset)) for span in read_changes("Dm7 | G7 / / Db7 | Cmaj7 | %", "4/4").spans]
    [('Dm7', '0'), ('G7', '4'), ('Db7', '7'), ('Cmaj7', '8')]
    >>> read_changes("Dm7 G7 | C", "3/4")
    Traceback (most recent call last):
    musictheory_nb.errors.ExerciseError: changes 'Dm7 G7 | C': measure 1 has 2 chords for 3 beats; write one for each beat, and / where it stays, as 'Dm7 / G7'
    """
    where = f"changes {text!r}"
    beats, full = beats_of(metre), measure_quarters(metre)
    measures = [measure.split() for measure in text.strip().strip(_BAR).split(_BAR)]
    if len(text) > _LONGEST or not FEWEST_MEASURES <= len(measures) <= MOST_MEASURES:
        raise ExerciseError(
            f"{where}: {len(measures)} measures; write {FEWEST_MEASURES} to {MOST_MEASURES}, with | between them"
        )
    spans: list[ChordSpan] = []
    before: list[ChordSpan] = []
    for at, tokens in enumerate(measures):
        start = at * full
        if tokens == [_SAME_MEASURE] and at:
            spans += [ChordSpan(span.symbol, span.onset + full, span.quarters) for span in before]
            before = spans[-len(before) :]
            continue
        if not tokens or len(beats) % len(tokens):
            example = "'Dm7 / G7'" if len(beats) == 3 else "'Dm7 / G7 /'"
            raise ExerciseError(
                f"{where}: measure {at + 1} has {len(tokens)} chords for {len(beats)} beats; write one for each beat, and "
                f"/ where it stays, as {example}"
            )
        group = len(beats) // len(tokens)
        before = []
        for number, token in enumerate(tokens):
            onset = start + beats[number * group].onset
            quarters = sum((beat.quarters for beat in beats[number * group : (number + 1) * group]), Fraction(0))
            last = [*spans, *before][-1] if spans or before else None
            if token == _SAME_CHORD and last is None:
                raise ExerciseError(f"{where}: it begins with /; begin with a chord")
            symbol = last.symbol if token == _SAME_CHORD and last else _symbol(token, where)
            before.append(ChordSpan(symbol, onset, quarters))
        spans += before
    return _joined(spans, metre, len(measures))


@lru_cache(maxsize=256)
def changes_of_excerpt(excerpt: Excerpt, first: str, last: str) -> ChordChanges:
    """Return the changes over measures of a piece, by their printed numbers; a chord holds until the next one.

    Raises
    ------
    ExerciseError
        There are no such measures, too few or too many, of several metres or cut short; or no chord stands at their
        beginning.
    """
    start, end = excerpt.measure_index(first), excerpt.measure_index(last)
    count = end - start + 1
    where = f"measures {first} to {last}"
    if not FEWEST_MEASURES <= count <= MOST_MEASURES:
        raise ExerciseError(f"{where}: {count} measures; choose {FEWEST_MEASURES} to {MOST_MEASURES}")
    inside = excerpt.measures[start : end + 1]
    metre = inside[0].metre
    if metre not in METRES or any(one.metre != metre or one.length != measure_quarters(metre) for one in inside):
        raise ExerciseError(f"{where}: choose full measures of one metre of {', '.join(METRES)}")
    full = measure_quarters(metre)
    told = sorted((chord.measure, chord.onset, chord.text) for chord in excerpt.chords if chord.measure <= end)
    held = [text for measure, onset, text in told if (measure, onset) <= (start, Fraction(0))]
    marks = [(Fraction(0), held[-1])] if held else []
    marks += [((m - start) * full + onset, text) for m, onset, text in told if (m, onset) > (start, Fraction(0))]
    if not marks or marks[0][0] != 0:
        raise ExerciseError(f"{where}: no chord symbol stands at their beginning; choose other measures")
    ends = [onset for onset, _ in marks[1:]] + [count * full]
    spans = [
        ChordSpan(_symbol(text, where), onset, following - onset)
        for (onset, text), following in zip(marks, ends, strict=True)
    ]
    return _joined(spans, metre, count)
