"""Note roles: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_sight import display

from musictheory_nb.practice.embellished_line import DRAWN_ROLES
from musictheory_nb.practice.excerpt import TIMBRES
from musictheory_nb.practice.note_role_settings import PROGRESSIONS
from musictheory_nb.practice.note_role_words import ROLE_NAMES

OWN = [
    ["C major: Dm7 | G7 | Cmaj7", "F4 E4 D4 C4 | B3 C4 D4 F4 | E4"],
    ["A minor: Am | E7 | Am", "A4 B4 C5 E5 | E5 D5 C5 B4 | C5 B4 A4 A4"],
    ["F major: F6 | C7 D7", "A4 G4 F4 D#4 E4 F4 G4 A4 | Bb4 C5 A4 F#4"],
]
GOLDEN = {
    "roles-in-quarters": (1, {}, 60, [1, 2]),
    "roles-in-eighths": (1, {"values": "eighths", "ask": "others", "keys": ["C", "F", "Bb"]}, 40, [3]),
    "roles-in-bass": (
        1, {"transposition": "double bass", "roles": ["chord tone", "passing", "approach"], "progressions": [PROGRESSIONS[0]]},
        30, [4],
    ),
    "roles-in-own-lines": (1, {"items": OWN, "names": "german"}, 3, [5]),
    "roles-in-a-song": (1, {"excerpt": "jeanie", "key": "F major", "length": 3}, 20, [6]),
}  # fmt: skip


def random_settings(draw):
    source = draw.choice(["rule", "rule", "rule", "own", "piece"])
    roles = ["chord tone", *draw.sample([one for one in ROLE_NAMES if one != "chord tone"], draw.randint(1, 9))]
    settings = {
        "progressions": draw.sample(PROGRESSIONS, draw.randint(1, 4)),
        "keys": draw.choice([[], [], ["C", "D", "Eb"], ["F"]]),
        "values": draw.choice(["quarters", "eighths"]),
        "roles": draw.choice([list(DRAWN_ROLES), roles]),
        "items": draw.sample(OWN, draw.randint(1, 3)) if source == "own" else [],
        "length": draw.randint(1, 6),
        "key": draw.choice(["", "F major"]),
        "ask": draw.choice(["all", "others"]),
        "timbre": draw.choice(TIMBRES),
        "partial": draw.random() < 0.7,
        **{name: value for name, value in display(draw).items() if name != "degrees"},
    }
    return settings | ({"excerpt": "jeanie"} if source == "piece" else {})


def forbidden(exercise, item):
    """Nothing is marked before the answer, and no role is told but by asking for those that are no chord tones."""
    assert all(not request.marked for request in item.shown("asked"))
    told = [name for role, name in ROLE_NAMES.items() if role != "chord tone"]
    return [rf"\b{name}\b" for name in told]
