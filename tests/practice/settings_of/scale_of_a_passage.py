"""Scale of a passage: settings at random, pinned exercises, and what must not be told."""

import re

from settings_of.scale_by_ear import scales

from musictheory_nb.practice.display_settings import NAME_SYSTEMS
from musictheory_nb.practice.scale_vocabulary import MODES, kind_shown

#: The passages that tests ask about: the mode of each is that which its collector gave it (tests/practice/test_scale_of_a_passage.py).
PASSAGES = {
    "dorian-air": [["0", "8", "A Dorian"]],
    "dorian-tune": [["0", "12", "G Dorian"]],
    "chorale": [["0", "9", "F# natural minor"]],
    "song": [["1", "4", "C major"]],
}
TUNES = ["dorian-air", "dorian-tune", "song"]

GOLDEN = {
    "modes-of-tunes": (1, {"excerpt": TUNES, "passages": [PASSAGES[name] for name in TUNES], "length": 4}, 40, [1, 2]),
    "mode-of-an-air": (
        1, {"excerpt": "dorian-air", "passages": PASSAGES["dorian-air"], "length": 3, "tonic": "drone", "given": ["sound"]},
        40, [3],
    ),
    "mode-and-tonic": (
        1, {"excerpt": "dorian-tune", "passages": PASSAGES["dorian-tune"], "tonic": "asked", "given": ["notation"]}, 40, [4],
    ),
    "key-of-a-chorale": (1, {"excerpt": "chorale", "passages": PASSAGES["chorale"], "length": 2}, 40, [5]),
}  # fmt: skip

LISTED = True


def random_settings(draw):
    names = draw.sample(sorted(PASSAGES), draw.randint(1, 4))
    one = len(names) == 1 and draw.random() < 0.5
    kinds = scales(draw)["scales"] if draw.random() < 0.5 else list(MODES)
    given = draw.choice([["sound"], ["notation"], ["sound", "notation"]])
    tonic = draw.choice(["told", "asked", "drone" if "sound" in given else "told"])
    return {
        "excerpt": names[0] if one else names,
        "passages": PASSAGES[names[0]] if one else [PASSAGES[name] for name in names],
        "scales": kinds,
        "length": 0 if tonic == "asked" else draw.choice([0, 2, 3, 4, 8]),
        "given": given,
        "tonic": tonic,
        "inputs": draw.choice([["buttons"], ["text"], ["buttons", "text"]]),
        "partial": draw.random() < 0.7,
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """The name of the scale, and the title of the piece, which may tell it."""
    kinds = [item.key["kind"], *item.key["also"]]
    return [rf"\b{re.escape(kind_shown(kind))}\b" for kind in kinds] + [r"\bof (Lord|The|Little)\b"]
