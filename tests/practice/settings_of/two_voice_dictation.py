"""Two-voice dictation: settings at random, pinned exercises, and what must not be told."""

from settings_of.melody_dictation import KEYS

from musictheory_nb.practice.rhythm_figure import METRES

GOLDEN = {
    "hear-two": (1, {}, 60, [1]),
    "hear-two-minor": (1, {"keys": KEYS[5:], "melody_level": 3, "texture": "lower in beats"}, 60, [2]),
    "hear-two-compound": (1, {"metres": ["6/8", "7/8"], "level": 2, "texture": "lower in beats"}, 40, [3]),
    "hear-lower": (1, {"voices": ["lower"], "keys": KEYS, "measures": 2}, 40, [4]),
}


def random_settings(draw):
    return {
        "voices": draw.choice([["upper"], ["lower"], ["upper", "lower"]]),
        "texture": draw.choice(["note against note", "lower in beats"]),
        "keys": draw.sample(KEYS, draw.randint(1, 4)),
        "melody_level": draw.randint(1, 3),
        "metres": draw.sample(METRES, draw.randint(1, 3)),
        "level": draw.randint(1, 4),
        "measures": draw.choice([2, 2, 2, 2, 3, 3, 8]),
        "tempo": draw.choice([40, 72, 120]),
        "first_note": draw.random() < 0.7,
        "pitch_cost": draw.choice([0.5, 1, 1]),
        "length_cost": draw.choice([0.5, 1, 1]),
        "enharmonic": draw.random() < 0.3,
        "partial": draw.random() < 0.8,
        "timbre": draw.choice(["struck", "held"]),
        "degrees": draw.choice(["numbers", "do", "la"]),
        "names": draw.choice(["english", "english", "german", "fixed-do"]),
    }


def forbidden(exercise, item):
    """Nothing but the key is told."""
    return [r"\b(whole|half|eighth|sixteenth|dotted|triplet|rest)\b", r"[A-GH]♯?♭?\d", r"degree"]
