"""Fingering a line of 200 notes, from spelled pitches to strings, fingers and hard spots; nothing is kept between passes.

The lines wander by steps and leaps up to a fourth over the whole range of each instrument, in eighths at 90 quarters a
minute: a new line for each pass. Processor time, as other work on the machine is not ours. There is no peer to measure against; the target is ours.
"""

import random
import statistics
import time
from fractions import Fraction

from benchmarks.comparison import Comparison

NOTES = 200
PASSES = 9
TUNINGS = ("bass guitar", "6-string bass guitar", "double bass", "violin", "guitar")
TARGET = "200 notes under 50 ms"


def run() -> list[Comparison]:
    """Measure; medians of the passes."""
    from musictheory_nb.instrument.fingering import finger_line
    from musictheory_nb.instrument.tuning import Tuning
    from musictheory_nb.theory.spelling import spell_midi

    draw = random.Random("fingering")
    rows = []
    for name in TUNINGS:
        tuning = Tuning(name)
        times = []
        for _ in range(PASSES):
            number, line = tuning.lowest.midi + 12, []
            for _ in range(NOTES):
                number = min(max(number + draw.randint(-5, 5), tuning.lowest.midi), tuning.highest_chromatic)
                line.append(spell_midi(number))
            start = time.process_time()
            spots = finger_line(line, Fraction(1, 2), tuning).hard_spots
            times.append(time.process_time() - start)
            assert isinstance(spots, tuple)
        rows.append(Comparison(f"a fingering of {NOTES} notes, {name}", statistics.median(times), target=TARGET))
    return rows
