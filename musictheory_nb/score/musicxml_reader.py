"""MusicXML text to a `Draft`: parts, staves, voices, and where each note, rest and sign stands.

Conventions: MusicXML 4.0 (W3C Music Notation Community Group). Time runs by ``duration``, ``backup`` and ``forward``,
in divisions that may change; all are brought to one unit first. Sounding pitch is written pitch plus ``transpose``.
"""

import math
import xml.etree.ElementTree as ElementTree
from fractions import Fraction
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import (
    Draft,
    DraftChord,
    DraftClef,
    DraftKey,
    DraftMeasure,
    DraftNote,
    DraftPart,
    DraftTransposition,
)
from musictheory_nb.score.musicxml_attributes import clef_name, key_of, metre_of, transposition_of
from musictheory_nb.score.musicxml_chord import chord_text
from musictheory_nb.score.musicxml_direction import read_barline, read_direction, read_sound
from musictheory_nb.score.musicxml_note_value import written_value
from musictheory_nb.score.musicxml_number import decimal_number, whole_number
from musictheory_nb.score.musicxml_part_list import read_part_list
from musictheory_nb.score.note_table import KINDS
from musictheory_nb.score.xml_text import parse_xml
from musictheory_nb.theory.pitch_grammar import STEP_INDEX

#: Most ticks to a quarter: a score whose divisions have no smaller common multiple is damaged.
MAX_TICKS_PER_QUARTER: Final = 10**9
#: Longest single measure, in quarters.
MAX_MEASURE_QUARTERS: Final = 10_000
_NOTE, _REST, _UNPITCHED, _CUE = range(len(KINDS))


def read_musicxml(text: str) -> Draft:
    """Read a MusicXML document, part-wise or time-wise.

    Raises
    ------
    ScoreError
        Not MusicXML, or damaged; the message names the part and measure.
    """
    root = parse_xml(text)
    if root.tag == "score-timewise":
        root = _part_wise(root)
    if root.tag != "score-partwise":
        raise ScoreError(f"this XML is no MusicXML score: its outermost tag is <{root.tag[:40]}>, not <score-partwise>")
    draft = Draft()
    draft.title = _line(root.findtext("work/work-title")) or _line(root.findtext("movement-title"))
    creators = root.findall("identification/creator")
    draft.composer = next((_line(c.text) for c in creators if c.get("type") == "composer"), "")
    found = read_part_list(root, draft)
    draft.ticks_per_quarter = _common_unit(root)
    for index, element in enumerate(found):
        if element is not None:
            _PartReader(draft, index).read(element)
    return draft


def _line(text: str | None) -> str:
    return " ".join((text or "").split())


def _part_wise(root: ElementTree.Element) -> ElementTree.Element:
    """Turn a time-wise score (measures of parts) into a part-wise one (parts of measures)."""
    turned = ElementTree.Element("score-partwise")
    parts: dict[str, ElementTree.Element] = {}
    for child in root:
        if child.tag != "measure":
            turned.append(child)
            continue
        for part in child.findall("part"):
            name = part.get("id", "")
            if name not in parts:
                parts[name] = ElementTree.SubElement(turned, "part", {"id": name})
            measure = ElementTree.SubElement(parts[name], "measure", child.attrib)
            measure.extend(list(part))
    return turned


def _common_unit(root: ElementTree.Element) -> int:
    """Return how many ticks make a quarter, so that each time in the file is a whole number of ticks."""
    unit = 1
    all_divisions = set()
    for element in root.iter("divisions"):
        divisions = decimal_number(element.text, "divisions")
        if divisions <= 0:
            raise ScoreError(f"divisions {(element.text or '').strip()[:40]!r}: must be above 0")
        # A duration of n divisions is n / divisions quarters.
        all_divisions.add(divisions.numerator)
        unit = math.lcm(unit, divisions.numerator)
    for kind in root.iter("beat-type"):
        unit = math.lcm(unit, whole_number(kind.text, "beat-type", 1, 1024))
    places = 1
    for tag in ("duration", "offset"):
        for element in root.iter(tag):
            if "." in (element.text or ""):
                places = math.lcm(places, decimal_number(element.text, tag).denominator)
    unit *= places
    # Durations of tuplets that the divisions cannot express are rounded in the file, and read from the note values.
    for tuplet in {(element.text or "").strip() for element in root.iter("actual-notes")}:
        number = int(tuplet) if tuplet.isdecimal() and len(tuplet) <= 3 else 0
        odd = number // (number & -number) if number else 1
        if any(divisions % odd for divisions in all_divisions):
            unit = math.lcm(unit, 32 * odd)
    if unit > MAX_TICKS_PER_QUARTER:
        raise ScoreError("the divisions of this score have no common unit of a sensible size; it is damaged")
    return unit


