"""Degree play-back: settings at random, pinned exercises, and what must not be told."""

from settings_of.degree_by_ear import A_NUMBER, A_SYLLABLE, MINOR, degrees

from musictheory_nb.practice.degree_pattern import STARTS
from musictheory_nb.practice.degree_play_back import INPUTS
from musictheory_nb.practice.display_settings import DEGREE_NAMES

GOLDEN = {
    "patterns": (1, {}, 60, [1, 2]),
    "patterns-in-minor": (
        1, {"keys": ["A minor", "E minor"], "asked": MINOR, "notes": 5, "ends_home": True, "degrees": "la"}, 40, [3],
    ),
    "patterns-over-a-drone": (
        1, {"frame": "drone", "notes": 8, "widest": 7, "start": "any", "clef": "bass", "transposition": "cello"}, 40, [4],
    ),
    "patterns-by-step": (1, {"widest": 1, "notes": 3, "start": "tonic", "inputs": ["sung"]}, 20, [5]),
}  # fmt: skip


def random_settings(draw):
    chosen = degrees(draw)
    return {
        **chosen,
        "notes": draw.randint(2, 8),
        "widest": draw.choice([1, 2, 4, 7]),
        "start": draw.choice(STARTS),
        "ends_home": draw.random() < 0.4,
        "inputs": draw.sample(INPUTS, draw.randint(1, 3)),
        "cents": draw.choice([20, 50]),
        "degrees": draw.choice(DEGREE_NAMES),
    }


def forbidden(exercise, item):
    """The key may be told, and no degree."""
    return [A_NUMBER, A_SYLLABLE]
