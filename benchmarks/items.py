"""Items of every exercise family: made, sounded and engraved as a student meets them; and made alone, as a grader does.

The exercises are the first that the golden files pin of each family (tests/practice/settings_of). For the first measure
each item is of a seed of its own, and everything that is shown when it is asked is rendered, the sound as a finished WAV
and the notation as SVG. For the second, whole exercises of one student after another are made without media, after one
round to fill what is kept. Processor time, as other work on the machine is not ours. There is no peer to measure
against; the targets are ours.
"""

import statistics
import sys
import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks.comparison import Comparison

SHOWN = 25
MADE = 4000
SHOWN_TARGET = "median under 50 ms"
MADE_TARGET = "20,000 items a second, 0.05 ms each"
#: Families whose items come from a piece or a teacher's list, not from rules; the second target is not theirs.
_NOT_BY_RULE = {
    "interval-in-a-piece",
    "scale-of-a-passage",
    "section-marking",
    "form-guide",
    "free-response",
}


def _exercises() -> Iterator[tuple[str, object]]:
    """Return (kind, what makes an exercise with a number of items) of the newest version of each family."""
    sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "practice"))
    from family_sample import frozen_excerpts, named, settings_of

    from musictheory_nb.practice.exercise import Exercise
    from musictheory_nb.practice.families import FAMILIES

    excerpts = frozen_excerpts()
    for kind, version in {kind: version for kind, version in sorted(FAMILIES)}.items():
        settings, count = next(row[1:3] for row in settings_of(kind).GOLDEN.values() if row[0] == version)
        yield (
            kind,
            Exercise(
                "one", kind, settings, count=count, version=version, lesson="demo", excerpts=named(settings, excerpts)
            ),
        )


def _shown(exercise, seed: int) -> float:  # type: ignore[no-untyped-def]
    from musictheory_nb.media.engraving import engrave
    from musictheory_nb.media.sound import render_sound

    start = time.process_time()
    item = exercise.item(seed, seed % exercise.count)
    for request in item.shown("asked"):
        render_sound(request) if request.kind == "sound" else engrave(request)
    return time.process_time() - start


def _made(exercise) -> float:  # type: ignore[no-untyped-def]
    for seed in range(50):
        for index in range(exercise.count):
            exercise.item(seed, index)
    start, seed, done = time.process_time(), 1000, 0
    while done < MADE:
        for index in range(exercise.count):
            exercise.item(seed, index)
        seed, done = seed + 1, done + exercise.count
    return (time.process_time() - start) / done


def run() -> list[Comparison]:
    """Measure each family."""
    rows = []
    for kind, exercise in _exercises():
        _shown(exercise, 0)
        shown = statistics.median(_shown(exercise, seed) for seed in range(1, SHOWN + 1))
        rows.append(Comparison(f"{kind}: an item made, sounded and engraved", shown, target=SHOWN_TARGET))
        target = "" if kind in _NOT_BY_RULE else MADE_TARGET
        rows.append(Comparison(f"{kind}: an item made, without media", _made(exercise), target=target))
    return rows
