"""Naming an interval: ours against music21, the same pairs of pitches, nothing cached.

Two pieces of work, each over the same 1,225 ascending pairs of pitches with double accidentals over two octaves: the
interval and its short name between two pitch objects that are ready, and the same from two texts, which are read each
time. Neither library keeps results: ours has no cache on this path, and music21 builds its interval each time.
The two libraries take turns, pass by pass, and the ratio is the median of the passes' ratios.
"""

from functools import partial

from benchmarks.comparison import in_turn

PASSES = 9
TARGET = "naming an interval: 5 times faster"


#: One row; times are a single interval's.
compare = partial(in_turn, passes=PASSES, target=TARGET)


def run() -> list[dict[str, object]]:
    """Measure both pieces of work."""
    from music21.interval import Interval as PeerInterval
    from music21.pitch import Pitch as PeerPitch

    from musictheory_nb.theory.interval import Interval
    from musictheory_nb.theory.pitch import Pitch

    texts = [
        f"{step}{accidental}{octave}"
        for octave in (3, 4)
        for step in "CDEFGAB"
        for accidental in ("bb", "b", "", "#", "##")
    ]
    peer_texts = [text.replace("b", "-") for text in texts]
    places = [(low, high) for low in range(0, 70, 2) for high in range(low + 1, 70, 2)]
    # an interval altered five times has no name in music21; leave those pairs out of both
    pairs = [
        (low, high)
        for low, high in places
        if Interval.between(texts[low], texts[high]).quality not in ("AAAAA", "ddddd")
    ]
    ready = [(Pitch(texts[low]), Pitch(texts[high])) for low, high in pairs]
    peer_ready = [(PeerPitch(peer_texts[low]), PeerPitch(peer_texts[high])) for low, high in pairs]
    written = [(texts[low], texts[high]) for low, high in pairs]
    peer_written = [(peer_texts[low], peer_texts[high]) for low, high in pairs]

    assert [str(Interval.between(*pair)).lstrip("-") for pair in ready] == [
        PeerInterval(*pair).directedName.replace("-", "") for pair in peer_ready
    ], "both must name alike what they are timed on"
    return [
        compare(
            "naming the interval between two pitches",
            lambda: [str(Interval.between(low, high)) for low, high in ready],
            lambda: [PeerInterval(low, high).directedName for low, high in peer_ready],
            len(pairs),
        ),
        compare(
            "naming the interval between two pitches, in words",
            lambda: [Interval.between(low, high).name for low, high in ready],
            lambda: [PeerInterval(low, high).directedNiceName for low, high in peer_ready],
            len(pairs),
        ),
        compare(
            "naming the interval between two pitches given as text",
            lambda: [str(Interval.between(low, high)) for low, high in written],
            lambda: [PeerInterval(PeerPitch(low), PeerPitch(high)).directedName for low, high in peer_written],
            len(pairs),
        ),
    ]


if __name__ == "__main__":
    for measured in run():
        print(measured)
