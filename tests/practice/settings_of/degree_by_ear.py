"""Degree by ear: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_sight import display

from musictheory_nb.practice.degree_vocabulary import ANSWER_NAMES, SCALE_DEGREES
from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.tonal_frame import FRAMES

CHROMATIC = ["1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7"]
MINOR = ["1", "2", "3", "4", "5", "6", "7", "#7"]

GOLDEN = {
    "degrees": (1, {}, 60, [1, 2]),
    "degrees-of-minor": (1, {"keys": ["A minor", "C minor", "F# minor"], "asked": MINOR, "degrees": "la"}, 40, [3]),
    "degrees-over-a-drone": (1, {"frame": "drone", "notes": 3, "degrees": "do", "clef": "bass"}, 30, [4]),
    "chromatic-degrees": (1, {"asked": CHROMATIC, "frame": "tonic chord", "degrees": "notes"}, 36, [5]),
}  # fmt: skip
A_NUMBER = r"\b[#♯b♭]?[1-7]\b"
A_SYLLABLE = r"\b(do|re|mi|fa|sol|la|ti|me|le|te|ra|fi|si|li|di|ri|se)\b"


def degrees(draw):
    keys, asked = draw.choice(
        [
            (["C major", "G major", "Eb major"], list(SCALE_DEGREES)),
            (["A minor", "C minor", "F# minor"], MINOR),
            (["D major", "B minor"], ["1", "3", "5"]),
            (["C major", "F major", "A major"], CHROMATIC),
            (["Bb minor"], ["1", "2", "3", "4", "5", "6", "#6", "7", "#7"]),
        ]
    )
    return {
        "keys": keys,
        "asked": draw.sample(asked, draw.randint(2, len(asked))),
        "frame": draw.choice(FRAMES),
        "notes": draw.choice([1, 1, 2, 3, 5]),
        "low": draw.choice(["", "", "C3"]),
        "high": draw.choice(["", "", "C6"]),
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.7,
        **display(draw),
    }


def random_settings(draw):
    return {
        **degrees(draw),
        "degrees": draw.choice(ANSWER_NAMES),
        "inputs": draw.choice([["buttons"], ["keys"], ["buttons", "keys"]]),
    }


def forbidden(exercise, item):
    """The key may be told, and no degree."""
    return [A_NUMBER, A_SYLLABLE, r"tonic(?! note| chord|\b)|dominant|leading|mediant"]
