"""Chord by sight: settings at random, pinned exercises, and what must not be told."""

from settings_of.chord_by_ear import NAMES_A_QUALITY, chords

from musictheory_nb.practice.chord_vocabulary import SEVENTHS

GOLDEN = {
    "read-chords": (1, {}, 60, [1, 2]),
    "read-inversions-in-bass": (
        1,
        {
            "inversions": [0, 1, 2],
            "ask": ["root", "quality", "inversion"],
            "clef": "bass",
            "qualities": ["maj", "m", "dim"],
        },
        54,
        [3],
    ),
    "read-sevenths": (1, {"qualities": list(SEVENTHS), "inversions": [0, 1, 2, 3]}, 40, [4]),
    "read-own-chords": (1, {"items": ["Bb7", "F#m7b5/A", "C6"]}, 6, [5]),
}


def random_settings(draw):
    return {
        **chords(draw),
        "ask": draw.choice([["quality"], ["root"], ["root", "quality"], ["root", "quality", "inversion"]]),
        "voicing": draw.choice(["close", "open"]),
    }


def forbidden(exercise, item):
    return [NAMES_A_QUALITY.replace("|sixth", "|sixth\\b")] if not exercise.settings["transposition"] else []
