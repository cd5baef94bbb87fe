"""Numeral writing: settings at random, pinned exercises, and what must not be told."""

from settings_of.numeral_reading import numerals

from musictheory_nb.practice.numeral_vocabulary import LEVELS
from musictheory_nb.practice.written_note import NOTE_INPUTS

GOLDEN = {
    "numerals-to-write": (1, {}, 60, [1, 2]),
    "numerals-to-write-in-bass": (
        1, {"clef": "bass", "levels": ["inverted sevenths", "secondary dominants"], "figures": "6/5"}, 40, [3],
    ),
    "numerals-to-write-in-minor": (
        1, {"keys": ["A minor", "C minor", "F# minor"], "levels": list(LEVELS), "transposition": "Bb3"}, 48, [4],
    ),
    "own-numerals-to-write": (1, {"items": ["C major: V7/V", "A minor: VII7", "Eb major: N6"]}, 6, [5]),
}  # fmt: skip


def random_settings(draw):
    return {
        **numerals(draw),
        "inputs": draw.sample(NOTE_INPUTS, draw.randint(1, 3)),
        "enharmonic": draw.random() < 0.3,
    }


def forbidden(exercise, item):
    """The numeral and the key are told, and no note with its octave."""
    return (
        [r"\b[A-G][♯♭]?\d\b", r"\b[A-G][♯♭]?,? (and )?[A-G][♯♭]?\b"]
        if not exercise.settings.get("transposition")
        else []
    )
