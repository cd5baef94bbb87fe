"""Implied chord: settings at random, pinned exercises, and what must not be told."""

from settings_of.chord_by_ear import NAMES_A_QUALITY
from settings_of.interval_by_sight import display

from musictheory_nb.practice.chord_vocabulary import SEVENTHS, TRIADS
from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.implied_line import TEXTURES

QUALITIES = [*TRIADS, *SEVENTHS, "6", "m6", "7sus4", "sus4", "m(maj7)"]
OWN = [
    ["Dm7", "D3 F3 A3 C4 | B3 A3 F3 D3"],
    ["Bb", "Bb3 D4 F4 D4 Bb4 F4 D4 F4"],
    ["F#m7b5", "A4 F#4 C5 E5 | F#5"],
]
#: Bach's prelude in C, measure by measure, as analysed in tests/published/prelude_chords.tsv; basses left out.
PRELUDE = [
    [str(at + 1), str(at + 1), chord]
    for at, chord in enumerate(["C", "Dm7", "G7", "C", "Am", "D7", "G", "Cmaj7", "Am7", "D7", "G", "C#dim7", "Dm"])
]
GOLDEN = {
    "name-the-chord": (1, {}, 60, [1, 2]),
    "root-and-quality": (1, {"answer": "parts", "qualities": [*SEVENTHS, "6", "m6"], "textures": ["melody"]}, 40, [3]),
    "by-ear": (1, {"given": ["sound"], "textures": ["broken chord", "walking bass"]}, 40, [4]),
    "for-double-bass": (1, {"transposition": "double bass", "given": ["notation"], "textures": ["walking bass"]}, 30, [5]),
    "own-lines": (1, {"items": OWN, "answer": "parts"}, 3, [6]),
    "prelude": (1, {"excerpt": "prelude", "passages": PRELUDE, "answer": "parts"}, 13, [7]),
}  # fmt: skip


def random_settings(draw):
    piece = {"excerpt": "prelude", "passages": draw.sample(PRELUDE, draw.randint(1, 13)), "items": []}
    settings = {
        "qualities": draw.sample(QUALITIES, draw.randint(1, 8)),
        "textures": draw.sample(list(TEXTURES), draw.randint(1, 3)),
        "items": draw.choice([[], [], [], OWN, OWN[:2]]),
        "answer": draw.choice(["symbol", "parts"]),
        "given": draw.choice([["sound"], ["notation"], ["sound", "notation"]]),
        "enharmonic": draw.random() < 0.4,
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.7,
        "low": draw.choice(["", "", "", "C3"]),
        "high": draw.choice(["", "", "", "C6"]),
        **display(draw),
    }
    return settings | piece if draw.random() < 0.2 else settings


def forbidden(exercise, item):
    """No chord, no quality; without notation one note is told, the first."""
    assert not any(request.excerpt.chords for request in (*item.shown("asked"), *item.twin))
    piece = exercise.settings.get("excerpt")
    assert piece or not any(measure.fifths for request in item.shown("asked") for measure in request.excerpt.measures)
    return [NAMES_A_QUALITY.replace("|sixth", "|sixth\\b")] if not exercise.settings["transposition"] else []
