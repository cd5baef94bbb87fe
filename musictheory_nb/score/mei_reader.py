"""MEI text to a `Draft`.

Conventions: MEI 4 and 5, common music notation. What a note sounds is its ``accid.ges``, else its ``accid``; a file that
never states ``accid.ges`` is read by key signature and by accidentals to the end of the bar, as players read. Of
variants the first reading counts, of corrections the corrected one.
"""

import math
import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace
from fractions import Fraction
from typing import Any, Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.draft import Draft, DraftPart
from musictheory_nb.score.mei_control import MeasureHere, MeiControls, MeiStaff, Place, hold, text_of
from musictheory_nb.score.mei_value import (
    accidental_of,
    attribute,
    clef_of,
    duration_of,
    key_of,
    metre_of,
    number_of,
)
from musictheory_nb.score.musicxml_attributes import usual_steps
from musictheory_nb.score.note_table import KINDS
from musictheory_nb.score.quarter_draft import QuarterDraft, QuarterNote
from musictheory_nb.score.xml_text import parse_xml
from musictheory_nb.theory.pitch_grammar import STEP_INDEX

_NOTE, _REST, _UNPITCHED, _CUE = range(len(KINDS))
_MAX_DEPTH: Final = 60
#: Most sections of an expansion.
_MOST_SECTIONS: Final = 1_000
_KEY_ORDER: Final = "FCGDAEB"
_BARS: Final = {"dbl": "double", "end": "final", "invis": "none", "dashed": "dashed", "dotted": "dashed"}


def read_mei(text: str) -> Draft:
    """Read an MEI document.

    Raises
    ------
    ScoreError
        Not MEI, or damaged; the message names the measure.
    """
    root = parse_xml(text)
    for element in root.iter():
        if isinstance(element.tag, str) and element.tag.startswith("{"):
            element.tag = element.tag.rpartition("}")[2]
    if root.tag != "mei":
        raise ScoreError(f"this XML is no MEI score: its outermost tag is <{root.tag[:40]}>")
    scores = root.findall(".//score")
    if not scores:
        raise ScoreError("this MEI file holds no <score>")
    made = QuarterDraft()
    draft = made.draft
    title = root.find(".//titleStmt/title")
    draft.title = text_of(title) if title is not None else ""
    people = root.findall(".//titleStmt//persName") + root.findall(".//titleStmt/composer")
    draft.composer = next((text_of(p) for p in people if p.get("role") == "composer" or p.tag == "composer"), "")
    if len(scores) > 1:
        draft.notices.append(f"the file holds {len(scores)} movements; the first was read")
    reader = _MeiReader(made, states_sounding=any(element.get("accid.ges") for element in root.iter()))
    reader.read_score(scores[0])
    return reader.finish()