class _PartReader:
    """Reads the measures of one part; holds what lasts from measure to measure."""

    def __init__(self, draft: Draft, index: int) -> None:
        self.draft = draft
        self.index = index
        self.part: DraftPart = draft.parts[index]
        self.per_division = draft.ticks_per_quarter
        self.transpositions: dict[int, tuple[int, int]] = {0: (0, 0)}
        self.metre, self.full = "", 0
        self.measure = 0
        self.cursor = 0
        self.reach = 0  # as far as notes and rests go; a whole-measure rest goes as far as the measure, not farther
        self.filled = 0
        self.sounding = 0
        self.previous_onset = 0
        self.places = [0]  # where something begins or ends in this measure; used once a duration was rounded
        self.rounded = False
        self.first_notes: list[int] = []  # of each measure, among all notes
        self.repeats = 0  # how many measures back the music is, under a sign that repeats measures
        self.voices: dict[str, int] = {}
        self.number = ""

    def read(self, element: ElementTree.Element) -> None:
        """Read every measure of the part."""
        for index, measure in enumerate(element.findall("measure")):
            self.measure = index
            self.number = measure.get("number", "").strip()[:20]
            while index >= len(self.draft.measures):
                self.draft.measures.append(DraftMeasure())
            draft_measure = self.draft.measures[index]
            draft_measure.printed = draft_measure.printed or self.number
            draft_measure.implicit = draft_measure.implicit or measure.get("implicit") == "yes"
            self.places = [0]
            first_note = len(self.draft.notes)
            self.first_notes.append(first_note)
            self.cursor = self.reach = self.filled = self.sounding = self.previous_onset = 0
            try:
                for child in measure:
                    self._read(child, draft_measure)
            except ScoreError as error:
                raise ScoreError(f"part {self.part.name!r}, measure {self.number or index + 1}: {error}") from None
            if self.reach > MAX_MEASURE_QUARTERS * self.draft.ticks_per_quarter:
                raise ScoreError(
                    f"part {self.part.name!r}, measure {self.number or index + 1}: longer than "
                    f"{MAX_MEASURE_QUARTERS} quarters"
                )
            if self.repeats and not any(note.kind != _REST for note in self.draft.notes[first_note:]):
                self._play_again(first_note)
            if index == 0 or draft_measure.implicit:
                self._rest_only(first_note)
            draft_measure.content = max(draft_measure.content, self.reach)
            draft_measure.filled = max(draft_measure.filled, self.filled)
            draft_measure.sounding = max(draft_measure.sounding, self.sounding)
            if self.metre and not draft_measure.metre:
                draft_measure.metre, draft_measure.full = self.metre, self.full

    def _read(self, child: ElementTree.Element, measure: DraftMeasure) -> None:
        tag = child.tag
        if tag == "note":
            self._note(child)
        elif tag == "backup":
            self.cursor -= self._ticks(child.findtext("duration"), "duration of a backup")
            if self.cursor < 0:
                self.cursor = 0
                self._notice("a backup leads to before its start; it was taken to lead to its start")
            elif self.rounded:
                nearest = min(self.places, key=lambda place: abs(place - self.cursor))
                if abs(nearest - self.cursor) < 2 * self.per_division:
                    self.cursor = nearest
        elif tag == "forward":
            self.cursor += self._ticks(child.findtext("duration"), "duration of a forward")
            self.reach = max(self.reach, self.cursor)
        elif tag == "attributes":
            self._attributes(child)
        elif tag == "harmony":
            self._harmony(child)
        elif tag == "direction":
            read_direction(child, self.draft, self.index, self.measure, self._place(child))
        elif tag == "sound":
            read_sound(child, self.draft, self.measure, self._place(child))
        elif tag == "barline":
            read_barline(child, self.draft, self.measure, self.cursor)

    def _notice(self, text: str) -> None:
        notice = f"part {self.part.name!r}, measure {self.number or self.measure + 1}: {text}"
        if len(self.draft.notices) < 100:
            self.draft.notices.append(notice)

    def _play_again(self, first: int) -> None:
        """Fill a measure that holds only the sign for repeating so many measures with the notes of the one so far back."""
        del self.draft.notes[first:]
        begin = self.first_notes[max(self.measure - self.repeats, 0)]
        again = [note for note in self.draft.notes[begin:] if note.measure == self.measure - self.repeats]
        event = len(self.draft.notes)
        for note in again:
            copied = note._replace(measure=self.measure, tie=0, event=event + note.event - again[0].event)
            self.draft.notes.append(copied)
            self.reach = max(self.reach, note.onset + note.duration)
        self.filled = self.sounding = self.reach

    def _rest_only(self, first: int) -> None:
        """Make a rest that is all of a part's pickup as long as the pickup, not as long as a full bar."""
        own = self.draft.notes[first:]
        if len(own) == 1 and own[0].kind == _REST and own[0].onset == 0 and own[0].duration == self.full:
            self.draft.notes[first] = own[0]._replace(whole=1)
            self.reach = self.filled = 0

    def _ticks(self, text: str | None, what: str) -> int:
        if text is not None and text.isdecimal() and len(text) < 9:
            return int(text) * self.per_division
        value = decimal_number(text, what)
        if value < 0:
            raise ScoreError(f"{what} {(text or '').strip()[:40]!r}: must not be below 0")
        return int(value * self.per_division)

    def _place(self, element: ElementTree.Element) -> int:
        offset = element.findtext("offset")
        if not (offset or "").strip():
            return self.cursor
        return max(0, self.cursor + int(decimal_number(offset, "offset") * self.per_division))

    def _transposition(self, staff: int) -> tuple[int, int]:
        return self.transpositions.get(staff) or self.transpositions[0]

    def _attributes(self, element: ElementTree.Element) -> None:
        draft, place = self.draft, (self.measure, self.cursor, self.index)
        if (divisions := element.findtext("divisions")) is not None:
            self.per_division = int(draft.ticks_per_quarter / decimal_number(divisions, "divisions"))
        if (staves := element.findtext("staves")) is not None:
            self.part.staves = whole_number(staves, "staves", 1, 20)
        for transpose in element.findall("transpose"):
            moved = transposition_of(transpose)
            staff = whole_number(transpose.get("number") or "0", "staff", 0, 20)
            if staff == 0:
                self.transpositions.clear()
            self.transpositions[staff] = moved
            self.transpositions.setdefault(0, moved)
            if staff <= 1:
                draft.transpositions.append(DraftTransposition(*place, *moved))
        for key in element.findall("key"):
            staff = whole_number(key.get("number") or "0", "staff", 0, 20)
            if staff <= 1:
                fifths, mode, known = key_of(key)
                if not known:
                    self._notice("a key signature that is no circle of fifths; it was taken as no sharps and no flats")
                draft.keys.append(DraftKey(*place, fifths, mode, *self._transposition(staff)))
        for time in element.findall("time")[:1]:
            self.metre, quarters = metre_of(time)
            self.full = int(quarters * draft.ticks_per_quarter)
            if self.cursor == 0 and self.metre and not draft.measures[self.measure].metre:
                draft.measures[self.measure].metre, draft.measures[self.measure].full = self.metre, self.full
        for sign in element.findall("measure-style/measure-repeat"):
            begins = sign.get("type") == "start"
            self.repeats = whole_number(sign.text or "1", "measure-repeat", 1, 16) if begins else 0
        for clef in element.findall("clef"):
            staff = whole_number(clef.get("number") or "1", "staff", 1, 20)
            draft.clefs.append(DraftClef(*place, staff, clef_name(clef)))

    def _harmony(self, element: ElementTree.Element) -> None:
        staff = whole_number(element.findtext("staff") or "1", "staff", 1, 20)
        read = chord_text(element)
        if read is None:
            self._notice("a harmony that names no root (a Roman numeral or function); it was left out")
            return
        text, kind = read
        moved = self._transposition(staff)
        self.draft.chords.append(DraftChord(self.measure, self._place(element), self.index, kind, text, *moved))

    def _note(self, element: ElementTree.Element) -> None:
        kind, step, alter, octave, cents = _NOTE, -1, 0, 0, 0
        staff = voice = 1
        duration: int | None = None
        grace = chord = whole = tuplet = 0
        sounding_ties = printed_ties = fermata = 0
        for child in element:
            tag = child.tag
            if tag == "pitch":
                step, alter, octave, cents = _pitch(child)
            elif tag == "duration":
                duration = self._ticks(child.text, "duration")
            elif tag == "voice":
                voice = self._voice(child.text)
            elif tag == "staff":
                staff = whole_number(child.text or "1", "staff", 1, 20)
            elif tag == "chord":
                chord = 1
            elif tag == "time-modification":
                tuplet = 1
            elif tag == "rest":
                kind = _REST
                whole = int(child.get("measure") == "yes")
            elif tag == "unpitched":
                kind = _UNPITCHED
            elif tag == "grace":
                grace = 1
            elif tag == "cue":
                kind = _CUE
            elif tag == "tie":
                sounding_ties |= _TIE_BITS.get(child.get("type", ""), 0)
            elif tag == "notations":
                for mark in child:
                    if mark.tag == "tied":
                        printed_ties |= _TIE_BITS.get(mark.get("type", ""), 0)
                    elif mark.tag == "fermata":
                        fermata = 1
        if kind in (_NOTE, _CUE) and step < 0:
            if kind == _NOTE:
                raise ScoreError("a note with neither a pitch nor a rest")
            kind = _REST
        if grace:
            duration = 0
        elif duration is None:
            raise ScoreError("a note without a duration")
        elif duration == 0:
            grace = 1
        elif tuplet:
            duration = self._unrounded(element, duration)
        elif chord and self.draft.notes and duration != self.draft.notes[-1].duration:
            duration = self._of_chord(element, duration)
        onset = self.previous_onset if chord else self.cursor
        if not chord:
            self.previous_onset = onset
            self.cursor += duration
            self.places.append(self.cursor)
            if not (whole and self.full):
                self.reach = max(self.reach, self.cursor)
                self.filled = max(self.filled, self.cursor)
            if kind != _REST:
                self.sounding = max(self.sounding, self.cursor)
        self.part.staves = max(self.part.staves, staff)
        notes = self.draft.notes
        event = notes[-1].event if chord and notes else len(notes)
        moved = self._transposition(staff)
        notes.append(
            DraftNote(
                kind,
                self.index,
                staff,
                voice,
                self.measure,
                onset,
                duration,
                step,
                alter,
                octave,
                cents,
                (sounding_ties or printed_ties) if kind == _NOTE else 0,
                grace,
                fermata,
                event,
                *moved,
                whole,
            )
        )

    def _unrounded(self, element: ElementTree.Element, duration: int) -> int:
        """Return the written length of a tuplet note if the file's divisions could only come near it."""
        value = written_value(element)
        exact = value * self.draft.ticks_per_quarter if value is not None else None
        if exact is None or exact.denominator != 1 or not 0 < abs(exact - duration) < self.per_division:
            return duration
        self.rounded = True
        return int(exact)

    def _of_chord(self, element: ElementTree.Element, duration: int) -> int:
        """Return the length of a further note of a chord: where it is written as long as the first, it is as long."""
        first = self.draft.notes[-1].duration
        return first if written_value(element) == Fraction(first, self.draft.ticks_per_quarter) else duration

    def _voice(self, text: str | None) -> int:
        name = (text or "1").strip()
        if len(name) <= 3 and name.isascii() and name.isdigit() and name.strip("0"):
            return int(name)
        return self.voices.setdefault(name[:20], 101 + len(self.voices))


_TIE_BITS: Final = {"start": 1, "stop": 2, "continue": 3}


def _pitch(element: ElementTree.Element) -> tuple[int, int, int, int]:
    """Return step (0-6), alteration in semitones, octave and cents of a ``pitch`` element."""
    step = (element.findtext("step") or "").strip().upper()
    if step not in STEP_INDEX:
        raise ScoreError(f"step {step[:20]!r}: one of C D E F G A B must stand there")
    octave = whole_number(element.findtext("octave"), "octave", -1, 10)
    text = element.findtext("alter")
    if text is None or not text.strip():
        return STEP_INDEX[step], 0, octave, 0
    alter = decimal_number(text, "alter")
    semitones = math.floor(alter + decimal_number("0.5", "alter")) if alter.denominator != 2 else math.trunc(alter)
    if abs(semitones) > 3:
        raise ScoreError(f"alter {text.strip()[:20]!r}: at most three semitones up or down")
    return STEP_INDEX[step], semitones, octave, round((alter - semitones) * 100)
