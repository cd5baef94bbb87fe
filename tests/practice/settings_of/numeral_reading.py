"""Numeral reading: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_sight import display

from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.numeral_vocabulary import LEVELS

NAMES_A_NUMERAL = r"(?<![A-Za-z])[♭♯#b]*(?:VII|VI|IV|V|III|II|vii|vi|iv|v|iii|ii)(?![A-Za-z])"

GOLDEN = {
    "numerals": (1, {}, 60, [1, 2]),
    "numerals-in-four-parts": (
        1,
        {"layout": "four parts", "levels": ["inverted sevenths", "secondary dominants", "mixture"], "figures": "6/5"},
        40,
        [3],
    ),
    "numerals-in-minor": (
        1, {"keys": ["A minor", "C minor", "F# minor"], "levels": list(LEVELS), "clef": "bass"}, 48, [4],
    ),
    "own-numerals": (1, {"items": ["C major: V7/V", "A minor: VII7", "Eb major: N6"], "inputs": ["text"]}, 6, [5]),
}  # fmt: skip


def numerals(draw):
    keys = draw.choice(
        [["C major", "G major", "Eb major"], ["A minor", "C minor"], ["Gb major", "D# minor", "C# major"], ["D major"]]
    )
    own = ["C major: V65/V", "A minor: VII7", "F major: I64", "Ab minor: vii°7", "B major: Ger65", "E minor: III+6"]
    return {
        "keys": keys,
        "levels": draw.sample(list(LEVELS), draw.randint(1, len(LEVELS))),
        "items": draw.choice([[], [], [], draw.sample(own, 3)]),
        "figures": draw.choice(["65", "65", "6/5"]),
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.7,
        **display(draw),
    }


def random_settings(draw):
    return {
        **numerals(draw),
        "layout": draw.choice(["close", "close", "four parts"]),
        "inputs": draw.choice([["buttons"], ["text"], ["buttons", "text"]]),
    }


def forbidden(exercise, item):
    """The key is told, and no numeral."""
    return [NAMES_A_NUMERAL]
