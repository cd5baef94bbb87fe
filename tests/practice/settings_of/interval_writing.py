"""Interval writing: settings at random, pinned exercises, and what must not be told."""

import re

from settings_of.interval_by_sight import display

from musictheory_nb.practice.display_settings import DEGREE_NAMES, Display
from musictheory_nb.practice.interval_choice import INTERVALS, SIMPLE

GOLDEN = {
    "write": (1, {}, 50, [1, 2]),
    "write-bass-below": (1, {"clef": "bass", "directions": ["down"]}, 40, [3]),
    "write-for-alto-saxophone": (1, {"transposition": "alto saxophone"}, 26, [4]),
    "write-rare": (
        1, {"intervals": [name for name in INTERVALS if len(name) == 2 and name != "P1"], "enharmonic": True}, 40, [5],
    ),
    "write-own": (1, {"items": ["B3 F4", "F4 B3", "C4 Eb5"], "inputs": ["text"]}, 6, [6]),
}  # fmt: skip


def random_settings(draw):
    return {
        "intervals": draw.sample(SIMPLE, draw.randint(1, len(SIMPLE))),
        "directions": draw.choice([["up"], ["down"], ["up", "down"]]),
        "items": draw.choice([[], [], [], ["B3 F4", "F#4 Bb3", "C4 Eb5"]]),
        "inputs": draw.choice([["staff"], ["keys"], ["text"], ["staff", "keys", "text"]]),
        "enharmonic": draw.random() < 0.5,
        "partial": draw.random() < 0.7,
        "degrees": draw.choice(DEGREE_NAMES),
        **display(draw),
    }


def forbidden(exercise, item):
    """The note that is asked for, where it has another name than the one that is given."""
    show = Display.of_key(item.key)
    first, second = (show.pitch(note) for note in item.key["notes"])
    return [rf"\b{re.escape(second)}(?![\w♯♭])"] if second != first and not exercise.settings["transposition"] else []
