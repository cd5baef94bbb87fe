"""One part of a score as the measures of a MusicXML ``part`` (`write_part`).

Conventions: a measure is written voice by voice, each from its start, with ``backup`` and ``forward`` between; what
stands at a place (attributes, directions, chord symbols) is written before the first note of that place, else at the
place between ``backup`` and ``forward``.
"""

import xml.etree.ElementTree as ElementTree
from collections.abc import Callable, Iterable
from fractions import Fraction
from functools import partial
from itertools import groupby
from types import MappingProxyType
from typing import Final, TypeVar

from musictheory_nb.score.beam import beams, metre_figures
from musictheory_nb.score.measure import Measure
from musictheory_nb.score.musicxml_attributes import CLEF_NAMES
from musictheory_nb.score.musicxml_element import child
from musictheory_nb.score.musicxml_harmony import harmony_element
from musictheory_nb.score.musicxml_road import road_signs
from musictheory_nb.score.note_table import Note
from musictheory_nb.score.part import Part
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_mark import (
    ChordSymbol,
    Clef,
    KeySignature,
    RehearsalMark,
    TempoMark,
    Transposition,
    Words,
)
from musictheory_nb.score.written_value import WrittenValue, written_values

_BAR_STYLES: Final = MappingProxyType(
    {"double": "light-light", "final": "light-heavy", "heavy": "heavy", "dashed": "dashed", "none": "none"}
)
_SIGNS: Final = MappingProxyType({name: sign for sign, name in reversed(tuple(CLEF_NAMES.items()))})
_OTHER_SIGNS: Final = MappingProxyType(
    {"percussion": "percussion", "tablature": "TAB", "numbers": "jianpu", "none": "none"}
)
_OCTAVES: Final = MappingProxyType({"8": 1, "15": 2, "22": 3})
_ZERO: Final = Fraction(0)

_Group = list[Note]
_Mark = TypeVar("_Mark", ChordSymbol, Clef, KeySignature, RehearsalMark, TempoMark, Transposition, Words)


def write_part(element: ElementTree.Element, score: Score, part: Part, divisions: int, *, concert: bool) -> None:
    """Write all measures of a part into its element."""
    _PartWriter(element, score, part, divisions, concert).write()


def _by_measure(marks: Iterable[_Mark]) -> dict[int, list[_Mark]]:
    found: dict[int, list[_Mark]] = {}
    for mark in marks:
        found.setdefault(mark.measure, []).append(mark)
    return found


