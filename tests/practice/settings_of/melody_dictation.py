"""Melody dictation: settings at random, pinned exercises, and what must not be told."""

from musictheory_nb.practice.rhythm_figure import METRES

KEYS = ["C major", "G major", "Bb major", "E major", "Gb major", "A minor", "F# minor", "C minor", "Ab minor"]
GOLDEN = {
    "hear-melodies": (1, {}, 60, [1]),
    "hear-minor": (1, {"keys": KEYS[5:], "melody_level": 3, "level": 2, "rests": True, "clef": "bass"}, 40, [2]),
    "hear-chromatic": (1, {"melody_level": 4, "metres": ["6/8", "7/8"], "level": 3, "ties": True}, 40, [3]),
    "hear-pitches": (1, {"asks": "pitches", "keys": KEYS, "transposition": "clarinet", "measures": 2}, 60, [4]),
}


def random_settings(draw):
    return {
        "asks": draw.choice(["melody", "melody", "pitches"]),
        "keys": draw.sample(KEYS, draw.randint(1, 4)),
        "melody_level": draw.randint(1, 4),
        "metres": draw.sample(METRES, draw.randint(1, 3)),
        "level": draw.randint(1, 4),
        "measures": draw.choice([1, 1, 2, 2, 2, 3, 3, 8]),
        "rests": draw.random() < 0.5,
        "ties": draw.random() < 0.5,
        "tempo": draw.choice([40, 72, 120]),
        "first_note": draw.random() < 0.7,
        "inputs": draw.choice([["staff"], ["keys"], ["staff", "keys"]]),
        "pitch_cost": draw.choice([0.5, 1, 1]),
        "length_cost": draw.choice([0.5, 1, 1]),
        "enharmonic": draw.random() < 0.3,
        "partial": draw.random() < 0.8,
        "low": draw.choice(["", "", "G2", "C4"]),
        "high": draw.choice(["", "", "G4", "C6"]),
        "clef": draw.choice(["auto", "auto", "bass", "treble", "alto", "treble-8"]),
        "transposition": draw.choice(["", "", "Bb3", "alto saxophone", "double bass", "C-1"]),
        "timbre": draw.choice(["struck", "held"]),
        "degrees": draw.choice(["numbers", "do", "la"]),
        "names": draw.choice(["english", "english", "german", "fixed-do"]),
    }


def forbidden(exercise, item):
    """Nothing but the key and the first note is told; lengths are not."""
    return [r"\b(whole|half|eighth|sixteenth|dotted|triplet|rest)\b", r"[A-GH]♯?♭?\d.*[A-GH]♯?♭?\d", r"degree"]
