"""Exercises of every family at settings taken at random, and answers to them: what the laws of all families are tried on.

``settings_of/<kind>.py`` (hyphens written as underscores) says all that is peculiar to one family:

``random_settings(draw)``
    settings at random, from a `random.Random`; combinations that the family refuses are drawn again
``GOLDEN``
    the exercises whose items are pinned: id -> (version, settings, count, seeds). Only add; what stands there is pinned
``forbidden(exercise, item)``
    regular expressions that nothing shown before the answer may match
``MOST_ITEMS`` (optional)
    the largest count that goes with those settings; 30 without it
``LISTED`` (optional)
    True where items come from a list that the teacher writes, or there is little to ask about, so that few of them are
    different
``TWIN`` (optional)
    False where an item has no sound and no notation, so that it needs no twin
``SOLUTION`` (optional)
    False where no answer is the right one (a free response)
"""

import importlib
import json
import random
import sys
from pathlib import Path

from musictheory_nb.errors import AnswerError, ExerciseError
from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise

HERE = Path(__file__).parent
if str(HERE) not in sys.path:
    sys.path.insert(0, str(HERE))

#: Inputs whose value is one thing: a solution lists all that are right. Other inputs have a list, and the solution is it.
SCALAR = ("ChoiceInput", "SymbolInput", "NumberInput", "TextInput")
MOST_ITEMS = 30
#: Strings beside the piano keys, in a part of all exercises.
FINGERBOARDS = ("", "", "", "", "bass guitar", "ukulele", "violin", "5-string banjo", "D1 A1 D2 G2")


def settings_of(kind):
    """The module of a family, or None while there is none."""
    try:
        return importlib.import_module(f"settings_of.{kind.replace('-', '_')}")
    except ModuleNotFoundError as error:
        if error.name and error.name.startswith("settings_of"):
            return None
        raise


def frozen_excerpts():
    """The music that the families are tried on, by name: each a file of ``golden/excerpts``."""
    files = sorted((HERE / "golden" / "excerpts").glob("*.json"))
    return {file.stem: Excerpt.from_data(json.loads(file.read_text(encoding="utf-8"))) for file in files}


def named(settings, excerpts):
    """The excerpts that settings name."""
    wanted = settings.get("excerpt") or []
    return {name: excerpts[name] for name in ([wanted] if isinstance(wanted, str) else wanted)}


def random_exercise(kind, version, draw, excerpts):
    """An exercise at settings taken at random, and how many settings were refused before."""
    module = settings_of(kind)
    for refused in range(200):
        chosen = module.random_settings(draw)
        chosen["fingerboard"] = random.Random(repr(chosen)).choice(FINGERBOARDS)
        count = draw.randint(1, getattr(module, "MOST_ITEMS", MOST_ITEMS))
        try:
            exercise = Exercise(
                "one", kind, chosen, count=count, version=version, lesson="demo", excerpts=named(chosen, excerpts)
            )
            exercise.item(0, count - 1)
        except ExerciseError:  # settings that do not go together are refused in words, and tested where the family is
            continue
        return exercise, refused
    raise AssertionError(f"{kind}: 200 settings in a row were refused")


def is_scalar(entry):
    return type(entry).__name__ in SCALAR and not getattr(entry, "many", False)


def right_values(item, step, entry):
    """All values of an input that the item shows as right; none where it shows none."""
    right = item.solution.get(step.id, {}).get(entry.id)
    if right is None:
        return []
    return list(right) if is_scalar(entry) else [list(right)]


def right_answers(item):
    """Right answers by every input, and by every value of an input that is shown as right."""
    steps = item.response.steps
    ways = {
        step.id: [(entry.id, value) for entry in step.inputs for value in right_values(item, step, entry)]
        for step in steps
    }
    if not all(ways.values()):
        return []
    found = []
    for which in range(max(len(each) for each in ways.values())):
        chosen = {step: each[min(which, len(each) - 1)] for step, each in ways.items()}
        found.append({step: {name: value} for step, (name, value) in chosen.items()})
    return found