class _PartWriter:
    """Writes the measures of one part; `cursor` is where the music stands in the measure, in quarters."""

    def __init__(self, element: ElementTree.Element, score: Score, part: Part, divisions: int, concert: bool) -> None:
        self.element, self.score, self.part = element, score, part
        self.divisions, self.concert = divisions, concert
        self.cursor = _ZERO
        self.measure = element
        self.notes: dict[int, list[Note]] = {}
        for note in score.events:
            if note.part == part.index:
                self.notes.setdefault(note.measure, []).append(note)
        first = part.index == 0
        self.keys = _by_measure(mark for mark in score.key_signatures if mark.part == part.index)
        self.clefs = _by_measure(mark for mark in score.clefs if mark.part == part.index)
        self.moves = _by_measure(mark for mark in score.transpositions if mark.part == part.index)
        self.chords = _by_measure(mark for mark in score.chord_symbols if mark.part == part.index)
        self.rehearsals = _by_measure(score.rehearsal_marks if first else ())
        self.tempos = _by_measure(score.tempos if first else ())
        carried, signs = road_signs(score)
        self.words: dict[int, list[tuple[Fraction, str, dict[str, str]]]] = {}
        tempos = {(tempo.start, tempo.text) for tempo in score.tempos if tempo.text}
        for place, words in enumerate(score.words):
            with_tempo = (words.start, words.text) in tempos and place not in carried
            if words.part == part.index and not (with_tempo and first):
                self.words.setdefault(words.measure, []).append((words.onset, words.text, carried.get(place, {})))
        self.signs = signs if first else []

    def write(self) -> None:
        """Write every measure."""
        signs = {at: list(group) for at, group in groupby(self.signs, key=lambda sign: sign.measure)}
        for measure in self.score.measures:
            self.measure = child(self.element, "measure", number=_number(measure))
            if _is_implicit(measure, self.score.measures):
                self.measure.set("implicit", "yes")
            self.cursor = _ZERO
            self._left_barline(measure)
            marks = self._marks(measure)
            for sign in signs.get(measure.index, []):
                marks.append((sign.onset, 3, partial(self._words, sign.printed, dict(sign.sound), glyph=True)))
            marks.sort(key=lambda mark: mark[:2])
            self._music(measure, marks)
            self._go(measure.length)
            for _, _, write in (mark for mark in marks if mark[0] >= measure.length):
                write()
            self._right_barline(measure)

    # What stands beside the notes

    def _marks(self, measure: Measure) -> list[tuple[Fraction, int, Callable[[], None]]]:
        """Return onset, order and writer of everything in the measure that is no note."""
        at = measure.index
        marks: list[tuple[Fraction, int, Callable[[], None]]] = []
        keys, clefs, moves = self.keys.get(at, []), self.clefs.get(at, []), self.moves.get(at, [])
        moves = [] if self.concert else moves
        before = self.score.measures[at - 1].metre if at else None
        onsets = {key.onset for key in keys} | {clef.onset for clef in clefs} | {move.onset for move in moves}
        if before != measure.metre:
            onsets.add(_ZERO)

        def attributes(onset: Fraction) -> None:
            self._attributes(
                measure,
                [key for key in keys if key.onset == onset],
                [clef for clef in clefs if clef.onset == onset],
                [move for move in moves if move.onset == onset],
                metre=onset == 0 and before != measure.metre,
            )

        for onset in sorted(onsets):
            marks.append((onset, 0, partial(attributes, onset)))
        for mark in self.rehearsals.get(at, []):
            marks.append((mark.onset, 1, partial(self._rehearsal, mark.text)))
        for tempo in self.tempos.get(at, []):
            marks.append((tempo.onset, 2, partial(self._tempo, tempo)))
        for onset, text, sound in self.words.get(at, []):
            marks.append((onset, 3, partial(self._words, text, sound)))
        for chord in self.chords.get(at, []):
            marks.append((chord.onset, 4, partial(self._chord, chord)))
        return marks

    def _attributes(
        self,
        measure: Measure,
        keys: list[KeySignature],
        clefs: list[Clef],
        moves: list[Transposition],
        *,
        metre: bool,
    ) -> None:
        found = child(self.measure, "attributes")
        first = measure.index == 0 and self.cursor == 0
        if first:
            child(found, "divisions", self.divisions)
        for key in keys[-1:]:
            signature = child(found, "key")
            child(signature, "fifths", key.fifths if self.concert else key.written)
            if key.mode:
                child(signature, "mode", key.mode)
        if metre:
            time = child(found, "time")
            for upper, lower in metre_figures(measure.metre):
                child(time, "beats", upper)
                child(time, "beat-type", lower)
            if not measure.metre:
                child(time, "senza-misura")
        if first and self.part.staves > 1:
            child(found, "staves", self.part.staves)
        for clef in clefs:
            _clef(found, clef, self.part.staves > 1)
        for move in moves[-1:]:
            transpose = child(found, "transpose")
            octaves = int(move.diatonic / 7) if move.diatonic else int(move.chromatic / 12)
            child(transpose, "diatonic", move.diatonic - 7 * octaves)
            child(transpose, "chromatic", move.chromatic - 12 * octaves)
            if octaves:
                child(transpose, "octave-change", octaves)

    def _direction(self, kind: str, text: str | None = None, **sound: str) -> None:
        direction = child(self.measure, "direction", placement="above")
        child(child(direction, "direction-type"), kind, text)
        if sound:
            child(direction, "sound", **sound)

    def _rehearsal(self, text: str) -> None:
        self._direction("rehearsal", text)

    def _words(self, printed: str, sound: dict[str, str], *, glyph: bool = False) -> None:
        if printed in ("segno", "coda") and glyph:
            self._direction(printed, **sound)
        elif printed:
            self._direction("words", printed, **sound)
        else:
            child(self.measure, "sound", **sound)

    def _tempo(self, tempo: TempoMark) -> None:
        speed = tempo.quarters_per_minute
        sound = {"tempo": str(speed.numerator) if speed.denominator == 1 else f"{float(speed):.9f}".rstrip("0")}
        whole = speed.denominator == 1
        if not (whole or tempo.text):
            child(self.measure, "sound", **sound)
            return
        direction = child(self.measure, "direction", placement="above")
        if tempo.text:
            child(child(direction, "direction-type"), "words", tempo.text)
        if whole:
            metronome = child(child(direction, "direction-type"), "metronome")
            child(metronome, "beat-unit", "quarter")
            child(metronome, "per-minute", speed.numerator)
        child(direction, "sound", **sound)

    def _chord(self, chord: ChordSymbol) -> None:
        text = chord.text if self.concert else chord.written
        harmony = harmony_element(text, chord.kind)
        if harmony is None:
            self._direction("words", text)
        else:
            self.measure.append(harmony)

    # Notes

    def _music(self, measure: Measure, marks: list[tuple[Fraction, int, Callable[[], None]]]) -> None:
        """Write voice after voice, and the marks in or between them."""
        waiting = [mark for mark in marks if mark[0] < measure.length]
        streams = _streams(self.notes.get(measure.index, []))
        for place, stream in enumerate(streams):
            values = _values(stream, measure)
            for group, value in zip(stream, values, strict=True):
                while place == 0 and waiting and waiting[0][0] <= group[0].onset:
                    self._go(waiting[0][0])
                    waiting.pop(0)[2]()
                self._go(group[0].onset)
                for at, note in enumerate(group):
                    self._note(note, measure, *value, chord=at > 0, alone=len(streams[place]) == 1)
        for onset, _, write in waiting:
            self._go(onset)
            write()

    def _go(self, onset: Fraction) -> None:
        """Move to a place in the measure."""
        if onset != self.cursor:
            move = child(self.measure, "forward" if onset > self.cursor else "backup")
            child(move, "duration", self._ticks(abs(onset - self.cursor)))
            self.cursor = onset

    def _ticks(self, quarters: Fraction) -> int:
        return int(quarters * self.divisions)

    def _note(
        self,
        note: Note,
        measure: Measure,
        value: WrittenValue | None,
        lines: tuple[str, ...],
        *,
        chord: bool,
        alone: bool,
    ) -> None:
        found = child(self.measure, "note")
        if note.grace:
            child(found, "grace", slash="yes")
        if note.kind == "cue":
            child(found, "cue")
        if chord:
            child(found, "chord")
        whole = note.is_rest and alone and _fills(note, measure, self.score.measures)
        if note.is_rest:
            child(found, "rest", **({"measure": "yes"} if whole else {}))
        elif note.kind == "unpitched":
            child(found, "unpitched")
        else:
            self._pitch(found, note)
        if not note.grace:
            child(found, "duration", self._ticks(note.duration))
            if not chord:
                self.cursor += note.duration
        ties = [kind for kind, bit in (("stop", "stop"), ("start", "start")) if note.tie in (bit, "continue")]
        for kind in ties:
            child(found, "tie", type=kind)
        child(found, "voice", note.voice)
        if note.grace:
            child(found, "type", "eighth")
        elif value and not whole:
            child(found, "type", value.type)
            for _ in range(value.dots):
                child(found, "dot")
            if value.actual > 1:
                time = child(found, "time-modification")
                child(time, "actual-notes", value.actual)
                child(time, "normal-notes", value.normal)
        if self.part.staves > 1:
            child(found, "staff", note.staff)
        if not chord:
            for number, word in enumerate(lines, 1):
                child(found, "beam", word, number=str(number))
        brackets = [] if chord or value is None else [k for k, is_it in _brackets(value) if is_it]
        if ties or brackets or note.fermata:
            notations = child(found, "notations")
            for kind in ties:
                child(notations, "tied", type=kind)
            for kind in brackets:
                child(
                    notations, "tuplet", type=kind, **({"bracket": "no" if lines else "yes"} if kind == "start" else {})
                )
            if note.fermata:
                child(notations, "fermata")

    def _pitch(self, found: ElementTree.Element, note: Note) -> None:
        pitch = note.sounding if self.concert else note.written
        assert pitch is not None
        element = child(found, "pitch")
        child(element, "step", pitch.step)
        alter = pitch.alter + Fraction(note.cents, 100)
        if alter:
            child(element, "alter", str(alter.numerator) if alter.denominator == 1 else f"{float(alter):g}")
        child(element, "octave", pitch.octave)

    # Barlines

    def _left_barline(self, measure: Measure) -> None:
        begins = _begins_ending(measure, self.score.measures)
        if not (measure.repeat_start or begins):
            return
        barline = child(self.measure, "barline", location="left")
        if measure.repeat_start:
            child(barline, "bar-style", "heavy-light")
        if begins:
            child(barline, "ending", number=",".join(map(str, measure.ending)), type="start")
        if measure.repeat_start:
            child(barline, "repeat", direction="forward")

    def _right_barline(self, measure: Measure) -> None:
        measures = self.score.measures
        last = measure.index + 1 == len(measures)
        ends = bool(measure.ending) and (last or _begins_ending(measures[measure.index + 1], measures) or (
            not measures[measure.index + 1].ending
        ))  # fmt: skip
        style = "light-heavy" if measure.repeat_end else _BAR_STYLES.get(measure.barline, "")
        if not (style or ends):
            return
        barline = child(self.measure, "barline", location="right")
        if style:
            child(barline, "bar-style", style)
        if ends:
            child(barline, "ending", number=",".join(map(str, measure.ending)), type="stop")
        if measure.repeat_end:
            times = {"times": str(measure.times)} if measure.times != 2 else {}
            after = {"after-jump": "yes"} if measure.repeat_after_jump else {}
            child(barline, "repeat", direction="backward", **after, **times)


