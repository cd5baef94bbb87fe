"""Scale spelling: settings at random, pinned exercises, and what must not be told."""

import re

from settings_of.scale_by_ear import scales

from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.scale_vocabulary import MODES, names_in

GOLDEN = {
    "write-scales": (1, {}, 80, [1]),
    "write-scales-down-in-bass": (1, {"clef": "bass", "direction": "down", "scales": list(MODES)}, 60, [2]),
    "write-jazz-scales": (
        1, {"scales": ["Lydian dominant", "altered", "whole tone", "half-whole diminished", "minor blues"]}, 50, [3],
    ),
    "play-for-clarinet": (1, {"transposition": "clarinet", "inputs": ["keys"]}, 30, [4]),
    "write-own-scales": (1, {"items": ["D Dorian", "E Phrygian", "F# harmonic minor"], "enharmonic": True}, 6, [5]),
}  # fmt: skip


def random_settings(draw):
    return {
        **scales(draw),
        "direction": draw.choice(["up", "down"]),
        "inputs": draw.choice([["staff"], ["keys"], ["text"], ["staff", "keys", "text"]]),
        "enharmonic": draw.random() < 0.4,
        "timbre": draw.choice(TIMBRES),
    }


def forbidden(exercise, item):
    """The notes other than the tonic; the degrees of a name (♭2) are no notes."""
    if exercise.settings.get("transposition"):
        return []
    show, key = Display.of_key(item.key), item.key
    names = [show.note(name) for name in names_in(key["tonic"], key["kind"], key["direction"])]
    return [rf"(?<![\w♯♭]){re.escape(name)}(?![\w♯♭])" for name in names if name != names[0]]
