"""Textures as findings: solo, tutti, unison, trading, pedal points, ostinatos, each with its notes (`texture_devices`).

That everyone plays is worth telling only by contrast: after or before two bars or more in which no more than half of
the parts play.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.note_row import rows_in
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan
from musictheory_nb.theory.pitch import Pitch

#: Least bars of a thinner texture beside a tutti, and its greatest share of the parts.
_LEAST: Final = 2
_THIN: Final = 0.5


def texture_devices(score: Score, spans: Sequence[TextureSpan]) -> list[Finding]:
    """Return each texture of `texture.find_texture` as a finding."""
    found = []
    playing = _parts_playing(score) if any(span.kind == "tutti" for span in spans) else []
    for span in spans:
        if span.kind == "tutti" and not _stands_out(span, playing):
            continue
        details: dict[str, JSON] = {}
        classes: tuple[int, ...] = ()
        if span.pitch:
            details["pitch"] = span.pitch
            classes = (Pitch(f"{span.pitch}4").pitch_class,)
        if span.turns:
            details["turns"] = [length for _, length in span.turns]
            details["parties"] = [[score.parts[part].name for part in parts] for parts, _ in span.turns[:2]]
        if span.period:
            details["bars"] = span.period
        told = span.sentence.partition(": ")[2]
        rows = rows_in(score, span.first, span.last, span.parts, classes)
        at = (span.first, span.last)
        found.append(
            finding(score, span.kind, at, told, span.confidence, parts=span.parts, notes=rows, details=details)
        )
    return found


def _parts_playing(score: Score) -> list[int]:
    """Return how many parts strike a note in each measure."""
    pairs = np.unique(score.notes.column("measure") * len(score.parts) + score.notes.column("part"))
    counted: list[int] = np.bincount(pairs // len(score.parts), minlength=len(score.measures)).tolist()
    return counted


def _stands_out(span: TextureSpan, playing: Sequence[int]) -> bool:
    most = _THIN * len(span.parts)
    before, after = playing[max(span.first - _LEAST, 0) : span.first], playing[span.last + 1 : span.last + 1 + _LEAST]
    return any(len(near) == _LEAST and max(near) <= most for near in (before, after))