def _brackets(value: WrittenValue) -> tuple[tuple[str, bool], ...]:
    return ("start", value.begins), ("stop", value.ends)


def _number(measure: Measure) -> str:
    return measure.number or str(measure.index + 1)


def _is_implicit(measure: Measure, measures: tuple[Measure, ...]) -> bool:
    """Whether players do not count it: a pickup, or the second half of a split bar."""
    if measure.index == 0:
        return measure.is_pickup
    again = measure.number == measures[measure.index - 1].number
    return again and (measure.continues or measure.is_pickup)


def _begins_ending(measure: Measure, measures: tuple[Measure, ...]) -> bool:
    """Whether a bracket begins at it."""
    if not measure.ending:
        return False
    before = measures[measure.index - 1] if measure.index else None
    return before is None or before.ending != measure.ending or before.repeat_end


def _fills(note: Note, measure: Measure, measures: tuple[Measure, ...]) -> bool:
    """Whether it is a rest of a whole bar, and says so without making a short last bar longer."""
    closes = measure.index + 1 == len(measures) and not measures[0].is_full
    return (
        note.onset == 0 and note.duration == measure.length and measure.is_full and bool(measure.metre) and not closes
    )


def _clef(attributes: ElementTree.Element, clef: Clef, numbered: bool) -> None:
    element = child(attributes, "clef", **({"number": str(clef.staff)} if numbered else {}))
    name, sign, octaves = clef.name, "+", ""
    for mark in "+-":
        if mark in clef.name and clef.name.rpartition(mark)[2] in _OCTAVES:
            name, sign, octaves = clef.name.rpartition(mark)
    if name in _OTHER_SIGNS:
        child(element, "sign", _OTHER_SIGNS[name])
        return
    letter, line = _SIGNS.get(name, ("G", 2))
    child(element, "sign", letter)
    child(element, "line", line)
    if octaves:
        child(element, "clef-octave-change", _OCTAVES[octaves] * (-1 if sign == "-" else 1))


