"""Items that must never change: what they are, and the tool that checks them.

``golden/<kind>-<version>.json`` pins items of a family: their keys in plain sight, and a digest of key, music and answers
to choose from. (Words may be improved: prompts, labels and explanations are not pinned.) Which exercises are pinned says
``settings_of/<kind>.py`` in its table ``GOLDEN``, with the music of ``golden/excerpts``. Students' answers are marked
against items that are drawn again, so an item that changes makes marks of work already handed in wrong. If the check
fails, the code is wrong, not the file: undo the change, or give the family's next version its own object and leave this
one as it was.

    python tests/practice/golden_items.py                 check the files; exit status 1 if an item changed
    python tests/practice/golden_items.py --write [KIND]  pin exercises that are new in GOLDEN (never changes old ones)
"""

import importlib.util
import json
import sys
from pathlib import Path

if importlib.util.find_spec("family_sample") is None:
    sys.path.insert(0, str(Path(__file__).parent))

from family_sample import frozen_excerpts, named, settings_of

from musictheory_nb.practice.exercise import Exercise
from musictheory_nb.practice.families import FAMILIES
from musictheory_nb.practice.plain_data import digest, thawed

FOLDER = Path(__file__).with_name("golden")


def file_of(kind, version, folder=FOLDER):
    """The file that pins one version of one family."""
    return folder / f"{kind}-{version}.json"


def golden(kind, version):
    """The exercises of a family that are pinned: id -> (settings, count, seeds)."""
    module = settings_of(kind)
    rows = {} if module is None else module.GOLDEN
    return {id: rest for id, (of_version, *rest) in rows.items() if of_version == version}


def _drawn(item):
    """What of an item may not change: the music, the answers to choose from and their order, the key."""
    data = item.to_data()
    for request in data["media"]:
        del request["label"]
    steps = [[step["id"], [_without_words(entry) for entry in step["inputs"]]] for step in data["response"]["steps"]]
    return {"media": data["media"], "steps": steps, "key": data["key"]}


def _without_words(entry):
    return entry | {"options": [option["value"] for option in entry["options"]]} if "options" in entry else entry


def _items(kind, version, id, excerpts):
    """One row for each item: seed, index, digest of what was drawn, key."""
    settings, count, seeds = golden(kind, version)[id]
    chosen = named(settings, excerpts)
    exercise = Exercise(id, kind, settings, count=count, version=version, lesson="golden", excerpts=chosen)
    rows = []
    for seed in seeds:
        for index in range(count):
            item = exercise.item(seed, index)
            rows.append([seed, index, digest(_drawn(item)), thawed(item.key)])
    return rows


def pinned_items(kind, version, folder=FOLDER):
    """What a file pins: id -> rows."""
    path = file_of(kind, version, folder)
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else {}


def changed_of(kind, version, folder=FOLDER):
    """Return what differs from the file of one family, a line each; nothing if all is well."""
    excerpts, pinned, exercises = frozen_excerpts(), pinned_items(kind, version, folder), golden(kind, version)
    if not exercises:
        return [f"{kind} version {version}: nothing is pinned; give settings_of/{kind}.py a table GOLDEN"]
    found = [f"exercise {id!r} of {kind} is pinned and no longer in GOLDEN" for id in pinned if id not in exercises]
    for id in exercises:
        if id not in pinned:
            found.append(f"exercise {id!r} of {kind} is not pinned; run with --write {kind}")
            continue
        rows = _items(kind, version, id, excerpts)
        for now, before in zip(rows, pinned[id], strict=False):
            if now != before:
                found.append(f"{id} seed {before[0]} item {before[1]}: was {before[2:]}, is {now[2:]}")
        if len(rows) != len(pinned[id]):
            found.append(f"{id}: another number of items than pinned")
    return found


def changed(folder=FOLDER):
    """Return what differs in any family."""
    return [line for kind, version in FAMILIES for line in changed_of(kind, version, folder)]


def write(kind, version, folder=FOLDER):
    """Pin what is new of a family; refuse if anything pinned has changed."""
    if broken := [line for line in changed_of(kind, version, folder) if "--write" not in line]:
        raise SystemExit(
            "\n".join([*broken, "Pinned items have changed: marks of work already handed in would be wrong."])
        )
    pinned, excerpts = pinned_items(kind, version, folder), frozen_excerpts()
    for id in golden(kind, version):
        if id not in pinned:
            pinned[id] = _items(kind, version, id, excerpts)
    text = ",\n".join(
        f" {json.dumps(id)}: [\n"
        + ",\n".join("  " + json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in rows)
        + "\n ]"
        for id, rows in pinned.items()
    )
    file_of(kind, version, folder).write_text("{\n" + text + "\n}\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--write"] and len(sys.argv) <= 3:
        wanted = sys.argv[2:] or list(dict.fromkeys(kind for kind, _ in FAMILIES))
        for kind, version in FAMILIES:
            if kind in wanted:
                write(kind, version)
    elif sys.argv[1:]:
        raise SystemExit(__doc__)
    if lines := changed():
        raise SystemExit("\n".join(lines))
    print("golden items unchanged")
