"""Form guide: settings at random, pinned exercises, and what must not be told."""

import re

from musictheory_nb.practice.display_settings import NAME_SYSTEMS
from musictheory_nb.practice.form_question import CHANGES, FORMS, VOICES
from musictheory_nb.theory.cadence import CADENCES

LISTED = True
FORM = [["1", "A"], ["5", "A"], ["9", "B"], ["13", "A′"]]
#: Of the little song (tests/practice/conftest.py): AABA, four measures each; the left hand holds C and G throughout.
SONG = [
    {"ask": "sections", "answer": FORM},
    {"ask": "letters", "answer": FORM, "hint": "Sing the first measure of each."},
    {"ask": "form", "answer": "song form in 32 bars", "why": "Each phrase is halved here"},
    {"ask": "returns", "measures": ["1", "4"], "answer": [["5", "8"], ["13", "16"]]},
    {"ask": "changes", "measures": ["13", "16"], "of": ["1", "4"], "answer": ["nothing"]},
    {"ask": "phrase lengths", "measures": ["1", "16"], "answer": [4, 4, 4, 4]},
    {"ask": "cadence", "measures": ["3", "4"], "answer": "no cadence"},
    {"ask": "pedal point", "answer": [["1", "16"], "C", "bass"], "hint": "Follow the left hand."},
    {"ask": "trading", "answer": [["1", "4"], ["Voice", "Left hand"], 2]},
    {"ask": "orchestration", "answer": [[["0", "0"], ["Voice"]], [["1", "16"], ["Voice", "Left hand"]]]},
]
MOST_ITEMS = 4

GOLDEN = {
    "some-of-a-song": (1, {"excerpt": "song", "steps": SONG}, 4, [1, 2, 3, 4, 5]),
    "all-of-a-song": (1, {"excerpt": "song", "steps": SONG, "hints": False, "tolerance": 0}, 10, [1]),
    "a-chorale": (
        1,
        {
            "excerpt": "chorale",
            "steps": [
                {"ask": "cadence", "measures": ["1", "2"], "answer": "half", "why": "It rests on the dominant."},
                {"ask": "phrase lengths", "measures": ["1", "4"], "answer": [2, 2]},
                {"ask": "orchestration", "answer": [[["1", "9"], ["Soprano", "Alto", "Tenor", "Bass"]]]},
            ],
            "names": "german",
        },
        3,
        [1],
    ),
}


def _step(draw):
    kind = draw.choice(["sections", "letters", "form", "returns", "changes", "phrase lengths", "cadence", "pedal point",
                        "trading", "orchestration"])  # fmt: skip
    low = draw.randint(1, 12)
    span = [str(low), str(draw.randint(low, 16))]
    made = {"ask": kind}
    if kind in ("sections", "letters"):
        starts = sorted(draw.sample(range(2, 17), draw.randint(1, 5)))
        letters = "BACBA" if draw.random() < 0.5 else "ABACB"
        made["answer"] = [["1", "A"], *([str(start), letter] for start, letter in zip(starts, letters, strict=False))]
    elif kind == "form":
        made["answer"] = draw.choice(list(FORMS))
    elif kind == "returns":
        made |= {"measures": ["1", "2"], "answer": draw.choice([[["5", "6"]], [["9", "10"], ["13", "14"]], [[3, 4]]])}
    elif kind == "changes":
        changed = draw.sample([one for one in CHANGES if one != "nothing"], draw.randint(1, 4))
        made |= {"measures": span, "of": ["1", "1"], "answer": draw.choice([changed, ["nothing"]])}
    elif kind == "phrase lengths":
        made |= {"measures": ["1", "12"], "answer": draw.choice([[4, 4, 4], [12], [3, 5, 4], [1] * 12])}
    elif kind == "cadence":
        made |= {"measures": span, "answer": draw.choice(list(CADENCES))}
    elif kind == "pedal point":
        made["answer"] = [span, draw.choice(["C", "Bb", "F#", "G"]), draw.choice(list(VOICES))]
    elif kind == "trading":
        made["answer"] = [span, ["Voice", "Left hand"], draw.choice([1, 2, 4])]
    else:
        made["answer"] = [[["1", "4"], draw.choice([["Voice"], ["Left hand", "Voice"]])], [["5", "16"], ["Left hand"]]]
    if draw.random() < 0.4:
        made["hint"] = "Listen to the bass"
    if draw.random() < 0.4:
        made["why"] = "Hear how the left hand leads there."
    return made


def random_settings(draw):
    return {
        "excerpt": draw.choice(["song", "waltz"]),
        "steps": [_step(draw) for _ in range(draw.randint(1, 6))],
        "hints": draw.random() < 0.7,
        "tolerance": draw.randint(0, 4),
        "label_weight": draw.choice([0, 0.25, 0.5, 1]),
        "names": draw.choice(NAME_SYSTEMS),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """What is right, in words: a choice by its name, measures and lengths by their numbers."""
    ask, step = item.key["ask"], exercise.settings["steps"][item.key["step"]]
    if ask in ("cadence", "form"):
        return [rf"\b{re.escape(step['answer'])}\b"]
    if ask in ("pedal point", "trading"):
        first, last = step["answer"][0]
        return [rf"\b{first} to {last}\b", rf"(measure|bar) {first}\b"]
    if ask == "returns":
        return [rf"\b{first} to {last}\b" for first, last in step["answer"]]
    if ask == "sections":
        return [rf"\b(measure|bar)s? {start}\b" for start, _ in step["answer"]]
    return [r"\b\d+ (measures|bars)\b"] if ask == "phrase lengths" else []
