"""Scale by sight: settings at random, pinned exercises, and what must not be told."""

from settings_of.scale_by_ear import NAMES_A_SCALE, scales

from musictheory_nb.practice.scale_vocabulary import DIRECTIONS

GOLDEN = {
    "read-scales": (1, {}, 80, [1]),
    "read-both-ways": (1, {"direction": "up and down", "low": "C3", "high": "C6"}, 40, [2]),
    "read-with-signature": (1, {"accidentals": "in the signature", "clef": "bass"}, 50, [3]),
    "read-jazz-scales": (
        1, {"scales": ["Lydian dominant", "altered", "whole tone", "half-whole diminished"], "inputs": ["text"]}, 40, [4],
    ),
    "read-for-viola": (1, {"transposition": "viola", "direction": "down"}, 40, [5]),
    "read-own-scales": (1, {"items": ["D Dorian", "E Phrygian", "F Lydian", "G Mixolydian"]}, 8, [6]),
}  # fmt: skip


def random_settings(draw):
    return {
        **scales(draw),
        "direction": draw.choice(DIRECTIONS),
        "accidentals": draw.choice(["at the note", "in the signature"]),
        "inputs": draw.choice([["buttons"], ["text"], ["buttons", "text"]]),
    }


def forbidden(exercise, item):
    """Notes are seen, and a twin reads them aloud; the scale is not named."""
    return [NAMES_A_SCALE]
