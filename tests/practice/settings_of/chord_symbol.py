"""Chord symbol: settings at random, pinned exercises, and what must not be told."""

from settings_of.chord_by_ear import NAMES_A_QUALITY, chords

from musictheory_nb.practice.chord_vocabulary import SEVENTHS

GOLDEN = {
    "name": (1, {}, 60, [1, 2]),
    "name-inversions-in-bass": (1, {"clef": "bass", "inversions": [0, 1, 2], "qualities": ["maj", "m", "dim"]}, 54, [3]),
    "name-sevenths": (1, {"qualities": [*SEVENTHS, "6", "m6"], "inversions": [0, 1, 2, 3], "voicing": "open"}, 56, [4]),
    "name-own": (1, {"items": ["Bb7", "F#m7b5/A", "C6"], "other_names": False, "enharmonic": True}, 6, [5]),
}  # fmt: skip


def random_settings(draw):
    return {
        **chords(draw),
        "other_names": draw.random() < 0.6,
        "enharmonic": draw.random() < 0.4,
        "voicing": draw.choice(["close", "open"]),
    }


def forbidden(exercise, item):
    return [NAMES_A_QUALITY.replace("|sixth", "|sixth\\b")] if not exercise.settings["transposition"] else []
