"""Guide tones: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_sight import display

from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.guide_tones import PROGRESSIONS

BLUES = "F major: F7 | Bb7 | F7 | F7 | Bb7 | Bb7 | F7 | D7 | Gm7 | C7 | F7 D7 | Gm7 C7"
GOLDEN = {
    "one-line": (1, {}, 60, [1, 2]),
    "two-lines": (1, {"lines": "two", "progressions": [*PROGRESSIONS[:3], BLUES]}, 50, [3]),
    "for-double-bass": (1, {"transposition": "double bass", "inputs": ["keys"]}, 30, [4]),
    "triads": (1, {"progressions": ["C major: C | F | G | C", "A minor: Am Dm | E Am"], "lines": "two"}, 24, [5]),
    "more-progressions": (
        1,
        {"progressions": ["C major: Cmaj7 Am7 | Dm7 G7", "C minor: Cm7 | Fm7 | Bb7 | Ebmaj7", "C major: C6 | C7 | F6 | Fm6"]},
        54, [6],
    ),
}  # fmt: skip


def random_settings(draw):
    pool = [*PROGRESSIONS, BLUES, "C major: C | F | G7 | C", "A minor: Am6 | D7sus4 D7 | Gmaj7"]
    return {
        "progressions": draw.sample(pool, draw.randint(1, 4)),
        "keys": draw.choice([[], [], ["C", "D", "Eb"], ["F"]]),
        "lines": draw.choice(["one", "two"]),
        "inputs": draw.choice([["staff"], ["keys"], ["text"], ["staff", "keys", "text"]]),
        "enharmonic": draw.random() < 0.4,
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.7,
        **display(draw),
    }


def forbidden(exercise, item):
    """Only the first notes are shown."""
    asked = item.shown("asked")[1].excerpt
    assert all(not note.pitches for note in asked.notes[1:])
    assert not any(request.marked for request in item.shown("asked"))
    return [r"\bsmooth\b", r"\b(third|seventh)\b"]
