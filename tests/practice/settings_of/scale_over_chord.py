"""Scale over chord: settings at random, pinned exercises, and what must not be told."""

import re

from musictheory_nb.practice.display_settings import NAME_SYSTEMS
from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.scale_over_chord_settings import LEVELS, ROOTS

GOLDEN = {
    "modes": (1, {}, 35, [1, 2]),
    "dominants": (1, {"level": "dominants", "offered": 6}, 35, [3, 4]),
    "altered": (1, {"level": "altered", "roots": ["C", "F", "Bb", "Eb"], "offered": 8}, 28, [5, 6]),
    "own-chords": (
        1, {"chords": ["Cmaj7", "F#m7b5", "Em7 in C major", "G7alt"], "ask": ["scales"]}, 12, [7],
    ),
}  # fmt: skip
CHORDS = ["Cmaj7", "F#m7b5", "Bb7alt", "Em7 in C major", "A7(b9) in D minor", "Gdim7", "Dm6", "F"]


def random_settings(draw):
    return {
        "level": draw.choice(list(LEVELS)),
        "roots": draw.sample(ROOTS, draw.randint(1, len(ROOTS))),
        "chords": draw.sample(CHORDS, draw.randint(0, 4)),
        "offered": draw.randint(3, 8),
        "ask": draw.choice([["scales"], ["scales", "avoid"], ["scales", "avoid", "why"]]),
        "timbre": draw.choice(TIMBRES),
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """No scale is named but on the buttons of all alike, which the family's own test looks at."""
    (entry,) = item.response.steps[0].inputs
    return [rf"^(?!Hear .* over the chord$|.* written out$).*{re.escape(option.label)}" for option in entry.options]
