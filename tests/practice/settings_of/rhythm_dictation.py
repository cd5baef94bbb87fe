"""Rhythm dictation: settings at random, pinned exercises, and what must not be told."""

from musictheory_nb.practice.rhythm_figure import METRES

GOLDEN = {
    "hear-rhythms": (1, {}, 60, [1]),
    "hear-compound": (1, {"metres": ["6/8", "9/8", "12/8"], "level": 3, "ties": True}, 40, [2]),
    "hear-odd": (1, {"metres": ["5/4", "5/8", "7/8"], "level": 3, "rests": True, "measures": 3}, 40, [3]),
    "tap-rhythms": (1, {"inputs": ["taps"], "level": 4, "rests": True, "ties": True, "tempo": 90}, 60, [4]),
}


def random_settings(draw):
    return {
        "metres": draw.sample(METRES, draw.randint(1, 4)),
        "level": draw.randint(1, 4),
        "measures": draw.choice([1, 2, 2, 4, 8]),
        "rests": draw.random() < 0.5,
        "ties": draw.random() < 0.5,
        "tempo": draw.choice([40, 72, 120]),
        "inputs": draw.choice([["staff"], ["taps"], ["staff", "taps"]]),
        "tolerance_ms": draw.choice([40, 120, 250]),
        "length_cost": draw.choice([0.5, 1, 1]),
        "partial": draw.random() < 0.8,
    }


def forbidden(exercise, item):
    """No length of a note may be named."""
    return [r"\b(whole|half|eighth|sixteenth|dotted|triplet)\b", r"\bquarter\b", r"\brest\b"]
