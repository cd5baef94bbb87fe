"""Figured bass: settings at random, pinned exercises, and what must not be told."""

from settings_of.numeral_reading import NAMES_A_NUMERAL, numerals

from musictheory_nb.practice.figured_bass import ASK, FIGURE_INPUTS
from musictheory_nb.practice.numeral_vocabulary import LEVELS
from musictheory_nb.practice.progression import CHORD_LEVELS
from musictheory_nb.practice.written_note import NOTE_INPUTS

GOLDEN = {
    "figures": (1, {}, 60, [1, 2]),
    "altered-figures": (
        1, {"levels": ["secondary dominants", "mixture", "chromatic predominants"], "ask": ["figures"]}, 48, [3],
    ),
    "figures-in-minor": (
        1, {"keys": ["A minor", "C minor", "F# minor"], "levels": list(LEVELS), "ask": ["notes"]}, 48, [4],
    ),
    "four-part-lines": (
        1, {"ask": ["four parts"], "chords": 5, "progressions": list(CHORD_LEVELS), "cadences": ["authentic", "half"]}, 30, [6],
    ),
    "own-figures": (1, {"items": ["C major: V65", "A minor: V", "Eb major: N6"], "names": "german"}, 6, [5]),
}  # fmt: skip


def random_settings(draw):
    chosen = numerals(draw)
    del chosen["transposition"], chosen["figures"]
    return {
        **chosen,
        "ask": draw.choice([["notes"], ["figures"], ["notes", "figures"], list(ASK)]),
        "progressions": ["primary chords", *draw.sample(["inversions", "sevenths", "secondary dominants"], 2)],
        "chords": draw.choice([3, 4]),
        "note_inputs": draw.sample(NOTE_INPUTS, draw.randint(1, 3)),
        "figure_inputs": draw.sample(FIGURE_INPUTS, draw.randint(1, 2)),
    }


def forbidden(exercise, item):
    """The key is told; no numeral, no figures, no note with its octave."""
    return [NAMES_A_NUMERAL, r"[♯♭♮]?[2-9](/|\b)", r"\b[A-G][♯♭]?\d\b"]
