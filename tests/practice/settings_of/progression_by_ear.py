"""Progression by ear: settings at random, pinned exercises, and what must not be told."""

from settings_of.numeral_reading import NAMES_A_NUMERAL

from musictheory_nb.practice.display_settings import NAME_SYSTEMS
from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.progression import CADENCES, CHORD_LEVELS
from musictheory_nb.practice.progression_by_ear import ASK

GOLDEN = {
    "progressions": (1, {}, 40, [1, 2]),
    "progressions-in-minor": (
        1, {"keys": ["A minor", "C minor"], "levels": list(CHORD_LEVELS), "chords": 5, "cadences": list(CADENCES)}, 50, [3],
    ),
    "chromatic-progressions": (1, {"levels": list(CHORD_LEVELS), "chords": 6, "figures": "6/5"}, 60, [4]),
    "bass-lines": (1, {"ask": ["bass"], "chords": 8, "levels": ["primary chords", "inversions", "sevenths"]}, 20, [5]),
}  # fmt: skip


def random_settings(draw):
    """Few keys, so that not every progression has to be set for four voices anew."""
    levels = draw.sample(list(CHORD_LEVELS)[1:], draw.randint(0, 3))
    return {
        "keys": draw.choice([["C major"], ["Eb major", "A major"], ["A minor"], ["F minor", "C major"]]),
        "levels": ["primary chords", *levels],
        "chords": draw.choice([3, 3, 4, 4, 5, 6]),
        "cadences": draw.sample(CADENCES[:3], draw.randint(1, 3)),
        "ask": draw.sample(list(ASK), draw.randint(1, 3)),
        "bass_inputs": draw.choice([["staff"], ["keys", "text"], ["staff", "keys", "text"]]),
        "numeral_inputs": draw.choice([["buttons"], ["text"], ["buttons", "text"]]),
        "figures": draw.choice(["65", "6/5"]),
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.7,
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """The key and the first bass note are told, and no numeral and no quality."""
    return [NAMES_A_NUMERAL, "triad|seventh|sixth|diminished"]
