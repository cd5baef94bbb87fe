"""Notes on the staff: settings at random, pinned exercises, and what must not be told."""

from settings_of.interval_by_sight import display

from musictheory_nb.practice.note_reading import ACCIDENTALS, INPUTS

GOLDEN = {
    "name": (1, {}, 50, [1, 2]),
    "name-in-bass": (1, {"clef": "bass", "accidentals": ["natural"]}, 30, [3]),
    "name-for-viola": (1, {"transposition": "viola", "names": "german"}, 30, [4]),
    "write": (1, {"ask": "note", "accidentals": list(ACCIDENTALS)}, 40, [5, 6]),
    "write-low": (1, {"ask": "note", "clef": "bass", "names": "fixed-do"}, 40, [7]),
}

#: A staff has few notes, so that two students often meet the same.
LISTED = True


def random_settings(draw):
    ask = draw.choice(["name", "note"])
    fitting = {"name": ["buttons", "text", "keys"], "note": ["staff", "keys"]}[ask]
    return {
        "ask": ask,
        "accidentals": draw.sample(ACCIDENTALS, draw.randint(1, len(ACCIDENTALS))),
        "inputs": draw.choice([list(INPUTS), [draw.choice(fitting)]]),
        **display(draw),
    }


def forbidden(exercise, item):
    """The name is asked for: where it is, no name stands in what is seen or read."""
    is_told = exercise.settings.get("ask", "name") == "note" or exercise.settings.get("transposition")
    return [] if is_told else [r"\b[A-H][♯♭𝄪𝄫]*\d\b"]
