"""What a line over chord changes is checked for, measure by measure, by the criteria that a teacher sets.

Notes
-----
The criteria are those of improvisation and bass-line teaching, common practice, no source. What a note is over its chord
says `theory.note_role`; what is hard to play says `instrument.fingering`.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType
from typing import Final

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.fingering import finger_line
from musictheory_nb.instrument.fingering_cost import FingeringCost
from musictheory_nb.instrument.instrument import Instrument
from musictheory_nb.practice.aligned_distance import LineNote
from musictheory_nb.practice.chord_changes import ChordChanges, ChordSpan, chord_words
from musictheory_nb.practice.counting_words import listed
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.metre_beat import measure_quarters
from musictheory_nb.practice.metric_cut import strong_places
from musictheory_nb.practice.place_words import beat_at
from musictheory_nb.practice.rhythm_figure import beats_of
from musictheory_nb.theory.chord_scale import scales_for
from musictheory_nb.theory.note_role import NoteRole, note_roles
from musictheory_nb.theory.pitch import Pitch
from musictheory_nb.theory.scale import Scale

#: The criteria: what each asks.
CRITERIA: Final = MappingProxyType(
    {
        "chord tones": "chord tones at the places that ``strong`` names; a rest there is let pass",
        "scale": "notes of the scales that ``scales`` names; others only where they are led on by step to a chord tone",
        "avoid notes": "no avoid note of a chord rested on or left by leap",
        "approach": "each new chord begun with one of its tones, reached from the note before as ``approach_by`` says",
        "range": "notes from ``low`` to ``high``",
        "playable": "no hard spot for the left hand at the tempo, on the string instrument that ``transposition`` names",
        "complete": "measures filled with notes and rests",
    }
)
#: Where chord tones are asked for.
STRONG: Final = MappingProxyType(
    {
        "chord changes": "where a chord begins",
        "strong beats": "where a chord begins and on strong beats",
        "every beat": "on every beat",
    }
)
#: How a new chord is approached, with the widest step in semitones.
APPROACHES: Final = MappingProxyType({"half step": 1, "step": 2})
#: What a note with the move to it costs by the table of `fingering_cost` from which on it counts as hard to play here: a
#: shift of eight half steps with time for it, or of two in a quarter of the time that hurry begins at.
_HARD: Final = FingeringCost(hard_spot=6.0)
#: Roles of notes that are led on.
_LED_ON: Final = frozenset({"passing", "neighbour", "approach", "suspension", "anticipation"})


@dataclass(frozen=True, slots=True)
class LineCriteria:
    """The criteria of one item.

    Parameters
    ----------
    names : tuple of str
        Which of `CRITERIA` count.
    strong, approach_by : str
        A key of `STRONG` and of `APPROACHES`.
    scales : tuple of str
        One for each chord; none for the scales that are taught with it.
    key : str
        Key from which the scale of a chord is taken; empty for none.
    low_midi, high_midi : int
        Lowest and highest written note.
    instrument : str
        On which it is played; empty for none.
    shift : int
        Semitones from written to sounding pitch.
    tempo : Fraction
        Quarters a minute.
    """

    names: tuple[str, ...]
    strong: str = "strong beats"
    approach_by: str = "step"
    scales: tuple[str, ...] = ()
    key: str = ""
    low_midi: int = 0
    high_midi: int = 127
    instrument: str = ""
    shift: int = 0
    tempo: Fraction = Fraction(96)


@dataclass(frozen=True, slots=True)
class Fault:
    """What is wrong at one place: the criterion, in words, the index of the note (None where there is none)."""

    criterion: str
    words: str
    note: int | None = None


@dataclass(frozen=True, slots=True)
class JudgedMeasure:
    """One measure: by criterion the share that is met (None where it does not apply), and the faults."""

    shares: tuple[tuple[str, Fraction | None], ...]
    faults: tuple[Fault, ...]

    @property
    def score(self) -> Fraction:
        """The mean of the criteria that apply."""
        counted = [share for _, share in self.shares if share is not None]
        return sum(counted, Fraction(0)) / len(counted) if counted else Fraction(1)


def strong_onsets(changes: ChordChanges, how: str) -> tuple[Fraction, ...]:
    """Return where chord tones are asked for, in quarters from the beginning.

    Examples
    --------
    >>> from musictheory_nb.practice.chord_changes import read_changes
    >>> two = read_changes("Dm7 | G7 / / Db7", "4/4")
    >>> [[str(at) for at in strong_onsets(two, how)] for how in ("chord changes", "strong beats")]
    [['0', '4', '7'], ['0', '2', '4', '6', '7']]
    """
    full = measure_quarters(changes.metre)
    found = {span.onset for span in changes.spans}
    if how != "chord changes":
        every = how == "every beat"
        inside = [beat.onset for beat in beats_of(changes.metre)] if every else strong_places(changes.metre)
        found |= {at * full + onset for at in range(changes.measures) for onset in inside}
    return tuple(sorted(found))


def judge_line(
    notes: tuple[LineNote, ...], written: Fraction, changes: ChordChanges, criteria: LineCriteria, display: Display
) -> tuple[JudgedMeasure, ...]:
    """Return how each measure meets the criteria; one without a note meets none.

    Parameters
    ----------
    notes : tuple of LineNote
        The line, as written.
    written : Fraction
        How many quarters were filled with notes and rests.
    changes : ChordChanges
        The chords, as written.
    criteria : LineCriteria
        What is asked.
    display : Display
        How notes and chords are named.

    Examples
    --------
    >>> from musictheory_nb.practice.aligned_distance import line_notes
    >>> from musictheory_nb.practice.chord_changes import read_changes
    >>> line = line_notes([(name, Fraction(1)) for name in "D3 F3 A3 Ab3 G3 B3 D4 C4".split()])
    >>> found = judge_line(line, Fraction(8), read_changes("Dm7 | G7", "4/4"), LineCriteria(("chord tones", "avoid notes")), Display())
    >>> [str(one.score) for one in found], [fault.words for one in found for fault in one.faults]
    (['1', '7/8'], ['C4 over G7 is an avoid note, and is not led on by step'])
    """
    return _judged(notes, written, changes, criteria, display)


@lru_cache(maxsize=256)
def _judged(
    notes: tuple[LineNote, ...], written: Fraction, changes: ChordChanges, criteria: LineCriteria, display: Display
) -> tuple[JudgedMeasure, ...]:
    judge = _Judge(notes, written, changes, criteria, display)
    return tuple(judge.measure(at) for at in range(changes.measures))


class _Judge:
    def __init__(
        self,
        notes: tuple[LineNote, ...],
        written: Fraction,
        changes: ChordChanges,
        criteria: LineCriteria,
        display: Display,
    ) -> None:
        self.notes, self.written, self.changes, self.criteria, self.display = notes, written, changes, criteria, display
        self.full = measure_quarters(changes.metre)
        self.chords = [changes.at(note.onset) for note in notes]
        told = note_roles(
            [note.pitch or None for note in notes],
            [span.chord for span in self.chords],
            key=criteria.key or None,
            durations_quarters=[note.quarters for note in notes],
        )
        waiting = iter(told)
        self.roles: list[NoteRole | None] = [next(waiting) if note.pitch else None for note in notes]
        self.scales = {span: self._scale(number, span) for number, span in enumerate(changes.spans)}
        self.hard = _hard_notes(notes, criteria) if "playable" in criteria.names else {}

    def measure(self, at: int) -> JudgedMeasure:
        """Return how one measure meets the criteria."""
        start, end = at * self.full, (at + 1) * self.full
        sounding = [n for n in self.notes if n.pitch and n.onset < end and n.onset + n.quarters > start]
        if not sounding:
            zero = tuple((name, Fraction(0)) for name in self.criteria.names)
            return JudgedMeasure(zero, (Fault("complete", "there is no note"),))
        begun = [number for number, n in enumerate(self.notes) if n.pitch and start <= n.onset < end]
        checks: dict[str, Callable[[], tuple[Fraction | None, list[Fault]]]] = {
            "chord tones": lambda: self._chord_tones(start, end),
            "scale": lambda: self._each(begun, self._off_scale, "scale"),
            "avoid notes": lambda: self._each(begun, self._avoided, "avoid notes"),
            "approach": lambda: self._approach(start, end),
            "range": lambda: self._each(begun, self._off_range, "range"),
            "playable": lambda: self._each(begun, self._hard_to_play, "playable"),
            "complete": lambda: self._complete(start, end),
        }
        found = {name: checks[name]() for name in CRITERIA if name in self.criteria.names}
        shares = tuple((name, share) for name, (share, _) in found.items())
        return JudgedMeasure(shares, tuple(fault for _, faults in found.values() for fault in faults))

    def _note(self, number: int) -> str:
        return self.display.pitch(self.notes[number].pitch)

    def _chord(self, span: ChordSpan) -> str:
        return chord_words(span.symbol, self.display)

    def _beat(self, onset: Fraction) -> str:
        return beat_at(onset % self.full, self.changes.metre)

    def _sounding(self, onset: Fraction) -> int | None:
        """Return the index of the note that sounds at a place; None for a rest."""
        for number, note in enumerate(self.notes):
            if note.onset <= onset < note.onset + note.quarters:
                return number if note.pitch else None
        return None

    def _chord_tones(self, start: Fraction, end: Fraction) -> tuple[Fraction | None, list[Fault]]:
        asked = [at for at in strong_onsets(self.changes, self.criteria.strong) if start <= at < end]
        heard = [(at, number) for at in asked if (number := self._sounding(at)) is not None]
        faults = []
        for onset, number in heard:
            span = self.changes.at(onset)
            if not span.chord.has(Pitch(self.notes[number].pitch)):
                words = f"at {self._beat(onset)} there is {self._note(number)}, no tone of {self._chord(span)}"
                faults.append(Fault("chord tones", words, number))
        return (1 - Fraction(len(faults), len(heard)) if heard else None), faults

    def _each(
        self, begun: Sequence[int], fault: Callable[[int], str], criterion: str
    ) -> tuple[Fraction | None, list[Fault]]:
        faults = [Fault(criterion, words, number) for number in begun if (words := fault(number))]
        return (1 - Fraction(len(faults), len(begun)) if begun else None), faults

    def _scale(self, number: int, span: ChordSpan) -> tuple[frozenset[int], str]:
        """Return pitch classes and name of the scale that holds over a chord: the one that fits the line best."""
        if self.criteria.scales:
            scale = _scale_named(self.criteria.scales[number])
            return frozenset(scale.pitch_classes), self.display.scale(self.criteria.scales[number])
        played = [
            Pitch(n.pitch).pitch_class
            for n, over in zip(self.notes, self.chords, strict=True)
            if n.pitch and over == span
        ]
        return max(
            _taught(span.symbol, self.criteria.key),
            key=lambda one: sum(pitch_class in one[0] for pitch_class in played),
        )[0], f"the scales of {self._chord(span)}"

    def _off_scale(self, number: int) -> str:
        role, span = self.roles[number], self.chords[number]
        assert role is not None
        classes, name = self.scales[span]
        note = Pitch(self.notes[number].pitch)
        if note.pitch_class in classes or span.chord.has(note) or role.role in _LED_ON:
            return ""
        return f"{self._note(number)} is outside {name}, and is not led on by step"

    def _avoided(self, number: int) -> str:
        role = self.roles[number]
        if role is None or role.role != "avoid":
            return ""
        return (
            f"{self._note(number)} over {self._chord(self.chords[number])} is an avoid note, and is not led on by step"
        )

    def _hard_to_play(self, number: int) -> str:
        return f"{self._note(number)} {self.hard[number]}" if number in self.hard else ""

    def _off_range(self, number: int) -> str:
        low, high = self.criteria.low_midi, self.criteria.high_midi
        chromatic = Pitch(self.notes[number].pitch).chromatic
        side = "low" if chromatic < low else "high" if chromatic > high else ""
        return f"{self._note(number)} is too {side}" if side else ""

    def _approach(self, start: Fraction, end: Fraction) -> tuple[Fraction | None, list[Fault]]:
        asked = [span for span in self.changes.spans if span.onset and start <= span.onset < end]
        faults = []
        for span in asked:
            number = self._sounding(span.onset)
            before = number - 1 if number else None
            notes = [self.notes[at].pitch for at in (before, number) if at is not None]
            if len(notes) == 2 and all(notes):
                away = abs(Pitch(notes[1]).chromatic - Pitch(notes[0]).chromatic)
                if 1 <= away <= APPROACHES[self.criteria.approach_by] and span.chord.has(Pitch(notes[1])):
                    continue
            by = self.criteria.approach_by
            words = f"{self._chord(span)} at {self._beat(span.onset)} is not reached by {'a half step' if by == 'half step' else 'step'}"
            faults.append(Fault("approach", words, number))
        return (1 - Fraction(len(faults), len(asked)) if asked else None), faults

    def _complete(self, start: Fraction, end: Fraction) -> tuple[Fraction, list[Fault]]:
        filled = max(Fraction(0), min(self.written, end) - start) / self.full
        return filled, [] if filled == 1 else [Fault("complete", "the measure is not full")]


@lru_cache(maxsize=512)
def _scale_named(name: str) -> Scale:
    return Scale(name)


@lru_cache(maxsize=1024)
def _taught(symbol: str, key: str) -> tuple[tuple[frozenset[int], str], ...]:
    """Pitch classes and names of the scales that are taught with a chord, the first choice first."""
    found = scales_for(symbol, key=key or None)
    taught = [one for one in found if one.is_taught] or found[:1]
    return tuple((frozenset(one.scale.pitch_classes), one.scale.name) for one in taught)


def _hard_notes(notes: Sequence[LineNote], criteria: LineCriteria) -> Mapping[int, str]:
    """Return by index what is hard to play, or cannot be played, in words."""
    instrument = Instrument(criteria.instrument)
    tuning = instrument.tuning
    midis = [Pitch(note.pitch).chromatic + criteria.shift if note.pitch else None for note in notes]
    found = {
        at: f"cannot be played on the {instrument.name}"
        for at, midi in enumerate(midis)
        if midi is not None and not tuning.places_of(midi)
    }
    line = [None if midi is None or at in found else _sharp(midi) for at, midi in enumerate(midis)]
    if not any(line):
        return found
    try:
        fingering = finger_line(
            line, [note.quarters for note in notes], tuning, tempo=float(criteria.tempo), costs=_HARD
        )
    except InstrumentError:  # a note that is there only as an open string of a hand that reaches no other
        return found
    for spot in fingering.hard_spots:
        for at in range(spot.first + 1, spot.last + 1):
            if line[at]:
                found[at] = f"is hard to reach: {listed(spot.reasons)}"
    return found


def _sharp(midi: int) -> str:
    names = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
    return f"{names[midi % 12]}{midi // 12 - 1}"
