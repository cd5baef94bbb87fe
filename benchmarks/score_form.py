"""Form and texture of scores: the cost of likeness, of strains and of whole findings, and how it grows.

1. Self-similarity of measures of a quartet movement laid end to end to 10, 100 and 1,000 bars. Target: under 1 s at 1,000.
2. `find_form` and `find_texture` of each bundled quartet movement below, per measure, the score already read.

Times are of the processor, all threads together, so that a busy machine does not blur them. No peer is timed: music21
finds no form.
"""

from benchmarks.cost import processor_s
from benchmarks.long_score import long_score

MOVEMENTS = ("haydn/opus74no1/movement1.mxl", "haydn/opus74no1/movement4.mxl", "mozart/k156/movement3.mxl")


def run() -> list[dict[str, object]]:
    """Measure both pieces of work."""
    from music21 import corpus

    from musictheory_nb.score.bar_unit import bar_units
    from musictheory_nb.score.form_section import find_form
    from musictheory_nb.score.load import load_score
    from musictheory_nb.score.measure_likeness import measure_likeness
    from musictheory_nb.score.texture import find_texture

    rows: list[dict[str, object]] = []
    piece = load_score(corpus.getWork(MOVEMENTS[1]))
    for bars in (10, 100, 1000):
        long = long_score(piece, bars)
        units = bar_units(long.measures)
        long.joined_notes.chromatic  # noqa: B018 - joined once, not timed
        seconds = processor_s(lambda long=long, units=units: measure_likeness(long, units))  # type: ignore[misc]
        rows.append({"name": f"likeness of {bars} measures", "ours_s": seconds, "target": "under 1 s at 1,000"})
    for name in MOVEMENTS:
        piece = load_score(corpus.getWork(name))
        piece.played()
        count = len(piece.measures)
        form = processor_s(lambda piece=piece: find_form(piece)) / count  # type: ignore[misc]
        texture = processor_s(lambda piece=piece: find_texture(piece)) / count  # type: ignore[misc]
        rows.append({"name": f"form of {name}, per measure", "ours_s": form})
        rows.append({"name": f"texture of {name}, per measure", "ours_s": texture})
    return rows
