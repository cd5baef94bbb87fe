"""Ranking scales for a set of notes: ours against music21's ``deriveRanked``, the same notes, turn by turn.

The same 40 sets of three to nine pitches each time. Nothing is kept from call to call on our side but the catalogue,
which is data read once; music21 keeps the realised scales that it has seen, and is left that. The two take turns, set by
set, and the ratio is the median of the passes' ratios.

1. The twelve major scales, from pitches that are ready: exactly what ``deriveRanked`` of a major scale does.
2. The same from texts, read each time.
3. Eight kinds of scale on every tonic: one call of ours, one ``deriveRanked`` for each kind.
4. Our whole catalogue on every tonic, against music21's twelve major scales alone.
"""

import random
from functools import partial

from benchmarks.comparison import in_turn

PASSES = 9
TARGET = "ranking scales for a set of notes: 50 times faster"


#: One row; times are for a single set of notes.
compare = partial(in_turn, passes=PASSES, target=TARGET)


def run() -> list[dict[str, object]]:
    """Measure the four pieces of work."""
    from music21 import scale as peer_scale
    from music21.pitch import Pitch as PeerPitch

    from musictheory_nb.theory.pitch import Pitch
    from musictheory_nb.theory.scale_catalogue import scale_type
    from musictheory_nb.theory.scale_identification import identify_scale

    draw = random.Random("scales")
    names = ["C4", "C#4", "D4", "Eb4", "E4", "F4", "F#4", "G4", "Ab4", "A4", "Bb4", "B4"]
    texts = [draw.sample(names, draw.randint(3, 9)) for _ in range(40)]
    peer_texts = [[name.replace("b", "-") for name in line] for line in texts]
    ready = [[Pitch(name) for name in line] for line in texts]
    peer_ready = [[PeerPitch(name) for name in line] for line in peer_texts]
    major = (scale_type("major"),)
    peer_major = peer_scale.MajorScale("C")
    several = [
        (scale_type("major"), peer_major),
        (scale_type("natural minor"), peer_scale.MinorScale("C")),
        (scale_type("harmonic minor"), peer_scale.HarmonicMinorScale("C")),
        (scale_type("Dorian"), peer_scale.DorianScale("C")),
        (scale_type("Phrygian"), peer_scale.PhrygianScale("C")),
        (scale_type("Lydian"), peer_scale.LydianScale("C")),
        (scale_type("Mixolydian"), peer_scale.MixolydianScale("C")),
        (scale_type("Locrian"), peer_scale.LocrianScale("C")),
    ]
    kinds = tuple(kind for kind, _ in several)

    for ours, theirs in zip(ready, peer_ready, strict=True):  # both must find scales that hold as many of the notes
        best = identify_scale(ours, kinds=major, limit=12)[0]
        held = len({note.pitch_class for note in ours}) - len(best.extra)
        assert held == peer_major.deriveRanked(theirs, resultsReturned=12)[0][0], ours

    return [
        compare(
            "ranking the 12 major scales for pitches",
            lambda: [identify_scale(line, kinds=major, limit=12) for line in ready],
            lambda: [peer_major.deriveRanked(line, resultsReturned=12) for line in peer_ready],
            len(texts),
        ),
        compare(
            "ranking the 12 major scales for notes given as text",
            lambda: [identify_scale(line, kinds=major, limit=12) for line in texts],
            lambda: [peer_major.deriveRanked([PeerPitch(n) for n in line], resultsReturned=12) for line in peer_texts],
            len(texts),
        ),
        compare(
            "ranking 8 kinds of scale on every tonic",
            lambda: [identify_scale(line, kinds=kinds, limit=12) for line in ready],
            lambda: [[one.deriveRanked(line, resultsReturned=12) for _, one in several] for line in peer_ready],
            len(texts),
        ),
        compare(
            "ranking our whole catalogue on every tonic; peer: 12 major scales",
            lambda: [identify_scale(line, limit=12) for line in ready],
            lambda: [peer_major.deriveRanked(line, resultsReturned=12) for line in peer_ready],
            len(texts),
        ),
    ]


if __name__ == "__main__":
    for measured in run():
        print(measured)
