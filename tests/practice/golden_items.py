"""Items that must never change: what they are, and the tool that checks them.

``golden_items.json`` pins items of every family and version: their keys in plain sight, and a digest of key, music and
answers to choose from. (Words may be improved: prompts, labels and explanations are not pinned.) Students' answers are
marked against items that are drawn again, so an item that changes makes marks of work already handed in wrong. If the check fails, the code is wrong, not the file: undo the change, or give the
family's next version its own object and leave this one as it was.

    python tests/practice/golden_items.py            check the file; exit status 1 if an item changed
    python tests/practice/golden_items.py --write    pin exercises that are new in EXERCISES (never changes old ones)
"""

import json
import sys
from pathlib import Path

from musictheory_nb.practice.excerpt import Excerpt
from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.interval_choice import INTERVALS
from musictheory_nb.practice.plain_data import digest, thawed

FILE = Path(__file__).with_name("golden_items.json")
FORM = [["1", "A"], ["5", "A"], ["9", "B"], ["13", "A′"]]

#: id -> (kind, version, settings, count, seeds). Only add; what stands here is pinned.
EXERCISES = {
    "by-ear": ("interval-by-ear", 1, {}, 26, [1, 2, 3]),
    "seen": ("interval-by-ear", 1, {"present": "notation"}, 13, [1, 2**53]),
    "both-in-bass": ("interval-by-ear", 1, {"present": "both", "low": "E2", "high": "G4", "timbre": "held"}, 13, [4, 5]),
    "every-interval": (
        "interval-by-ear", 1, {"intervals": list(INTERVALS), "low": "C2", "high": "C7", "directions": ["up", "down"]}, 49, [6],
    ),
    "tritones-by-keys": ("interval-by-ear", 1, {"intervals": ["A4", "d5"], "inputs": ["keys"], "partial": False}, 8, [7]),
    "in-a-song": ("interval-by-ear", 1, {"excerpt": "song", "intervals": ["m2", "m3", "M3", "P4", "A4", "P5"]}, 13, [8, 9]),
    "modes": ("scale-over-chord", 1, {}, 35, [1, 2]),
    "dominants": ("scale-over-chord", 1, {"level": "dominants", "offered": 6}, 35, [3, 4]),
    "altered": ("scale-over-chord", 1, {"level": "altered", "roots": ["C", "F", "Bb", "Eb"], "offered": 8}, 28, [5, 6]),
    "own-chords": (
        "scale-over-chord", 1, {"chords": ["Cmaj7", "F#m7b5", "Em7 in C major", "G7alt"], "ask": ["scales"]}, 12, [7],
    ),
    "form": ("section-marking", 1, {"excerpt": "song", "sections": FORM}, 1, [1, 2]),
    "form-with-hints": (
        "section-marking", 1,
        {"excerpt": "song", "sections": FORM, "hints": "letters", "tolerance": 0, "label_weight": 0.25, "variants": True}, 1, [1],
    ),
    "two-forms": (
        "section-marking", 1,
        {"excerpt": ["song", "waltz"], "sections": [FORM, [["0", "A"], ["9", "B"]]], "show_marks": True}, 2, [1, 2, 3, 4],
    ),
}  # fmt: skip


def _excerpts(pinned):
    return {name: Excerpt.from_data(data) for name, data in pinned["excerpts"].items()}


def _drawn(item):
    """What of an item may not change: the music, the answers to choose from and their order, the key."""
    data = item.to_data()
    for request in data["media"]:
        del request["label"]
    steps = [[step["id"], [_without_words(entry) for entry in step["inputs"]]] for step in data["response"]["steps"]]
    return {"media": data["media"], "steps": steps, "key": data["key"]}


def _without_words(entry):
    return entry | {"options": [option["value"] for option in entry["options"]]} if "options" in entry else entry


def _items(id, excerpts):
    """One row for each item: seed, index, digest of what was drawn, key."""
    kind, version, settings, count, seeds = EXERCISES[id]
    named = settings.get("excerpt") or []
    chosen = {name: excerpts[name] for name in ([named] if isinstance(named, str) else named)}
    exercise = Exercise(id, kind, settings, count=count, version=version, lesson="golden", excerpts=chosen)
    rows = []
    for seed in seeds:
        for index in range(count):
            item = exercise.item(seed, index)
            rows.append([seed, index, digest(_drawn(item)), thawed(item.key)])
    return rows


def changed(path=FILE):
    """Return what differs from the file, a line each; nothing if all is well."""
    pinned = json.loads(path.read_text(encoding="utf-8"))
    excerpts = _excerpts(pinned)
    found = [f"exercise {id!r} is pinned and no longer in EXERCISES" for id in pinned["items"] if id not in EXERCISES]
    for id in EXERCISES:
        if id not in pinned["items"]:
            found.append(f"exercise {id!r} is not pinned; run with --write")
            continue
        for now, before in zip(_items(id, excerpts), pinned["items"][id], strict=False):
            if now != before:
                found.append(f"{id} seed {before[0]} item {before[1]}: was {before[2:]}, is {now[2:]}")
        if len(_items(id, excerpts)) != len(pinned["items"][id]):
            found.append(f"{id}: another number of items than pinned")
    return found


def write(path=FILE):
    """Pin what is new; refuse if anything pinned has changed."""
    pinned = json.loads(path.read_text(encoding="utf-8"))
    if broken := [line for line in changed(path) if "--write" not in line]:
        raise SystemExit(
            "\n".join([*broken, "Pinned items have changed: marks of work already handed in would be wrong."])
        )
    excerpts = _excerpts(pinned)
    for id in EXERCISES:
        if id not in pinned["items"]:
            pinned["items"][id] = _items(id, excerpts)
    rows = [
        f"  {json.dumps(id)}: [\n"
        + ",\n".join("   " + json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in items)
        + "\n  ]"
        for id, items in pinned["items"].items()
    ]
    excerpt_rows = [
        f"  {json.dumps(name)}: {json.dumps(data, ensure_ascii=False, separators=(',', ':'))}"
        for name, data in pinned["excerpts"].items()
    ]
    text = '{\n "excerpts": {\n' + ",\n".join(excerpt_rows) + '\n },\n "items": {\n' + ",\n".join(rows) + "\n }\n}\n"
    path.write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    if sys.argv[1:] == ["--write"]:
        write()
    elif sys.argv[1:]:
        raise SystemExit(__doc__)
    if lines := changed():
        raise SystemExit("\n".join(lines))
    print("golden items unchanged")
