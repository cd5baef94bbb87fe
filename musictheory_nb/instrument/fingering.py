"""Fingering of a line on a string instrument: where each note is stopped, and with which finger (`finger_line`).

The fingering is the cheapest one by the table of `fingering_cost`, over all strings, positions and fingers of the hand.
It is a proposal: teachers finger by sound, phrase and style too, which no table of movements knows.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from itertools import pairwise
from math import isfinite
from typing import Final

from musictheory_nb.errors import InstrumentError
from musictheory_nb.instrument.fingering_cost import (
    OPEN_STRINGS,
    FingeringCost,
    MoveCost,
    Stop,
    move_cost,
    note_cost,
)
from musictheory_nb.instrument.fingering_search import Sounded, backward, cheapest, forward, layers_of, through
from musictheory_nb.instrument.hand import hand as named_hand
from musictheory_nb.instrument.hard_spot import HardNote, HardSpot, merged_spots, reasons_of
from musictheory_nb.instrument.tuning import Tuning
from musictheory_nb.theory.note_list import note_list
from musictheory_nb.theory.pitch import Pitch

#: Quarters a minute when none are given.
USUAL_TEMPO: Final = 90
#: How a rest stands in a line.
REST: Final = "rest"
#: Most impossible notes that a message names.
_MOST_NAMED: Final = 5
_FIRST_MOVE: Final = MoveCost(0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class FingeredNote:
    """One note of a fingered line.

    Parameters
    ----------
    index : int
        In the line, from 0, rests counted.
    pitch : Pitch
        As it was given: sounding pitch.
    onset, duration : Fraction
        In quarters from the beginning of the line.
    string, fret, finger : int
        Number of the string; half steps above the nut; 1 to 4, or 0 for an open string.
    position : int
        Where the hand is, in half steps above the nut.
    stretch : int
        How far the finger leaves the hand's frame, in weights of the hand's table.
    seconds : float
        From the beginning of the note before; 0 for the first.
    cost : float
        Of the note and the move to it.
    reasons : tuple of str
        What makes it cost more, in words.
    """

    index: int
    pitch: Pitch
    onset: Fraction
    duration: Fraction
    string: int
    fret: int
    finger: int
    position: int
    stretch: int
    seconds: float
    cost: float
    reasons: tuple[str, ...]

    @property
    def is_open(self) -> bool:
        """Whether no finger stops it."""
        return self.finger == 0


@dataclass(frozen=True)
class Fingering:
    """A fingered line; `finger_line` makes it.

    Parameters
    ----------
    notes : tuple of FingeredNote
        The notes, without the rests.
    tuning : Tuning
        On what it is played.
    hand : str
        How the hand lies, one of `hand.HANDS`.
    tempo : float
        In quarters a minute.
    open_strings : str
        One of `OPEN_STRINGS`.
    costs : FingeringCost
        The table that it was chosen by.
    """

    notes: tuple[FingeredNote, ...]
    tuning: Tuning
    hand: str
    tempo: float
    open_strings: str
    costs: FingeringCost = field(repr=False)

    @property
    def cost(self) -> float:
        """Sum over the notes."""
        return sum(note.cost for note in self.notes)

    @property
    def fingers(self) -> tuple[int, ...]:
        """Fingers, note by note; 0 for an open string."""
        return tuple(note.finger for note in self.notes)

    @property
    def strings(self) -> tuple[int, ...]:
        """Numbers of the strings, note by note."""
        return tuple(note.string for note in self.notes)

    @property
    def frets(self) -> tuple[int, ...]:
        """Half steps above the nut, note by note."""
        return tuple(note.fret for note in self.notes)

    @property
    def positions(self) -> tuple[int, ...]:
        """Where the hand is, note by note, in half steps above the nut."""
        return tuple(note.position for note in self.notes)

    @cached_property
    def hard_spots(self) -> tuple[HardSpot, ...]:
        """Hard spots in their order, with the reasons in words.

        Examples
        --------
        >>> jump = finger_line("F1 Eb4", Fraction(1, 4), "bass guitar", tempo=120)
        >>> jump.hard_spots[0].first, jump.hard_spots[0].last, jump.hard_spots[0].reasons[0]
        (0, 1, 'the hand shifts up 16 half steps, from position 1 to position 17')
        """
        hard = [
            HardNote(self.notes[max(0, place - 1)].index, note.index, note.reasons, note.cost, note.seconds)
            for place, note in enumerate(self.notes)
            if note.reasons and note.cost >= self.costs.hard_spot
        ]
        return merged_spots(hard, self.costs.fast_seconds)

    def alternatives(self, count: int = 3) -> tuple["Fingering", ...]:
        """Other fingerings of the line, the cheapest first.

        Each is the cheapest one that plays some note on another string or with another finger.

        Raises
        ------
        InstrumentError
            `count` is not a whole number from 1 up.

        Examples
        --------
        >>> best = finger_line("C2 D2 E2", 1, "bass guitar", open_strings="never")
        >>> best.strings, best.fingers, best.alternatives(1)[0].fingers
        ((3, 3, 2), (2, 4, 1), (4, 1, 3))
        >>> best.alternatives(0)
        Traceback (most recent call last):
        musictheory_nb.errors.InstrumentError: count 0: must be a whole number from 1 up
        """
        if isinstance(count, bool) or not isinstance(count, int) or count < 1:
            raise InstrumentError(f"count {count!r}: must be a whole number from 1 up")
        heard = _heard([note.index for note in self.notes], self.notes)
        hand = named_hand(self.hand)
        layers = layers_of(heard, self.tuning, hand, self.open_strings)
        table = forward(heard, layers, self.costs, self.open_strings, hand.home)
        ahead = backward(heard, layers, self.costs, self.open_strings, hand.home)
        ranked = sorted(
            (round(so_far + rest, 9), index, place)
            for index, layer in enumerate(layers)
            for place, (so_far, rest) in enumerate(zip(table.costs[index], ahead.costs[index], strict=True))
            if isfinite(so_far + rest) and len(layer) > 1
        )
        seen = {tuple(zip(self.strings, self.fingers, strict=True))}
        found: list[Fingering] = []
        for _, index, place in ranked:
            path = through(index, place, table, ahead, layers)
            key = tuple((stop.string, stop.finger) for stop in path)
            if key not in seen:
                seen.add(key)
                found.append(_fingering(self.notes, heard, path, self))
                if len(found) == count:
                    break
        return tuple(found)

    def describe(self) -> str:
        """Fingering in words, a line for each note: what is read aloud or printed.

        Examples
        --------
        >>> print(finger_line("E1 G1", 1, "bass guitar").describe())
        E1: E string, open
        G1: E string, fret 3, finger 3 (position 1)
        >>> print(finger_line("A1 B1", 1, "double bass").describe())
        A1: A string, open
        B1: A string, finger 2 (half position)
        """
        hand = named_hand(self.hand)
        lines = []
        for note in self.notes:
            parts = [self.tuning.string_name(note.string)]
            if note.is_open:
                parts.append("open")
            else:
                if self.tuning.fretted:
                    parts.append(f"fret {note.fret}")
                parts.append(f"finger {note.finger} ({hand.position_name(note.position)})")
            lines.append(f"{note.pitch.display}: {', '.join(parts)}")
        return "\n".join(lines)


def finger_line(
    pitches: Iterable[Pitch | str | None] | str,
    durations: Sequence[Fraction | int | str] | Fraction | int | str = 1,
    tuning: Tuning | str = "bass guitar",
    *,
    tempo: float = USUAL_TEMPO,
    hand: str | None = None,
    open_strings: str = "allow",
    costs: FingeringCost | None = None,
) -> Fingering:
    """Finger a line of single notes with the least movement over strings and positions.

    Parameters
    ----------
    pitches : iterable or str
        Sounding pitches; a rest is None or ``"rest"``. The part of a double bass is written an octave higher than it
        sounds: give ``Instrument("double bass").sounding(pitch)``.
    durations : sequence or single value
        In quarters, one for each note and rest; a single value holds for all.
    tuning : Tuning or str
        The strings.
    tempo : float
        In quarters a minute; it decides what is fast.
    hand : str, optional
        How the hand lies, one of `hand.HANDS`; the tuning's own if not given.
    open_strings : str
        One of `OPEN_STRINGS`.
    costs : FingeringCost, optional
        The table of costs.

    Raises
    ------
    InstrumentError
        A note that cannot be played, with what to do about it; an empty line; a setting that does not exist.
    PitchError
        A pitch cannot be read.

    Notes
    -----
    Dynamic programming over (string, position, finger), as in S. I. Sayegh, "Fingering for String Instruments with the
    Optimum Path Paradigm", Computer Music Journal 13(3), 1989 (from memory); the costs are our own.

    Examples
    --------
    >>> scale = finger_line("G1 A1 B1 C2 D2 E2 F#2 G2", 1, "bass guitar", open_strings="never")
    >>> scale.fingers, scale.positions[0], scale.hard_spots
    ((2, 4, 1, 2, 4, 1, 3, 4), 2, ())
    >>> finger_line("G1 D1", 1, "bass guitar")
    Traceback (most recent call last):
    musictheory_nb.errors.InstrumentError: note 2 'D1': is below E1, the lowest string of 'bass guitar'; write D2, an octave higher
    """
    strings = tuning if isinstance(tuning, Tuning) else Tuning(tuning)
    line = [None if note is None or _is_rest(note) else Pitch(note) for note in note_list(pitches)]
    lengths = _lengths(durations, len(line))
    table = FingeringCost() if costs is None else costs
    if not isinstance(table, FingeringCost):
        raise InstrumentError(f"costs {costs!r}: give a table, such as FingeringCost(shift=3)")
    chosen_hand = named_hand(strings.hand if hand is None else hand)
    if not isinstance(open_strings, str) or open_strings not in OPEN_STRINGS:
        raise InstrumentError(f"open_strings {open_strings!r}: must be one of {', '.join(map(repr, OPEN_STRINGS))}")
    if isinstance(tempo, bool) or not isinstance(tempo, int | float | Fraction) or not (isfinite(tempo) and tempo > 0):
        raise InstrumentError(f"tempo {tempo!r}: must be a positive number of quarters a minute, such as 90")
    notes = _unfingered(line, lengths, float(tempo))
    if not notes:
        raise InstrumentError("pitches: hold no note to finger")
    heard = _heard([note.index for note in notes], notes)
    layers = layers_of(heard, strings, chosen_hand, open_strings)
    _refuse_impossible(notes, layers, strings)
    path = cheapest(forward(heard, layers, table, open_strings, chosen_hand.home), layers)
    start = Fingering((), strings, chosen_hand.name, float(tempo), open_strings, table)
    return _fingering(notes, heard, path, start)


def _is_rest(note: object) -> bool:
    return isinstance(note, str) and note.casefold() == REST


def _lengths(durations: Sequence[Fraction | int | str] | Fraction | int | str, count: int) -> list[Fraction]:
    """Durations, one for each note and rest."""
    if not isinstance(durations, Fraction | int | str | Sequence):
        raise InstrumentError(f"durations {durations!r}: give quarters, one for each note and rest, or one for all")
    given = [durations] * count if isinstance(durations, Fraction | int | str) else list(durations)
    if len(given) != count:
        raise InstrumentError(f"durations: {len(given)} for {count} notes and rests; give one for each, or one for all")
    out = []
    for value in given:
        try:
            length = Fraction(value) if isinstance(value, Fraction | int | str) and value is not True else Fraction(0)
        except (ValueError, ZeroDivisionError):
            length = Fraction(0)
        if length <= 0:
            raise InstrumentError(f"duration {value!r}: must be a positive number of quarters, such as 1 or '3/2'")
        out.append(length)
    return out


def _unfingered(line: Sequence[Pitch | None], lengths: Sequence[Fraction], tempo: float) -> tuple[FingeredNote, ...]:
    """Notes with their times, before they are fingered."""
    onset = last = Fraction(0)
    notes: list[FingeredNote] = []
    for index, (pitch, length) in enumerate(zip(line, lengths, strict=True)):
        if pitch is not None:
            seconds = float(onset - last) * 60 / tempo if notes else 0.0
            notes.append(FingeredNote(index, pitch, onset, length, 0, 0, 0, 0, 0, seconds, 0.0, ()))
            last = onset
        onset += length
    return tuple(notes)


def _heard(indices: Sequence[int], notes: Sequence[FingeredNote]) -> list[Sounded]:
    rested = [False, *(after - before > 1 for before, after in pairwise(indices))]
    return [Sounded(note.pitch.chromatic, note.seconds, rest) for note, rest in zip(notes, rested, strict=True)]


def _fingering(
    notes: Sequence[FingeredNote], heard: Sequence[Sounded], path: Sequence[Stop], settings: Fingering
) -> Fingering:
    """Put a path of the search on the notes."""
    costs, tuning, hand = settings.costs, settings.tuning, named_hand(settings.hand)
    built = []
    before: Stop | None = None
    for note, sounded, stop in zip(notes, heard, path, strict=True):
        move = _FIRST_MOVE if before is None else move_cost(before, stop, costs, sounded.rested)
        hurry = 1.0 if before is None else costs.hurry(sounded.seconds)
        cost = note_cost(stop, costs, settings.open_strings, hand.home) + hurry * sum(move)
        reasons = reasons_of(before, stop, move, tuning, hand)
        built.append(
            FingeredNote(note.index, note.pitch, note.onset, note.duration, *stop, sounded.seconds, cost, reasons)
        )
        before = stop
    return Fingering(tuple(built), tuning, hand.name, settings.tempo, settings.open_strings, costs)


def _refuse_impossible(notes: Sequence[FingeredNote], layers: Sequence[tuple[Stop, ...]], tuning: Tuning) -> None:
    """Raise if a note cannot be sounded, naming each and what to do."""
    bad = [note for note, layer in zip(notes, layers, strict=True) if not layer]
    if not bad:
        return
    told = "; ".join(_why_impossible(note, tuning) for note in bad[:_MOST_NAMED])
    more = f"; and {len(bad) - _MOST_NAMED} more" if len(bad) > _MOST_NAMED else ""
    whole = ""
    for octaves, way in ((-12, "lower"), (12, "higher")):
        if len(notes) > 1 and all(tuning.places_of(note.pitch.chromatic + octaves) for note in notes):
            whole = f"; the whole line fits an octave {way}"
            if way == "lower":
                whole += " (are these written pitches of a part that sounds an octave lower?)"
            break
    raise InstrumentError(told + more + whole)


def _why_impossible(note: FingeredNote, tuning: Tuning) -> str:
    """One impossible note in words."""
    pitch, number = note.pitch, note.pitch.chromatic
    start = f"note {note.index + 1} {pitch.name!r}: "
    if tuning.places_of(number):
        return start + "is there only as an open string; allow open strings, or leave it out"
    if number < tuning.lowest.chromatic:
        why, octaves, way = (
            f"is below {tuning.lowest.name}, the lowest string of {tuning.name!r}",
            range(1, 9),
            "higher",
        )
    elif number > tuning.highest_chromatic:
        end = "the last fret" if tuning.fretted else "the end of the fingerboard"
        why, octaves, way = f"is above {end} of {tuning.name!r}", range(-1, -9, -1), "lower"
    else:
        return start + f"lies between the strings of {tuning.name!r}, which has {tuning.frets} frets; leave it out"
    for octave in octaves:
        if tuning.places_of(number + 12 * octave):
            moved = Pitch.of(pitch.step, pitch.alter, pitch.octave + octave)
            far = "an octave" if abs(octave) == 1 else f"{abs(octave)} octaves"
            return start + f"{why}; write {moved.name}, {far} {way}"
    return start + f"{why}; take another tuning"
