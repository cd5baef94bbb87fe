"""Free response: settings at random, pinned exercises, and what must not be told."""

QUESTIONS = [
    "Why does the bridge sound restless?",
    ["What changes when the first part comes back", "the left hand stays, and the tune ends on C"],
    "Describe how the tune and the left hand share the work.",
    "Where would you breathe, and why?",
]
RUBRIC = [["argument", 4, "names measures and says what happens in them"], ["terms", 2]]
MOST_ITEMS = len(QUESTIONS)
SOLUTION = False
LISTED = True

GOLDEN = {
    "essay": (1, {"questions": QUESTIONS, "rubric": RUBRIC}, 4, [1, 2, 3, 5]),
    "essay-on-a-song": (
        1, {"questions": QUESTIONS, "rubric": RUBRIC, "excerpt": "song", "measures": ["9", "12"], "most": 500}, 2, [4],
    ),
}  # fmt: skip


def random_settings(draw):
    excerpt = draw.choice(["", "song", "chorale"])
    return {
        "questions": draw.sample(QUESTIONS, draw.randint(1, 4)),
        "rubric": draw.choice([RUBRIC, [["clear", 1]], [["what", 2.5], ["where", 2, "the measure"], ["why", 3]]]),
        "excerpt": excerpt,
        "measures": draw.choice([[], ["1", "4"], [2, 3]]) if excerpt else [],
        "most": draw.choice([50, 500, 2000]),
        "lines": draw.randint(1, 40),
        "words": draw.choice(["american", "british"]),
    }


def forbidden(exercise, item):
    """The good answer, where there is one, is shown only when the student has answered."""
    return [item.key["good"]] if "good" in item.key else []
