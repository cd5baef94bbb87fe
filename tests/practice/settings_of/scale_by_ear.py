"""Scale by ear: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_ear import NAMES_A_NOTE
from settings_of.interval_by_sight import display

from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.scale_vocabulary import DIRECTIONS, MODES

KINDS = [
    *MODES, "Locrian", "jazz minor", "Lydian dominant", "altered", "whole tone", "half-whole diminished",
    "major pentatonic", "minor pentatonic", "minor blues", "harmonic major", "Phrygian dominant", "bebop dominant",
]  # fmt: skip
NAMES_A_SCALE = r"(?i)\bmajor|minor|ionian|dorian|phrygian|lydian|mixolydian|aeolian|locrian|pentatonic|blues|whole tone|dimin|altered|bebop"

GOLDEN = {
    "hear-scales": (1, {}, 80, [1]),
    "hear-jazz-scales": (1, {"scales": ["Lydian dominant", "altered", "half-whole diminished", "whole tone"]}, 30, [2]),
    "hear-going-down": (1, {"direction": "down", "scales": ["natural minor", "melodic minor", "Phrygian"]}, 40, [3]),
    "hear-both-ways-in-bass": (1, {"direction": "up and down", "clef": "bass", "timbre": "held"}, 50, [4]),
    "hear-on-few-tonics": (1, {"tonics": ["C", "G", "F"], "scales": ["major", "minor pentatonic", "whole tone"]}, 12, [5]),
    "hear-own-scales": (1, {"items": ["D Dorian", "E Phrygian", "F Lydian", "G Mixolydian"]}, 8, [6]),
}  # fmt: skip


def scales(draw):
    return {
        "scales": draw.sample(KINDS, draw.randint(2, 8)),
        "tonics": draw.choice([[], [], [], ["C", "D", "Eb"], ["F#", "G"]]),
        "items": draw.choice([[], [], [], [], ["D Dorian", "E Phrygian", "Bb Lydian", "F# harmonic minor"]]),
        "partial": draw.random() < 0.7,
        "low": draw.choice(["", "", "", "C3"]),
        "high": draw.choice(["", "", "", "C6"]),
        **display(draw),
    }


def random_settings(draw):
    return {
        **scales(draw),
        "direction": draw.choice(DIRECTIONS),
        "inputs": draw.choice([["buttons"], ["keys"], ["buttons", "keys"]]),
        "timbre": draw.choice(TIMBRES),
    }


def forbidden(exercise, item):
    return [NAMES_A_SCALE, NAMES_A_NOTE]