def _streams(notes: list[Note]) -> list[list[_Group]]:
    """Return the voices of a measure, each as its notes, chords and rests in order."""
    groups: dict[int, _Group] = {}
    for note in notes:
        groups.setdefault(note.event, []).append(note)
    voices: dict[int, list[_Group]] = {}
    for group in groups.values():
        group.sort(key=lambda note: -note.duration)  # the longest note of a chord moves the music on
        voices.setdefault(group[0].voice, []).append(group)
    found = []
    for _, stream in sorted(voices.items()):
        stream.sort(key=lambda group: (group[0].onset, group[0].event))
        reach, overlaps = _ZERO, False
        for group in stream:
            overlaps = overlaps or group[0].onset < reach
            reach = max(reach, group[0].onset + group[0].duration)
        if overlaps and len({group[0].staff for group in stream}) > 1:
            for staff in sorted({group[0].staff for group in stream}):
                found.append([group for group in stream if group[0].staff == staff])
        else:
            found.append(stream)
    return found


def _values(stream: list[_Group], measure: Measure) -> list[tuple[WrittenValue | None, tuple[str, ...]]]:
    """Return value and beams of each note or chord of a voice."""
    timed = [group[0] for group in stream if not group[0].grace]
    values = written_values([(note.onset, note.duration) for note in timed])
    joined = beams(
        [
            (measure.offset + note.onset, note.duration, "" if value is None or note.is_rest else value.type)
            for note, value in zip(timed, values, strict=True)
        ],
        measure.metre,
    )
    found = iter(zip(values, joined, strict=True))
    return [(None, ()) if group[0].grace else next(found) for group in stream]
