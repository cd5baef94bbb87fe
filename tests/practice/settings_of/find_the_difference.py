"""Find the difference: settings at random, pinned exercises, and what must not be told."""

from musictheory_nb.practice.changed_passage import KINDS, MOVES
from musictheory_nb.practice.display_settings import NAME_SYSTEMS

GOLDEN = {
    "differences-in-a-chorale": (1, {"excerpt": "chorale"}, 60, [1, 2]),
    "differences-in-a-rag": (1, {"excerpt": "rag", "length": 6, "differences": ["lengths", "lower"]}, 50, [3]),
    "differences-in-a-song": (1, {"excerpt": "song", "moved_by": ["half step"], "length": 3}, 50, [4]),
}


def random_settings(draw):
    return {
        "excerpt": draw.choice(["song", "waltz", "chorale", "rag", "dorian-air"]),
        "differences": draw.sample(KINDS, draw.randint(1, len(KINDS))),
        "moved_by": draw.sample(MOVES, draw.randint(1, len(MOVES))),
        "length": draw.randint(2, 10),
        "partial": draw.random() < 0.7,
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """Neither what is shown at first nor its labels mark the place or tell what it is."""
    assert all(not request.marked for request in (*item.shown("asked"), *item.twin))
    return ["higher", "lower", "lengths"]
