"""Chord by ear: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_ear import NAMES_A_NOTE
from settings_of.interval_by_sight import display

from musictheory_nb.practice.chord_vocabulary import SEVENTHS, TRIADS
from musictheory_nb.practice.excerpt import TIMBRES

QUALITIES = [*TRIADS, *SEVENTHS, "sus4", "sus2", "6", "m6", "m(maj7)", "7sus4", "add9", "9"]
NAMES_A_QUALITY = r"major|minor|diminished|augmented|dominant|suspended|half-dim|sixth"

GOLDEN = {
    "hear-chords": (1, {}, 42, [1, 2]),
    "hear-inversions": (
        1, {"qualities": ["maj", "m", "dim"], "inversions": [0, 1, 2], "ask": ["quality", "inversion"]}, 54, [3],
    ),
    "hear-sevenths": (
        1, {"qualities": list(SEVENTHS), "inversions": [0, 1, 2, 3], "voicing": "open", "low": "C3", "high": "C6"}, 60, [4],
    ),
    "hear-alike": (1, {"qualities": ["6", "m7", "m6", "m7b5"], "inversions": [0, 1, 2, 3], "played": "together"}, 32, [5]),
    "hear-own": (1, {"items": ["Bb7", "F#m7b5/A", "C6"]}, 6, [6]),
}  # fmt: skip


def chords(draw):
    return {
        "qualities": draw.sample(QUALITIES, draw.randint(2, 8)),
        "inversions": draw.choice([[0], [0, 1], [0, 1, 2], [0, 1, 2, 3]]),
        "items": draw.choice([[], [], [], ["Bb7", "F#m7b5/A", "C6"]]),
        "partial": draw.random() < 0.7,
        **display(draw),
    }


def random_settings(draw):
    return {
        **chords(draw),
        "ask": draw.choice([["quality"], ["inversion"], ["quality", "inversion"]]),
        "inputs": draw.choice([["buttons"], ["keys"], ["buttons", "keys"]]),
        "played": draw.choice(["together", "broken", "both"]),
        "voicing": draw.choice(["close", "open"]),
        "timbre": draw.choice(TIMBRES),
    }


def forbidden(exercise, item):
    return [NAMES_A_QUALITY, NAMES_A_NOTE, r"\b(root position|first|second|third)\b"]
