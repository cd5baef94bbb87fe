"""Directions, sounds and barlines of MusicXML: words, tempo, rehearsal marks, repeats and signs of the road."""

import re
import xml.etree.ElementTree as ElementTree
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from musictheory_nb.score.draft import Draft, DraftChord, DraftCut, DraftMeasure, DraftSign, DraftTempo, DraftText
from musictheory_nb.score.musicxml_note_value import NOTE_VALUES
from musictheory_nb.score.road_words import road_kind

_BAR_STYLES: Final = MappingProxyType(
    {
        "light-light": "double",
        "heavy-heavy": "double",
        "light-heavy": "final",
        "heavy-light": "heavy",
        "heavy": "heavy",
        "dashed": "dashed",
        "dotted": "dashed",
        "none": "none",
    }
)
_NO_CHORD: Final = re.compile(r"\(?\s*N\.?\s*C\.?\s*\)?", re.I)
_NUMBER: Final = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")


def read_barline(element: ElementTree.Element, draft: Draft, measure: int, cursor: int) -> None:
    """Enter a ``barline`` into the draft's measure."""
    at = draft.measures[measure]
    left = element.get("location", "right") == "left"
    if element.get("location") == "middle":
        if (repeat := element.find("repeat")) is not None and cursor > 0:
            closes = repeat.get("direction") != "forward"
            draft.cuts.append(DraftCut(measure, cursor, closes, _times(repeat)))
        return
    style = _BAR_STYLES.get((element.findtext("bar-style") or "").strip(), "regular")
    if style != "regular" and element.find("repeat") is None:  # a repeat sign is its own barline
        if not left:
            at.barline = style
        elif style in ("double", "final") and measure:
            draft.measures[measure - 1].barline = style
    for child in element:
        if child.tag == "repeat":
            _repeat(child, draft, measure, left)
        elif child.tag == "ending":
            numbers = tuple(int(n) for n in re.findall(r"[0-9]{1,3}", child.get("number", "") or child.text or ""))
            if child.get("type") == "start":
                at.ending_start = numbers or at.ending_start or (0,)
            else:
                at.ending_stop = True
                if not at.ending_start and not numbers:
                    at.ending_start = at.ending_start
        elif child.tag in ("segno", "coda"):
            draft.signs.append(DraftSign(measure, 0 if left else cursor, child.tag, "1", "", False))
    for attribute in ("segno", "coda"):
        if name := element.get(attribute):
            draft.signs.append(DraftSign(measure, 0 if left else cursor, attribute, name[:40], "", True))


def _repeat(element: ElementTree.Element, draft: Draft, measure: int, left: bool) -> None:
    """Enter a repeat sign; one that opens at the right of a measure opens the next, one that closes at the left the last."""
    if element.get("direction") == "forward":
        opens = measure if left else measure + 1
        while len(draft.measures) <= opens:
            draft.measures.append(DraftMeasure())
        draft.measures[opens].repeat_start = True
        return
    closes = draft.measures[max(measure - left, 0)]
    closes.repeat_end = True
    closes.times = _times(element) or closes.times
    closes.after_jump = closes.after_jump or element.get("after-jump") == "yes"


def _times(repeat: ElementTree.Element) -> int:
    """Return how often a repeat sign says that its passage is played; 0 where it does not say."""
    times = repeat.get("times", "")
    return int(times) if re.fullmatch(r"[1-9][0-9]{0,2}", times) else 0


def read_sound(element: ElementTree.Element, draft: Draft, measure: int, onset: int, text: str = "") -> bool:
    """Enter what a ``sound`` says of the road and the tempo; return whether it says anything of the road."""
    told = False
    if element.get("forward-repeat") == "yes":  # a repeat sign that is meant but not printed
        draft.measures[measure].repeat_start = True
    for attribute in ("segno", "coda", "tocoda", "dalsegno", "fine", "dacapo"):
        value = element.get(attribute, "").strip()
        if value and value != "no":
            name = "1" if attribute in ("fine", "dacapo") else value[:40]
            draft.signs.append(DraftSign(measure, onset, attribute, name, text, True))
            told = True
    if _NUMBER.fullmatch(tempo := element.get("tempo", "").strip()):
        _tempo(draft, measure, onset, Fraction(tempo), text)
    return told


def _tempo(draft: Draft, measure: int, onset: int, value: Fraction, text: str) -> None:
    if 4 <= value <= 1000:
        draft.tempos.append(DraftTempo(measure, onset, value.numerator, value.denominator, text))


def read_direction(element: ElementTree.Element, draft: Draft, part: int, measure: int, onset: int) -> None:
    """Enter a ``direction``: words, rehearsal mark, metronome mark, segno, coda, jump."""
    spoken: list[str] = []
    signs: list[str] = []
    metronome: tuple[Fraction, str] | None = None
    for kind in element.findall("direction-type"):
        for child in kind:
            text = " ".join((child.text or "").split())
            if child.tag == "words" and text:
                spoken.append(text[:300])
            elif child.tag == "rehearsal" and text:
                draft.rehearsals.append(DraftText(measure, onset, part, text[:80]))
            elif child.tag in ("segno", "coda"):
                signs.append(child.tag)
            elif child.tag == "metronome":
                metronome = _metronome(child) or metronome
    words = " ".join(spoken)
    if words and _NO_CHORD.fullmatch(words):
        draft.chords.append(DraftChord(measure, onset, part, "none", "N.C.", 0, 0))
        words = ""
    if words:
        draft.words.append(DraftText(measure, onset, part, words))
    sounds = element.findall("sound")
    told = any([read_sound(sound, draft, measure, onset, words) for sound in sounds])
    if metronome and not any(sound.get("tempo") for sound in sounds):
        _tempo(draft, measure, onset, metronome[0], words)
    if told:
        return
    kind_of_words = road_kind(words)
    if kind_of_words:
        draft.signs.append(DraftSign(measure, onset, kind_of_words, "1", words, False))
    elif signs:
        draft.signs.append(DraftSign(measure, onset, signs[0], "1", words, False))


def _metronome(element: ElementTree.Element) -> tuple[Fraction, str] | None:
    unit = NOTE_VALUES.get((element.findtext("beat-unit") or "").strip())
    speed = re.search(r"[0-9]{1,4}(\.[0-9]{1,4})?", element.findtext("per-minute") or "")
    if unit is None or speed is None:
        return None
    dots = min(len(element.findall("beat-unit-dot")), 3)
    return Fraction(speed[0]) * unit * (2 - Fraction(1, 2**dots)), ""
