"""A music21 stream to a `Draft`: the way in for ABC, Humdrum, MEI, MIDI, and for streams made in a notebook.

Conventions: music21 10; its offsets and lengths are exact once read as fractions. Measures are those of the stream;
a stream without measures is barred by its metre (4/4 without one). A part "at sounding pitch" is written back for
its player by the instrument's transposition.
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from functools import partial
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import Draft, DraftMeasure, DraftPart
from musictheory_nb.score.note_table import KINDS
from musictheory_nb.score.quarter_draft import QuarterDraft, QuarterNote
from musictheory_nb.score.sounding_pitch import move_pitch
from musictheory_nb.score.stream_mark import read_barlines, read_mark
from musictheory_nb.theory.pitch_grammar import STEP_INDEX

_NOTE, _REST, _UNPITCHED, _CUE = range(len(KINDS))
_TIES: Final = {"start": 1, "stop": 2, "continue": 3}


def read_stream(stream: Any, staves: Sequence[int] = ()) -> Draft:
    """Read a music21 stream; `staves` says how many of its parts in turn are one player's, if the stream does not.

    Raises
    ------
    ScoreError
        An opus of several scores, or a stream without notes.
    """
    classes = stream.classes
    if "Opus" in classes:
        raise ScoreError(f"this is a collection of {len(stream.scores)} pieces; read one of them")
    made = QuarterDraft()
    draft = made.draft
    metadata = stream.metadata
    if metadata is not None:
        draft.title = " ".join(str(metadata.title or metadata.movementName or "").split())
        draft.composer = " ".join(str(metadata.composer or "").split())
    parts = list(stream.parts) if "Score" in classes else []
    if not parts:
        parts = [stream]
    barred = [(_measures_of(part), part) for part in parts]
    players = [(player, staff) for player, count in enumerate(staves) for staff in range(1, count + 1)]
    if len(players) != len(parts):
        players = _players(stream, parts)
    reader = _StreamReader(made)
    for (index, staff), (measures, part) in zip(players, barred, strict=True):
        reader.read_part(part, measures, index, staff)
    return made.finish()


def _measures_of(part: Any) -> list[Any]:
    measures = list(part.getElementsByClass("Measure"))
    if not measures and "Measure" in part.classes:
        measures = [part]
    if not measures and len(part.recurse().notesAndRests):
        # music21 splits notes at barlines and ties them; the copy leaves the caller's stream as it was.
        measures = list(part.makeNotation(inPlace=False).getElementsByClass("Measure"))
    return measures


def _players(stream: Any, parts: list[Any]) -> list[tuple[int, int]]:
    """Return for each stream part the index of its player and its staff: staves under one brace are one player's."""
    group_of: dict[int, int] = {}
    for number, group in enumerate(stream.recurse().getElementsByClass("StaffGroup")):
        members = list(group.getSpannedElements())
        if len(members) > 1 and all("PartStaff" in member.classes for member in members):
            for member in members:
                group_of.setdefault(id(member), number)
    found: list[tuple[int, int]] = []
    index = -1
    previous: int | None = None
    for part in parts:
        group = group_of.get(id(part))
        if group is not None and group == previous:
            found.append((index, found[-1][1] + 1))
        else:
            index += 1
            found.append((index, 1))
        previous = group
    return found


def exact(value: Any) -> Fraction:
    """Return a music21 offset or length as an exact fraction.

    Examples
    --------
    >>> exact(0.5), exact(Fraction(1, 3)), exact(0.333333)
    (Fraction(1, 2), Fraction(1, 3), Fraction(1, 3))
    """
    fraction = Fraction(value)
    return fraction if fraction.denominator <= 4096 else fraction.limit_denominator(1000)


