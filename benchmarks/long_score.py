"""A score of as many measures as wanted: a real one laid end to end."""

from dataclasses import replace
from typing import Any


def long_score(piece: Any, count: int) -> Any:
    """Return a `Score` of `count` measures: those of `piece` one after the other, again and again.

    Key signatures, clefs and tempi are left out, as they would stand at each beginning once more.
    """
    from musictheory_nb.score.played_score import played_events, played_measures

    order = [at % len(piece.measures) for at in range(count)]
    measures = played_measures(piece.measures, order)
    events = played_events(piece.events, order, [measure.start for measure in measures])
    written = tuple(replace(measure, written=measure.index) for measure in measures)
    nothing = ("key_signatures", "clefs", "tempos", "chord_symbols", "rehearsal_marks", "words", "transpositions")
    return replace(piece, measures=written, events=events, **dict.fromkeys(nothing, ()))