class _MeiReader:
    """Walks through the sections and measures of one movement."""

    def __init__(self, made: QuarterDraft, states_sounding: bool) -> None:
        self.made = made
        self.draft = made.draft
        self.states_sounding = states_sounding
        self.staves: dict[str, MeiStaff] = {}
        self.metre: tuple[str, Fraction] = ("", Fraction(0))
        self.places: dict[str, Place] = {}
        self.controls = MeiControls(made, self.places)
        self.measure = -1
        self.first_notes: list[int] = []  # of each measure, among all notes
        self.accidentals: dict[tuple[str, int], Fraction] = {}
        self.events = 0
        self.spans: dict[str, tuple[int, int]] = {}  # measures of sections and endings by their identifiers
        self.plan: list[str] = []  # identifiers in the order of the first expansion

    # Definitions

    def read_score(self, score: ElementTree.Element) -> None:
        """Read a whole movement."""
        for child in score:
            self._walk(child, 0)
        if self.measure < 0:
            raise ScoreError("this MEI file has no measures")

    def _walk(self, element: ElementTree.Element, depth: int) -> None:
        if depth > _MAX_DEPTH:
            raise ScoreError("this MEI file is nested without end")
        tag = element.tag
        start = self.measure + 1
        if tag == "expansion" and not self.plan:
            self.plan = [name.lstrip("#") for name in element.get("plist", "").split()][:_MOST_SECTIONS]
        elif tag == "scoreDef":
            self._score_def(element)
        elif tag == "staffDef":
            self._staff_def(element)
        elif tag == "measure":
            self._measure(element)
        elif tag in ("keySig", "meterSig"):
            holder = ElementTree.Element("scoreDef")
            holder.append(element)
            self._score_def(holder)
        elif tag == "ending":
            first = self.measure + 1
            for child in element:
                self._walk(child, depth + 1)
            if self.measure >= first:
                passes = tuple(
                    int(n) for n in re.findall(r"[0-9]{1,2}", element.get("n") or element.get("label") or "")
                )
                self.draft.measures[first].ending_start = passes or (0,)
                self.draft.measures[self.measure].ending_stop = True
        elif tag in ("section", "app", "choice", "subst", "lem", "rdg", "corr", "reg", "add", "mdiv", "supplied"):
            for child in _chosen(element):
                self._walk(child, depth + 1)
        if tag in ("section", "ending") and self.measure >= start:
            self.spans[_identity(element)] = start, self.measure

    def _score_def(self, element: ElementTree.Element) -> None:
        if (metre := metre_of(element)) is not None:
            self.metre = metre
        for group in element.findall("staffGrp"):
            self._group(group, 0)
        key = key_of(element)
        if key is not None:
            for staff in self.staves.values():
                self._key(staff, *key)

    def _group(self, group: ElementTree.Element, depth: int) -> None:
        if depth > _MAX_DEPTH:
            raise ScoreError("this MEI file is nested without end")
        symbol = attribute(group, "symbol") or (
            attribute(sign, "symbol") if (sign := group.find("grpSym")) is not None else ""
        )
        own = [child for child in group if child.tag == "staffDef"]
        joined = symbol == "brace" and len(own) > 1
        label = group.find("label")
        for child in group:
            if child.tag == "staffGrp":
                self._group(child, depth + 1)
            elif child.tag == "staffDef":
                together = joined and child is not own[0]
                self._staff_def(child, together, text_of(label) if label is not None and joined else "")

    def _staff_def(self, element: ElementTree.Element, together: bool = False, group_label: str = "") -> None:
        name = attribute(element, "n") or str(len(self.staves) + 1)
        staff = self.staves.get(name)
        if staff is None:
            if len(self.staves) > 200:
                raise ScoreError("more than 200 staves")
            if together and self.draft.parts:
                part = len(self.draft.parts) - 1
                self.draft.parts[part].staves += 1
                staff = MeiStaff(part, self.draft.parts[part].staves)
            else:
                self.draft.parts.append(DraftPart())
                staff = MeiStaff(len(self.draft.parts) - 1, 1)
            self.staves[name] = staff
        own = self.draft.parts[staff.part]
        label, short = element.find("label"), element.find("labelAbbr")
        said = group_label or (text_of(label) if label is not None else attribute(element, "label"))
        own.name = own.name or said
        own.short = own.short or (text_of(short) if short is not None else attribute(element, "label.abbr"))
        instrument = element.find("instrDef")
        if instrument is not None and not own.program:
            own.program = number_of(instrument, "midi.instrnum", -1, -1, 127) + 1
        staff.default_dur = attribute(element, "dur.default") or staff.default_dur
        staff.ppq = number_of(element, "ppq", staff.ppq, 0, 10**6)
        semitones = number_of(element, "trans.semi", 0, -60, 60)
        if semitones or element.get("trans.diat"):
            staff.moved = semitones, number_of(element, "trans.diat", usual_steps(semitones), -40, 40)
            self._mark("transposition", Fraction(0), staff.part, *staff.moved)
        if clef := clef_of(element):
            self._mark("clef", Fraction(0), staff.part, staff.staff, clef)
        if (key := key_of(element)) is not None:
            self._key(staff, *key)
        if (metre := metre_of(element)) is not None:
            self.metre = metre

    def _key(self, staff: MeiStaff, fifths: int, mode: str, onset: Fraction = Fraction(0), ahead: int = 1) -> None:
        staff.key = fifths
        if staff.staff == 1:
            self._mark("key", onset, staff.part, fifths, mode, *staff.moved, ahead=ahead)

    def _mark(self, kind: str, onset: Fraction, part: int, *values: Any, ahead: int = 1) -> None:
        """Note a mark of the measure to come, or with `ahead` 0 of the one that is being read."""
        self.made.mark(kind, max(self.measure + ahead, 0), onset, part, *values)

    # Measures

    def _measure(self, element: ElementTree.Element) -> None:
        self.measure += 1
        own = self.made.measure(self.measure)
        self.first_notes.append(len(self.made.notes))
        own.printed = attribute(element, "n")[:20]
        own.metre = self.metre[0]
        self.made.fulls[self.measure] = self.metre[1]
        left, right = attribute(element, "left"), attribute(element, "right")
        if left in ("rptstart", "rptboth"):
            own.repeat_start = True
        if left in ("rptend", "rptboth") and self.measure:
            self.draft.measures[self.measure - 1].repeat_end = True
        if right in ("rptend", "rptboth"):
            own.repeat_end = True
        if right in ("rptstart", "rptboth"):
            self.made.measure(self.measure + 1).repeat_start = True
        own.barline = _BARS.get(right, "regular")
        try:
            for staff in element.iter("staff"):
                self._staff(staff)
            here = MeasureHere(self.measure, self.metre[0], self.first_notes[-1], self.staves)
            for child in element.iter():
                self.controls.read(child, here)
        except ScoreError as error:
            raise ScoreError(f"measure {own.printed or self.measure + 1}: {error}") from None

    def _staff(self, element: ElementTree.Element) -> None:
        name = attribute(element, "n") or "1"
        staff = self.staves.get(name)
        if staff is None:
            raise ScoreError(f"staff {name[:20]!r} is not defined in the score")
        self.accidentals = {}
        layers = [child for child in element.iter("layer")]
        for place, layer in enumerate(layers, 1):
            cursor = Fraction(0)
            for child in layer:
                cursor = self._event(child, staff, place, cursor, Fraction(1), 0)
            self.made.reach(self.measure, cursor, sounds=False)

    def _event(
        self, element: ElementTree.Element, staff: MeiStaff, voice: int, cursor: Fraction, factor: Fraction, depth: int
    ) -> Fraction:
        """Read what stands in a layer; return how far it leads."""
        if depth > _MAX_DEPTH:
            raise ScoreError("nested without end")
        tag = element.tag
        if tag in ("note", "chord", "rest", "space"):
            return self._timed(element, staff, voice, cursor, factor)
        if tag in ("mRest", "mSpace"):
            if tag == "mRest":
                self._note(_REST, staff, voice, cursor, Fraction(0), element).whole = 1
            return cursor
        if tag == "multiRest":
            self._note(_REST, staff, voice, cursor, Fraction(0), element).whole = 1
            self.draft.notices.append("a rest of several measures was read as one of each measure that is written")
            return cursor
        if tag == "mRpt":
            self._repeat_measure(staff)
            return cursor
        if tag == "clef" and (clef := clef_of(element)):
            self._mark("clef", cursor, staff.part, staff.staff, clef, ahead=0)
        elif tag == "keySig" and (key := key_of(element)) is not None:
            self._key(staff, *key, onset=cursor, ahead=0)
        elif tag == "meterSig" and cursor == 0 and (metre := metre_of(element)) is not None:
            self.metre = metre
            self.draft.measures[self.measure].metre, self.made.fulls[self.measure] = metre
        if tag == "tuplet":
            actual, normal = number_of(element, "num", 3, 1, 999), number_of(element, "numbase", 2, 1, 999)
            factor = factor * normal / actual
        if tag in ("fTrem", "bTrem"):
            notes = [child for child in element if child.tag in ("note", "chord", "rest")]
            if tag == "fTrem" and len(notes) == 2:
                factor = factor / 2  # each is written as long as the two together
        if tag in ("choice", "app", "subst") or tag in _CONTAINERS:
            for child in _chosen(element):
                cursor = self._event(child, staff, voice, cursor, factor, depth + 1)
        return cursor

    def _timed(
        self, element: ElementTree.Element, staff: MeiStaff, voice: int, cursor: Fraction, factor: Fraction
    ) -> Fraction:
        grace = bool(element.get("grace")) or element.get("dur.ges") == "0"
        heads = [child for child in element.iter("note")] if element.tag == "chord" else [element]
        duration = duration_of(element, staff.default_dur)
        if duration is None and heads:
            duration = duration_of(heads[0], staff.default_dur)
        if duration is None and staff.ppq and heads and (count := number_of(heads[0], "dur.ppq", 0, 0, 10**6)):
            duration, factor = Fraction(count, staff.ppq), Fraction(1)  # how long it sounds, without a note value
        if duration is None:
            if not grace:
                raise ScoreError(f"a {element.tag} without a duration")
            duration = Fraction(0)
        length = Fraction(0) if grace else duration * factor
        self.events += 1
        notes: list[QuarterNote] = []
        if element.tag == "rest":
            notes = [self._note(_REST, staff, voice, cursor, length, element)]
        elif element.tag != "space":
            kind = _CUE if element.get("cue") == "true" else _NOTE
            notes = [self._note(kind, staff, voice, cursor, length, head) for head in heads]
            for note in notes:
                note.tie |= _tie_bits(element)
                note.grace = int(grace)
            self.made.reach(self.measure, cursor + length, sounds=bool(notes))
        if identity := _identity(element):
            self.places[identity] = (self.measure, cursor, notes)
        if element.get("fermata"):
            hold(notes)
        return cursor + length

    def _note(
        self, kind: int, staff: MeiStaff, voice: int, onset: Fraction, length: Fraction, element: ElementTree.Element
    ) -> QuarterNote:
        said = self.staves.get(attribute(element, "staff"))
        place = said.staff if said is not None and said.part == staff.part else staff.staff
        layer = voice + 10 * (staff.staff - 1)
        note = QuarterNote(kind, staff.part, place, layer, self.measure, onset, length, event=self.events)
        note.moved = staff.moved
        note.tie = _tie_bits(element)
        if kind in (_NOTE, _CUE):
            self._give_pitch(note, staff, element)
        self.made.notes.append(note)
        if (identity := _identity(element)) and identity not in self.places:
            self.places[identity] = (self.measure, onset, [note])
        if element.tag == "note" and element.get("fermata"):
            note.fermata = 1
        return note

    def _give_pitch(self, note: QuarterNote, staff: MeiStaff, element: ElementTree.Element) -> None:
        name = attribute(element, "pname").upper()
        if name not in STEP_INDEX:
            if not (attribute(element, "loc") or attribute(element, "midi.pnum")):
                raise ScoreError(f"a note whose name is {name[:20]!r}")
            note.kind = _UNPITCHED
            return
        note.step, note.octave = STEP_INDEX[name], number_of(element, "oct", 4, -1, 10)
        alter = self._alter(element, staff, name, note.octave)
        note.alter = math.trunc(alter) if alter.denominator == 2 else round(alter)
        note.cents = round((alter - note.alter) * 100)

    def _alter(self, element: ElementTree.Element, staff: MeiStaff, name: str, octave: int) -> Fraction:
        sounding, printed = accidental_of(element)
        if printed is not None:
            self.accidentals[name, octave] = printed
        if sounding is not None or printed is not None:
            return sounding if sounding is not None else printed or Fraction(0)
        if self.states_sounding:
            return Fraction(0)
        if (name, octave) in self.accidentals:
            return self.accidentals[name, octave]
        if staff.key > 0:
            return Fraction(name in _KEY_ORDER[: staff.key])
        return -Fraction(name in _KEY_ORDER[::-1][: -staff.key]) if staff.key < 0 else Fraction(0)

    def _repeat_measure(self, staff: MeiStaff) -> None:
        """Play the measure before once more, as the sign % asks."""
        begin = self.first_notes[-2] if self.measure else self.first_notes[-1]
        before = [note for note in self.made.notes[begin : self.first_notes[-1]] if note.part == staff.part]
        last_event = None
        for note in before:
            if (note.voice - 1) // 10 != staff.staff - 1:
                continue
            if note.event != last_event:
                self.events += 1
                last_event = note.event
            self.made.notes.append(replace(note, measure=self.measure, event=self.events, tie=0))
            self.made.reach(self.measure, note.onset + note.duration, sounds=note.kind != _REST)

    def finish(self) -> Draft:
        """Join ties and fermatas to their notes; return the draft."""
        self.controls.join()
        del self.draft.measures[self.measure + 1 :]
        draft = self.made.finish()
        signs = any(m.repeat_start or m.repeat_end or m.ending_start for m in draft.measures) or draft.signs
        if self.plan and not signs:  # what players read counts; programs write plans of their own beside it
            if all(name in self.spans for name in self.plan):
                draft.sections = [(*self.spans[name], False) for name in self.plan]
            else:
                draft.notices.append("not all sections of the stated order are marked; they stand as written")
        return draft


_CONTAINERS: Final = frozenset(
    {"beam", "tuplet", "graceGrp", "fTrem", "bTrem", "ligature", "lem", "rdg", "corr", "reg", "add", "supplied", "unclear",
     "damage", "restore", "orig", "sic", "expan", "abbr"}
)  # fmt: skip


def _chosen(element: ElementTree.Element) -> list[ElementTree.Element]:
    """Return the children that count: of a choice the corrected or regularised, of variants the lemma or the first."""
    if element.tag in ("choice", "app", "subst"):
        for wanted in ("corr", "reg", "expan", "lem", "add"):
            found = element.find(wanted)
            if found is not None:
                return [found]
        return list(element)[:1]
    return list(element)


def _identity(element: ElementTree.Element) -> str:
    return element.get("{http://www.w3.org/XML/1998/namespace}id") or ""


def _tie_bits(element: ElementTree.Element) -> int:
    text = element.get("tie") or ""
    return ("i" in text) * 1 | ("t" in text) * 2 | ("m" in text) * 3
