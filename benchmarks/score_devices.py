"""Devices of scores: the cost of `find_devices`, and how it grows with the measures.

1. A quartet movement laid end to end to 10, 30, 100, 300 and 1,000 measures, harmony, form and texture known already.
   Target: no worse than n log n; the row tells by which power of the length the cost grows from 100 to 1,000.
2. All devices of each bundled movement below, harmony, form and texture included, per measure, the score already read.

Times are of the processor, all threads together, so that a busy machine does not blur them. No peer is timed: music21
finds none of these.
"""

import math
import statistics
import time
from collections.abc import Callable
from dataclasses import replace

PASSES = 3
LENGTHS = (10, 30, 100, 300, 1000)
MOVEMENTS = (
    "haydn/opus74no1/movement1.mxl",
    "haydn/opus74no1/movement4.mxl",
    "beethoven/opus18no1/movement3.mxl",
    "mozart/k156/movement3.mxl",
)


def _median_s(work: Callable[[], object]) -> float:
    work()
    times = []
    for _ in range(PASSES):
        start = time.process_time()
        work()
        times.append(time.process_time() - start)
    return statistics.median(times)


def run() -> list[dict[str, object]]:
    """Measure both pieces of work."""
    from music21 import corpus

    from musictheory_nb.score.devices import find_devices
    from musictheory_nb.score.form_section import find_form
    from musictheory_nb.score.harmony_finding import harmony
    from musictheory_nb.score.load import load_score
    from musictheory_nb.score.piece import Piece
    from musictheory_nb.score.played_score import played_events, played_measures
    from musictheory_nb.score.texture import find_texture

    rows: list[dict[str, object]] = []
    piece = load_score(corpus.getWork(MOVEMENTS[1]))
    seconds: dict[int, float] = {}
    for bars in LENGTHS:
        order = [at % len(piece.measures) for at in range(bars)]
        measures = played_measures(piece.measures, order)
        events = played_events(piece.events, order, [measure.start for measure in measures])
        written = [replace(measure, written=measure.index) for measure in measures]
        long = replace(piece, measures=tuple(written), events=events, key_signatures=(), clefs=(), tempos=())
        spans, form, texture = harmony(long), find_form(long), find_texture(long)
        seconds[bars] = _median_s(
            lambda long=long, spans=spans, form=form, texture=texture: find_devices(  # type: ignore[misc]
                long, spans=spans, form=form, texture=texture
            )
        )
        rows.append({"name": f"devices of {bars} measures, the rest known", "ours_s": seconds[bars]})
    power = math.log(seconds[1000] / seconds[100], 10)
    rows[-1]["target"] = f"grows with the power {power:.2f} of the length from 100 to 1,000; n log n is 1.18"
    for name in MOVEMENTS:
        score = load_score(corpus.getWork(name))
        each = _median_s(lambda score=score: Piece.of(score).devices()) / len(score.measures)  # type: ignore[misc]
        rows.append({"name": f"all devices of {name}, per measure", "ours_s": each})
    return rows