def neighbouring_answers(item):
    """Answers that differ from a right one by one choice, and so are not right."""
    if not (right := right_answers(item)):
        return
    for step in item.response.steps:
        for entry in step.inputs:
            if type(entry).__name__ != "ChoiceInput" or not (values := right_values(item, step, entry)):
                continue
            for option in entry.options:
                if not entry.many:
                    if option.value not in values:
                        yield right[0] | {step.id: {entry.id: option.value}}
                    continue
                other = [value for value in values[0] if value != option.value]
                other = [*values[0], option.value] if len(other) == len(values[0]) else other
                if other:
                    yield right[0] | {step.id: {entry.id: other}}


def _staff_rows(draw, entry, count):
    letters = "CDEFGAB"
    if entry.lowest and entry.lowest == entry.highest:  # a staff of one line: only lengths are asked
        return [[draw.choice([[entry.lowest]] * 3 + [[]]), draw.choice(["1/2", "1"]), False] for _ in range(count)]
    return [
        [[draw.choice(letters) + draw.choice(["", "", "#", "b"]) + str(draw.randint(2, 5))], "1", False]
        for _ in range(count)
    ]


def _random_value(draw, entry):
    """A value of the right shape, most likely wrong; None where none can be made up."""
    kind = type(entry).__name__
    if kind == "ChoiceInput":
        values = [option.value for option in entry.options]
        return draw.sample(values, draw.randint(1, len(values))) if entry.many else draw.choice(values)
    if kind == "KeysInput":
        return [draw.randint(entry.low, entry.high) for _ in range(entry.count)]
    if kind == "SectionsInput":
        inner = sorted(draw.sample(range(1, len(entry.measures)), draw.randint(0, len(entry.measures) - 1)))
        return [[start, draw.choice(["A", "b", "C′", "X 2"])] for start in [0, *inner]]
    if kind == "StaffInput":
        return _staff_rows(draw, entry, draw.randint(1, 4))
    if kind == "RhythmInput":
        return sorted(draw.sample(range(0, 8000), draw.randint(1, 10)))
    if kind == "FingerboardInput":
        return [[draw.randrange(len(entry.tuning)), draw.randint(0, entry.frets)] for _ in range(entry.count)]
    if kind == "SymbolInput":
        texts = {
            "chord": ["C", "F#m7b5", "Bb7/D", "Ebmaj7", "Gsus4", "Adim7"],
            "numeral": ["I", "V7", "ii6", "vii°7", "IV"],
            "figures": ["6", "6/4", "7", "4 2", "5"],
            "scale": ["C major", "D Dorian", "Bb harmonic minor", "F# Locrian"],
            "pitches": ["C E G", "D F# A C", "Bb", "C D E F G A B"],
            "chords": ["C", "F#m7b5 G", "Bb7/D / Eb"],
            "numerals": ["I", "V7 I", "ii6 / V"],
            "interval": ["m3", "P5", "A4", "d5", "M7"],
        }
        return draw.choice(texts[entry.reads])
    if kind == "RolesInput":
        return [draw.choice([option.value for option in entry.roles]) for _ in entry.notes]
    if kind == "MeasuresInput":
        last = len(entry.measures) - 1
        return [
            sorted([draw.randint(0, last), draw.randint(0, last)]) for _ in range(entry.spans or draw.randint(1, 3))
        ]
    if kind == "NumberInput":
        return draw.randint(entry.low, entry.high)
    if kind == "TextInput":
        return draw.choice(["It returns.", "A cadence in G.", "I do not know."])
    if kind == "SungInput":
        return [round(draw.uniform(40, 84), 2) for _ in range(entry.count)]
    raise AssertionError(f"{kind}: no way of answering at random is known; add one to tests/practice/family_sample.py")


def random_answer(draw, item):
    """A checked answer at random; None where a value that was made up is refused."""
    answer = {}
    for step in item.response.steps:
        entry = draw.choice(step.inputs)
        answer[step.id] = {entry.id: _random_value(draw, entry)}
    try:
        return item.response.check(answer)
    except AnswerError:
        return None
