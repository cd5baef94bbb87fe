"""Devices of scores: the cost of `find_devices`, and how it grows with the measures.

1. A quartet movement laid end to end to 10, 30, 100, 300 and 1,000 measures, harmony, form and texture known already.
   Target: no worse than n log n; the row tells by which power of the length the cost grows.
2. All devices of each bundled movement below, harmony, form and texture included, per measure, the score already read.

Times are of the processor, all threads together, so that a busy machine does not blur them. No peer is timed: music21
finds none of these.
"""

from benchmarks.cost import power, power_of_n_log_n, processor_s
from benchmarks.long_score import long_score

LENGTHS = (10, 30, 100, 300, 1000)
MOVEMENTS = (
    "haydn/opus74no1/movement1.mxl",
    "haydn/opus74no1/movement4.mxl",
    "beethoven/opus18no1/movement3.mxl",
    "mozart/k156/movement3.mxl",
)


def run() -> list[dict[str, object]]:
    """Measure both pieces of work."""
    from music21 import corpus

    from musictheory_nb.score.devices import find_devices
    from musictheory_nb.score.form_section import find_form
    from musictheory_nb.score.harmony_finding import harmony
    from musictheory_nb.score.load import load_score
    from musictheory_nb.score.piece import Piece
    from musictheory_nb.score.texture import find_texture

    rows: list[dict[str, object]] = []
    piece = load_score(corpus.getWork(MOVEMENTS[1]))
    seconds: dict[int, float] = {}
    for bars in LENGTHS:
        long = long_score(piece, bars)
        spans, form, texture = harmony(long), find_form(long), find_texture(long)
        seconds[bars] = processor_s(
            lambda long=long, spans=spans, form=form, texture=texture: find_devices(  # type: ignore[misc]
                long, spans=spans, form=form, texture=texture
            )
        )
        rows.append({"name": f"devices of {bars} measures, the rest known", "ours_s": seconds[bars]})
    rows[-1]["target"] = (
        f"grows with the power {power(seconds):.2f} of the length; n log n would be {power_of_n_log_n(seconds):.2f}"
    )
    for name in MOVEMENTS:
        score = load_score(corpus.getWork(name))
        each = processor_s(lambda score=score: Piece.of(score).devices()) / len(score.measures)  # type: ignore[misc]
        rows.append({"name": f"all devices of {name}, per measure", "ours_s": each})
    return rows
