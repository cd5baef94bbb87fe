"""Section marking: settings at random, pinned exercises, and what must not be told."""

FORM = [["1", "A"], ["5", "A"], ["9", "B"], ["13", "A′"]]
MOST_ITEMS = 1

GOLDEN = {
    "form": (1, {"excerpt": "song", "sections": FORM}, 1, [1, 2]),
    "form-with-hints": (
        1,
        {
            "excerpt": "song",
            "sections": FORM,
            "hints": "letters",
            "tolerance": 0,
            "label_weight": 0.25,
            "variants": True,
        },
        1,
        [1],
    ),
    "two-forms": (
        1,
        {"excerpt": ["song", "waltz"], "sections": [FORM, [["0", "A"], ["9", "B"]]], "show_marks": True},
        2,
        [1, 2, 3, 4],
    ),
}


def random_settings(draw):
    starts = sorted(draw.sample(range(2, 17), draw.randint(1, 6)))
    return {
        "excerpt": "song",
        "sections": [["1", "A"], *([str(start), "ABC"[start % 3]] for start in starts)],
        "tolerance": draw.randint(0, 4),
        "label_weight": draw.choice([0, 0.25, 0.3, 0.5, 0.7, 1, 1.0]),
        "variants": draw.random() < 0.5,
        "hints": draw.choice(["none", "number", "letters"]),
        "show_marks": False,
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    assert all(measure.mark == "" for request in item.shown("asked") for measure in request.excerpt.measures)
    rows = exercise.settings["sections"][1:]
    return [rf"\b{number}\b" for number, _ in rows] + [
        rf"\b{letter}\b(?! section)" for _, letter in rows if letter != "A"
    ]
