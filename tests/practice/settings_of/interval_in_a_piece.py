"""Interval in a piece: settings at random, pinned exercises, and what must not be told."""

import re

from musictheory_nb.practice.display_settings import NAME_SYSTEMS
from musictheory_nb.practice.interval_choice import SIMPLE
from musictheory_nb.practice.interval_settings import DIRECTIONS

GOLDEN = {
    "find-in-a-chorale": (1, {"excerpt": "chorale", "length": 4}, 60, [1, 2]),
    "find-all-in-a-rag": (1, {"excerpt": "rag", "ask": "all", "length": 6, "intervals": ["m3", "P5", "P8"]}, 50, [3]),
    "find-in-a-song": (1, {"excerpt": "song", "intervals": ["m3", "A4", "P4"], "directions": ["up", "down"]}, 40, [4]),
}


def random_settings(draw):
    return {
        "excerpt": draw.choice(["song", "waltz", "chorale", "rag", "dorian-air"]),
        "intervals": draw.sample(SIMPLE, draw.randint(1, len(SIMPLE))),
        "directions": draw.sample(DIRECTIONS, draw.randint(1, 3)),
        "ask": draw.choice(["one", "all"]),
        "length": draw.randint(2, 12),
        "inputs": draw.choice([["measures"], ["places"], ["measures", "places"]]),
        "partial": draw.random() < 0.7,
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """The places are offered alike; neither question nor score says which is the right one."""
    assert all(not request.marked for request in item.shown("asked"))
    return [re.escape("marked")]
