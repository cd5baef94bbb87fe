"""Chord dictation: settings at random, pinned exercises, and what must not be told."""

from musictheory_nb.practice.progression import CADENCES, CHORD_LEVELS
from musictheory_nb.practice.rhythm_figure import COMPOUND, SIMPLE

#: Few keys, so that not every progression has to be set for four voices anew.
GOLDEN = {
    "hear-chords": (1, {"keys": ["C major"], "metres": ["4/4", "3/4", "6/8"], "chords": 5}, 20, [1, 2, 3]),
    "hear-minor": (1, {"keys": ["A minor"], "levels": ["primary chords", "cadential six-four"], "chords": 6}, 60, [2]),
    "hear-in-keys": (1, {"keys": ["D major", "Eb major", "G minor"], "metres": ["4/4", "3/4", "6/8"]}, 40, [5]),
    "hear-in-more-keys": (
        1,
        {"keys": ["A major", "Bb major", "F# minor", "C minor"], "metres": ["4/4", "3/4", "2/4", "6/8"], "chords": 6},
        40,
        [6],
    ),
    "hear-bass": (1, {"keys": ["C major"], "ask": ["bass"], "chords": 5, "metres": ["9/8", "2/4"]}, 40, [3]),
    "hear-symbols": (
        1,
        {"keys": ["C major"], "ask": ["chords"], "chord_inputs": ["symbols"], "levels": ["primary chords", "sevenths"]},
        40,
        [4],
    ),
}


def random_settings(draw):
    return {
        "keys": draw.choice([["C major"], ["C major"], ["A minor"], ["Gb major", "C major"]]),
        "levels": ["primary chords", *draw.sample(list(CHORD_LEVELS)[1:], draw.choice([0, 0, 0, 1]))],
        "chords": draw.choice([3, 3, 3, 4]),
        "cadences": draw.sample(CADENCES, draw.randint(1, 2)),
        "metres": draw.sample([*SIMPLE, *COMPOUND], draw.randint(1, 3)),
        "ask": draw.choice([["bass"], ["chords"], ["bass", "chords"]]),
        "chord_inputs": draw.choice([["numerals"], ["symbols"], ["numerals", "symbols"]]),
        "tempo": draw.choice([40, 72, 120]),
        "figures": draw.choice(["65", "6/5"]),
        "enharmonic": draw.random() < 0.3,
        "partial": draw.random() < 0.8,
        "timbre": draw.choice(["struck", "held"]),
        "names": draw.choice(["english", "english", "german", "fixed-do"]),
    }


def forbidden(exercise, item):
    """Nothing but the key and the first chord is told."""
    return [r"\b(?:ii|iii|IV|iv|VI|vi|VII|vii)\b", r"\bV\d?\b", r"[A-GH]♯?♭?\d"]
