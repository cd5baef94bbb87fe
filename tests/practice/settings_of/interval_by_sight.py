"""Interval by sight: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_ear import NAMES_A_NOTE, NAMES_AN_INTERVAL

from musictheory_nb.practice.display_settings import DEGREE_NAMES, NAME_SYSTEMS
from musictheory_nb.practice.excerpt import CLEFS
from musictheory_nb.practice.interval_choice import INTERVALS, SIMPLE
from musictheory_nb.practice.interval_settings import DIRECTIONS

INSTRUMENTS = ["", "", "", "Bb3", "clarinet in Bb", "alto saxophone", "viola", "cello", "double bass", "bass guitar"]

GOLDEN = {
    "read": (1, {}, 50, [1, 2]),
    "read-in-bass": (1, {"clef": "bass", "accidentals": "in the signature"}, 26, [3]),
    "read-for-viola": (1, {"transposition": "viola", "directions": ["up", "down"]}, 26, [4]),
    "read-wide": (
        1, {"intervals": list(INTERVALS), "low": "C2", "high": "C7", "directions": ["up", "down"]}, 49, [5],
    ),
    "read-own": (1, {"items": ["B3 F4", "F4 B4", "C4 Eb5", "Ab4 F#4"], "inputs": ["text"]}, 8, [6, 7]),
}  # fmt: skip


def display(draw):
    return {
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
        "clef": draw.choice(["auto", *CLEFS]),
        "transposition": draw.choice(INSTRUMENTS),
    }


def random_settings(draw):
    return {
        "intervals": draw.sample(SIMPLE, draw.randint(2, len(SIMPLE))),
        "directions": draw.sample(DIRECTIONS, draw.randint(1, 3)),
        "items": draw.choice([[], [], [], ["B3 F4", "F#4 Bb3", "C4 Eb5"]]),
        "accidentals": draw.choice(["at the note", "in the signature"]),
        "inputs": draw.choice([["buttons"], ["text"], ["buttons", "text"]]),
        "degrees": draw.choice(DEGREE_NAMES),
        **display(draw),
    }


def forbidden(exercise, item):
    """Notes are seen, and a twin reads them aloud; the interval is not named."""
    return [NAMES_AN_INTERVAL, NAMES_A_NOTE] if not exercise.settings.get("transposition") else [NAMES_AN_INTERVAL]
