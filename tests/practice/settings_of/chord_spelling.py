"""Chord spelling: settings at random, pinned exercises, and what must not be told."""

import re

from settings_of.chord_by_ear import chords

from musictheory_nb.practice.chord_vocabulary import SEVENTHS, tone_names
from musictheory_nb.practice.display_settings import Display
from musictheory_nb.practice.excerpt import TIMBRES

GOLDEN = {
    "spell": (1, {}, 60, [1, 2]),
    "spell-inversions-in-bass": (1, {"clef": "bass", "inversions": [0, 1, 2], "qualities": ["maj", "m", "dim"]}, 54, [3]),
    "spell-tensions": (1, {"qualities": ["9", "maj9", "m9", "7b9", "7#11", "13", "7alt"], "low": "C3", "high": "C6"}, 50, [4]),
    "play-for-clarinet": (1, {"transposition": "clarinet", "qualities": list(SEVENTHS), "inputs": ["keys"]}, 40, [5]),
    "spell-own": (1, {"items": ["Bb7", "F#m7b5/A", "C6"], "enharmonic": True, "inputs": ["text"]}, 6, [6]),
}  # fmt: skip


def random_settings(draw):
    chosen = chords(draw)
    return {
        **chosen,
        "qualities": [*chosen["qualities"], *draw.choice([[], ["13"], ["7alt", "m11"]])],
        "inputs": draw.choice([["staff"], ["keys"], ["text"], ["staff", "keys", "text"]]),
        "enharmonic": draw.random() < 0.4,
        "leave_out": draw.random() < 0.5,
        "low": draw.choice(["", "", "C3"]),
        "high": draw.choice(["", "", "C6"]),
        "timbre": draw.choice(TIMBRES),
    }


def forbidden(exercise, item):
    """The tones that the symbol does not name."""
    key, show = item.key, Display.of_key(item.key)
    names = tone_names(key["root"], key["quality"])
    told = {key["root"], names[key["inversion"]], "A" if show.written_for else ""}
    if exercise.settings.get("transposition"):
        return []
    return [
        rf"(?<![\w♯♭]){re.escape(show.note(name))}(?![\w♯♭])(?! chord)"
        for name in names
        if show.note(name) not in {show.note(one) for one in told if one}
    ]
