"""Control events of MEI: what stands in a measure beside its notes (ties, fermatas, chord symbols, tempo, words, signs)."""

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, TypeAlias

from musictheory_nb.score.mei_value import attribute, duration_of
from musictheory_nb.score.quarter_draft import QuarterDraft, QuarterNote

_JUMPS: Final = {"daCapo": "dacapo", "dalSegno": "dalsegno", "segno": "segno", "coda": "coda", "fine": "fine"}
_TEXT_SIGNS: Final = {"\ue047": "segno", "\ue048": "coda", "𝄋": "segno", "𝄌": "coda"}

Place: TypeAlias = tuple[int, Fraction, list[QuarterNote]]
"""Measure, onset and notes of an element that others refer to."""


class MeiStaff:
    """One staff: whose it is, and what holds for it."""

    def __init__(self, part: int, staff: int) -> None:
        self.part = part
        self.staff = staff
        self.key = 0
        self.moved = (0, 0)
        self.default_dur = ""
        self.ppq = 0  # the unit of lengths that are given without a note value


@dataclass(frozen=True, slots=True)
class MeasureHere:
    """The measure that is being read: its index, metre, first note among all, and the staves by name."""

    index: int
    metre: str
    first_note: int
    staves: Mapping[str, MeiStaff]


def text_of(element: ElementTree.Element) -> str:
    """Return the text within an element, in one line."""
    return " ".join("".join(element.itertext()).split())


def hold(notes: list[QuarterNote]) -> None:
    """Set a fermata above notes."""
    for note in notes:
        note.fermata = 1


class MeiControls:
    """Enters control events; ties and fermatas wait for `join`, since they may name notes that come later."""

    def __init__(self, made: QuarterDraft, places: Mapping[str, Place]) -> None:
        self.made = made
        self.places = places
        self.ties: list[tuple[str, str]] = []
        self.held: list[str] = []

    def read(self, element: ElementTree.Element, here: MeasureHere) -> None:
        """Enter what one element of a measure says, if it is a control event."""
        tag = element.tag
        if tag == "tie":
            self.ties.append((attribute(element, "startid"), attribute(element, "endid")))
        elif tag == "fermata":
            if target := attribute(element, "startid"):
                self.held.append(target)
            else:
                self._hold_at(element, here)
        elif tag == "harm":
            self._harm(element, here)
        elif tag == "tempo":
            self._tempo(element, here)
        elif tag == "reh":
            if text := text_of(element):
                self._mark(element, here, "rehearsal", text[:80])
        elif tag == "repeatMark":
            kind = _JUMPS.get(attribute(element, "func"))
            if kind:
                self._mark(element, here, "sign", kind, text_of(element))
        elif tag == "dir":
            text = text_of(element)
            if text in _TEXT_SIGNS:
                self._mark(element, here, "sign", _TEXT_SIGNS[text], "")
            elif text:
                self._mark(element, here, "words", text)

    def _mark(self, element: ElementTree.Element, here: MeasureHere, kind: str, *values: Any) -> None:
        staff = here.staves.get(attribute(element, "staff").partition(" ")[0])
        self.made.mark(kind, here.index, self._onset(element, here), staff.part if staff is not None else 0, *values)

    def _onset(self, element: ElementTree.Element, here: MeasureHere) -> Fraction:
        """Return where in its measure a control event stands, by the note it belongs to or by its beat."""
        target = attribute(element, "startid").lstrip("#")
        if target in self.places and self.places[target][0] == here.index:
            return self.places[target][1]
        stamp = attribute(element, "tstamp")
        if not re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,9})?", stamp):
            return Fraction(0)
        unit = int(here.metre.rpartition("/")[2] or 4)
        return max((Fraction(stamp).limit_denominator(960) - 1) * 4 / unit, Fraction(0))

    def _hold_at(self, element: ElementTree.Element, here: MeasureHere) -> None:
        onset, staff = self._onset(element, here), here.staves.get(attribute(element, "staff"))
        for note in self.made.notes[here.first_note :]:
            if note.onset == onset and (staff is None or (note.part, note.staff) == (staff.part, staff.staff)):
                note.fermata = 1

    def _harm(self, element: ElementTree.Element, here: MeasureHere) -> None:
        text = text_of(element).replace("♭", "b").replace("♯", "#").replace(" ", "")
        if re.fullmatch(r"\(?N\.?C\.?\)?", text, re.I):
            self._mark(element, here, "chord", "none", "N.C.")
        elif re.match(r"[A-G]", text):
            self._mark(element, here, "chord", "", text[:60])

    def _tempo(self, element: ElementTree.Element, here: MeasureHere) -> None:
        speed = attribute(element, "mm") or attribute(element, "midi.bpm")
        text = text_of(element)
        if re.fullmatch(r"[0-9]{1,4}(\.[0-9]{1,6})?", speed):
            value = Fraction(speed)
            if attribute(element, "mm") and (unit := attribute(element, "mm.unit")):
                holder = ElementTree.Element("tempo", {"dur": unit, "dots": attribute(element, "mm.dots") or "0"})
                value *= duration_of(holder) or 1
            if 4 <= value <= 1000:
                self._mark(element, here, "tempo", value, text)
        if text:
            self._mark(element, here, "words", text)

    def join(self) -> None:
        """Mark the notes that ties join and fermatas hold."""
        nowhere: Place = (0, Fraction(0), [])
        for start, end in self.ties:
            for bit, target in ((1, start), (2, end)):
                for note in self.places.get(target.lstrip("#"), nowhere)[2]:
                    note.tie |= bit
        for target in self.held:
            hold(self.places.get(target.lstrip("#"), nowhere)[2])
