"""Lines over changes: settings at random, pinned exercises, and what must not be told."""

from musictheory_nb.practice.line_criteria import CRITERIA

CHANGES = [
    "Dm7 | G7 | Cmaj7 | %",
    "Am7b5 | D7 | Gm6 | %",
    "Ebmaj7 Cm7 | Fm7 Bb7 | Ebmaj7",
    "F7 | Bb7 | F7 | % | Bb7 | % | F7 | D7",
    "Dm7 / / Db7 | Cmaj7",
]
GOLDEN = {
    "write-lines": (1, {}, 60, [1]),
    "bass-lines": (1, {"criteria": list(CRITERIA), "transposition": "bass guitar", "up": ["P1", "P4", "-M2"]}, 60, [2]),
    "half-steps": (1, {"approach_by": "half step", "strong": "chord changes", "transposition": "clarinet"}, 60, [3]),
    "stated-scale": (1, {"changes": ["Dm7 | G7 | Cmaj7 | %"], "scales": ["C major"], "key": "C major"}, 20, [4]),
    "over-a-piece": (1, {"excerpt": "changes", "first": "3", "last": "6"}, 20, [5]),
}


def random_settings(draw):
    metre = draw.choice(["4/4", "4/4", "4/4", "3/4", "6/8", "5/4", "12/8"])
    changes = draw.sample(CHANGES, draw.randint(1, 3)) if metre == "4/4" else draw.sample(CHANGES[:2], 1)
    strings = draw.random() < 0.4
    return {
        "changes": changes,
        "excerpt": "changes" if draw.random() < 0.1 else "",
        "first": "3",
        "last": draw.choice(["4", "6", "8"]),
        "up": draw.choice([["P1"], ["P1", "P4", "-M2"], ["m2", "A4"]]),
        "metre": metre,
        "key": draw.choice(["", "", "C major", "G minor"]),
        "criteria": draw.sample([name for name in CRITERIA if strings or name != "playable"], draw.randint(1, 6)),
        "strong": draw.choice(["chord changes", "strong beats", "every beat"]),
        "approach_by": draw.choice(["half step", "step", "step"]),
        "scales": draw.choice([[], [], [], ["C major"]]),
        "inputs": draw.choice([["staff"], ["keys"], ["staff", "keys"]]),
        "tempo": draw.choice([40, 72, 120]),
        "partial": draw.random() < 0.8,
        "transposition": draw.choice(["bass guitar", "double bass", "violin", "guitar"])
        if strings
        else draw.choice(["", "", "Bb3", "alto saxophone", "trombone"]),
        "timbre": draw.choice(["struck", "plucked"]),
        "names": draw.choice(["english", "english", "german", "fixed-do"]),
    }


def forbidden(exercise, item):
    """There is not one right line; what counts and the changes are told."""
    return [r"\bmodel\b"]
