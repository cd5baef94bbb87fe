"""Textures as findings: solo, tutti, unison, trading, pedal points, ostinatos, each with its notes (`texture_devices`)."""

from collections.abc import Sequence

from musictheory_nb.score.finding import JSON, Finding, finding
from musictheory_nb.score.note_row import rows_in
from musictheory_nb.score.score import Score
from musictheory_nb.score.texture_span import TextureSpan
from musictheory_nb.theory.pitch import Pitch


def texture_devices(score: Score, spans: Sequence[TextureSpan]) -> list[Finding]:
    """Return each texture of `texture.find_texture` as a finding."""
    found = []
    for span in spans:
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