class _StreamReader:
    """Walks through the parts of a score."""

    def __init__(self, made: QuarterDraft) -> None:
        self.made = made
        self.draft = made.draft
        self.events = 0

    def read_part(self, part: Any, measures: list[Any], index: int, staff: int) -> None:
        """Read one staff."""
        draft = self.draft
        while len(draft.parts) <= index:
            draft.parts.append(DraftPart())
        instrument = part.getInstrument(returnDefault=False) if hasattr(part, "getInstrument") else None
        own = draft.parts[index]
        own.staves = max(own.staves, staff)
        name = getattr(part, "partName", None) or (instrument.instrumentName if instrument is not None else None)
        own.name = own.name or " ".join(str(name or "").split()) or f"Part {index + 1}"
        own.short = own.short or " ".join(str(getattr(part, "partAbbreviation", None) or "").split())
        if instrument is not None and instrument.midiProgram is not None:
            own.program = int(instrument.midiProgram) + 1
        at_sounding = part.atSoundingPitch is True
        moved = _transposition(instrument)
        if moved != (0, 0):
            self.made.mark("transposition", 0, Fraction(0), index, *moved)
        order = {id(measure): at for at, measure in enumerate(measures)}
        for at, measure in enumerate(measures):
            moved = self._measure(measure, at, index, staff, moved, at_sounding)
        if staff == 1:
            _brackets(part, order, draft.measures)

    def _measure(
        self, measure: Any, at: int, index: int, staff: int, moved: tuple[int, int], at_sounding: bool
    ) -> tuple[int, int]:
        own = self.made.measure(at)
        suffix = measure.numberSuffix or ""
        own.printed = own.printed or f"{measure.number}{suffix}"
        # music21 gives 0 to a bar that the file does not number: amid a piece that is no bar of its own.
        own.implicit = own.implicit or bool(suffix) or (at > 0 and measure.number == 0)
        read_barlines(measure, own)
        voices = {id(voice): number for number, voice in enumerate(measure.voices, 1)}
        content = sounding = Fraction(0)
        for element in measure.recurse():
            classes = element.classSet
            if "Stream" in classes:
                continue
            onset = exact(element.getOffsetInHierarchy(measure))
            voice = voices.get(id(element.activeSite), 1)
            if "GeneralNote" in classes and "Harmony" not in classes:
                end = onset + self._note(element, classes, at, index, staff, voice, onset, moved, at_sounding)
                content = max(content, end)
                if "Rest" not in classes:
                    sounding = max(sounding, end)
            elif "Instrument" in classes:
                changed = _transposition(element)
                if changed != moved and not (at == 0 and onset == 0):
                    self.made.mark("transposition", at, onset, index, *changed)
                    moved = changed
            elif "KeySignature" in classes:
                mode = element.mode if "Key" in classes else ""
                fifths = int(element.sharps)
                if at_sounding:
                    fifths -= 7 * moved[0] - 12 * moved[1]
                if staff == 1:
                    self.made.mark("key", at, onset, index, fifths, mode or "", *moved)
            elif "TimeSignature" in classes:
                own.metre = own.metre or str(element.ratioString)
                self.made.fulls.setdefault(at, exact(element.barDuration.quarterLength))
            elif "Clef" in classes:
                self.made.mark("clef", at, onset, index, staff, _clef_name(element))
            else:
                read_mark(element, classes, partial(self._mark, at, onset, index))
        if (at == 0 or own.implicit) and sounding == 0 and content == self.made.fulls.get(at):
            content = Fraction(0)  # a rest that fills a pickup is as long as the pickup
        self.made.reach(at, content, sounds=False)
        self.made.reach(at, sounding, sounds=True)
        return moved

    def _mark(self, at: int, onset: Fraction, index: int, kind: str, *values: Any) -> None:
        self.made.mark(kind, at, onset, index, *values)

    def _note(
        self,
        element: Any,
        classes: Any,
        at: int,
        index: int,
        staff: int,
        voice: int,
        onset: Fraction,
        moved: tuple[int, int],
        at_sounding: bool,
    ) -> Fraction:
        """Enter a note, chord or rest; return how long it lasts."""
        duration = Fraction(0) if element.duration.isGrace else exact(element.duration.quarterLength)
        self.events += 1
        fermata = int(any("Fermata" in expression.classes for expression in element.expressions))
        heads: list[Any] = list(element.notes) if "ChordBase" in classes else [element]
        of_chord = element.tie if all(head.tie is None for head in heads) else None
        for head in heads:
            said = head.tie or of_chord
            tie = _TIES.get(said.type, 0) if said is not None else 0
            note = QuarterNote(_NOTE, index, staff, voice, at, onset, duration, tie=tie, grace=int(duration == 0))
            note.fermata, note.event, note.moved = fermata, self.events, moved
            if "Rest" in classes:
                note.kind = _REST
            elif "Unpitched" in head.classes:
                note.kind = _UNPITCHED
            else:
                note.step, note.alter, note.octave, note.cents = _pitch(head.pitch)
                if at_sounding and moved != (0, 0):
                    note.step, note.alter, note.octave = move_pitch(
                        note.step, note.alter, note.octave, -moved[0], -moved[1]
                    )
            self.made.notes.append(note)
        return duration


def _transposition(instrument: Any) -> tuple[int, int]:
    if instrument is None or instrument.transposition is None:
        return 0, 0
    interval = instrument.transposition
    steps = interval.generic.directed
    return round(interval.semitones), steps - 1 if steps > 0 else steps + 1


def _pitch(pitch: Any) -> tuple[int, int, int, int]:
    alter = pitch.accidental.alter if pitch.accidental is not None else 0
    semitones = math.trunc(alter) if abs(alter - math.trunc(alter)) == 0.5 else math.floor(alter + 0.5)
    if abs(semitones) > 3:
        raise ScoreError(f"pitch {pitch.nameWithOctave!r}: at most three sharps or flats")
    cents = round((alter - semitones) * 100)
    if pitch.microtone is not None:
        cents += round(pitch.microtone.cents)
    octave = pitch.implicitOctave
    return STEP_INDEX[pitch.step], semitones, int(octave), cents


def _clef_name(clef: Any) -> str:
    names = {
        ("G", 2): "treble", ("G", 1): "French violin", ("F", 4): "bass", ("F", 3): "baritone", ("F", 5): "subbass",
        ("C", 1): "soprano", ("C", 2): "mezzo-soprano", ("C", 3): "alto", ("C", 4): "tenor", ("C", 5): "baritone",
    }  # fmt: skip
    name = names.get((clef.sign, clef.line))
    if name is None:
        return "percussion" if clef.sign == "percussion" else "none"
    return name + {0: "", 1: "+8", -1: "-8", 2: "+15", -2: "-15"}.get(clef.octaveChange, "")


def _brackets(part: Any, order: dict[int, int], measures: list[DraftMeasure]) -> None:
    for bracket in part.recurse().getElementsByClass("RepeatBracket"):
        places = sorted(order[id(member)] for member in bracket.getSpannedElements() if id(member) in order)
        if places:
            passes = tuple(int(number) for number in bracket.numberRange) or (0,)
            measures[places[0]].ending_start = passes
            measures[places[-1]].ending_stop = True
