"""Interval by ear: settings at random, pinned exercises, and what must not be told."""

from musictheory_nb.practice.display_settings import NAME_SYSTEMS
from musictheory_nb.practice.excerpt import CLEFS, TIMBRES
from musictheory_nb.practice.interval_choice import INTERVALS
from musictheory_nb.practice.interval_settings import DIRECTIONS, PRESENTATIONS

GOLDEN = {
    "by-ear": (1, {}, 26, [1, 2, 3]),
    "seen": (1, {"present": "notation"}, 13, [1, 2**53]),
    "both-in-bass": (1, {"present": "both", "low": "E2", "high": "G4", "timbre": "held"}, 13, [4, 5]),
    "every-interval": (
        1, {"intervals": list(INTERVALS), "low": "C2", "high": "C7", "directions": ["up", "down"]}, 49, [6],
    ),
    "tritones-by-keys": (1, {"intervals": ["A4", "d5"], "inputs": ["keys"], "partial": False}, 8, [7]),
    "in-a-song": (1, {"excerpt": "song", "intervals": ["m2", "m3", "M3", "P4", "A4", "P5"]}, 13, [8, 9]),
}  # fmt: skip

#: What names an interval, and what names a note.
NAMES_AN_INTERVAL = (
    r"unison|second\b(?! note)|third|fourth|fifth|sixth|seventh|octave|tritone|augmented|diminished|semitone"
)
NAMES_A_NOTE = r"(?<!“)\b[A-G][♯♭]?\d?\b(?! measure)"


def random_settings(draw):
    return {
        "intervals": draw.sample(INTERVALS, draw.randint(2, len(INTERVALS))),
        "directions": draw.sample(DIRECTIONS, draw.randint(1, 3)),
        "low": draw.choice(["C2", "G3", "Bb2", "E3"]),
        "high": draw.choice(["G4", "E5", "C7", "C7"]),
        "present": draw.choice(PRESENTATIONS),
        "inputs": draw.choice([["buttons"], ["keys"], ["buttons", "keys"]]),
        "excerpt": draw.choice(["", "", "song"]),
        "clef": draw.choice(["auto", *CLEFS]),
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.5,
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    found = [NAMES_AN_INTERVAL, NAMES_A_NOTE]
    return found
