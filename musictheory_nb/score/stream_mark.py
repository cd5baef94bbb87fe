"""Barlines, chord symbols, words, tempo and signs of the road in a music21 stream."""

from collections.abc import Callable
from fractions import Fraction
from types import MappingProxyType
from typing import Any, Final

from musictheory_nb.score.draft import DraftMeasure
from musictheory_nb.score.musicxml_chord import KIND_TEXT, symbol_text

#: music21's names of barlines.
_BARLINES: Final = MappingProxyType(
    {
        "double": "double",
        "final": "final",
        "heavy": "heavy",
        "heavy-light": "heavy",
        "heavy-heavy": "double",
        "dashed": "dashed",
        "dotted": "dashed",
        "none": "none",
    }
)
#: music21's classes of signs of the road, with the words that they stand for.
_ROAD: Final = MappingProxyType(
    {
        "Segno": ("segno", ""),
        "Coda": ("coda", ""),
        "Fine": ("fine", "Fine"),
        "DaCapo": ("dacapo", "D.C."),
        "DaCapoAlFine": ("dacapo", "D.C. al Fine"),
        "DaCapoAlCoda": ("dacapo", "D.C. al Coda"),
        "DalSegno": ("dalsegno", "D.S."),
        "DalSegnoAlFine": ("dalsegno", "D.S. al Fine"),
        "DalSegnoAlCoda": ("dalsegno", "D.S. al Coda"),
        "AlSegno": ("dalsegno", "D.S."),
    }
)

#: music21's names of kinds that MusicXML names otherwise.
_KINDS: Final = MappingProxyType(
    {
        "dominant-seventh": "dominant",
        "half-diminished-seventh": "half-diminished",
        "minor-major-seventh": "major-minor",
        "suspended-fourth-seventh": "dominant-suspended",
    }
)

Enter = Callable[..., None]


def read_barlines(measure: Any, own: DraftMeasure) -> None:
    """Enter the barlines at the left and right of a measure."""
    left, right = measure.leftBarline, measure.rightBarline
    if left is not None and "Repeat" in left.classes and left.direction == "start":
        own.repeat_start = True
    if right is None:
        return
    if "Repeat" in right.classes and right.direction == "end":
        own.repeat_end = True
        own.times = int(right.times or 0)
    else:
        own.barline = _BARLINES.get(right.type, own.barline)


def read_mark(element: Any, classes: Any, enter: Enter) -> None:
    """Enter a chord symbol, words, tempo, rehearsal mark or sign of the road by calling `enter(kind, values ...)`."""
    if "NoChord" in classes:
        enter("chord", "none", "N.C.")
    elif "ChordSymbol" in classes:
        text = chord_symbol_text(element)
        enter("chord", *text)
    elif "RehearsalMark" in classes:
        enter("rehearsal", " ".join(str(element.content).split()))
    elif "MetronomeMark" in classes:
        # music21 makes up a word for a number and a number for a word; only what was given counts.
        said = "" if element.textImplicit else " ".join(str(element.text or "").split())
        speed = None if element.numberImplicit else element.getQuarterBPM()
        if speed:
            enter("tempo", Fraction(speed).limit_denominator(1000), said)
        if said:
            enter("words", said)
    elif "RepeatExpression" in classes:
        name = next((name for name in element.classes if name in _ROAD), "")
        if name:
            kind, words = _ROAD[name]
            expression = element.getTextExpression()
            enter("sign", kind, str(expression.content) if expression is not None else words)
    elif "TextExpression" in classes:
        enter("words", " ".join(str(element.content).split()))


def chord_symbol_text(symbol: Any) -> tuple[str, str]:
    """Return kind (as MusicXML names it) and chart text of a music21 chord symbol."""
    root = symbol.root()
    if root is None:
        return "", str(symbol.figure or "").replace("-", "b")
    name = _chart_name(root)
    kind = _KINDS.get(symbol.chordKind, symbol.chordKind or "")
    degrees = []
    for change in symbol.getChordStepModifications():
        alter = round(change.interval.semitones) if change.interval is not None else 0
        how = "alter" if change.modType == "add" and change.degree in (3, 5) and alter else change.modType
        degrees.append((int(change.degree), alter, str(how)))
    if kind == "dominant-suspended":
        text = name + "7sus4"
    elif kind in KIND_TEXT:
        text = symbol_text(name, kind, degrees)
    else:
        figure = str(symbol.chordKindStr or symbol.figure or "")
        text = name + (figure.removeprefix(root.name) if figure.startswith(root.name) else figure)
    bass = symbol.bass()
    if bass is not None and bass.name != root.name:
        text += f"/{_chart_name(bass)}"
    return kind, text


def _chart_name(pitch: Any) -> str:
    return str(pitch.name).replace("-", "b")
