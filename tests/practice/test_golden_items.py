"""Items drawn for a student stay what they were, on every platform, hash seed and locale."""

import importlib.util
import json
import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

TOOL = Path(__file__).with_name("golden_items.py")


@pytest.fixture(scope="module")
def tool():
    spec = importlib.util.spec_from_file_location("golden_items_tool", TOOL)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_no_pinned_item_has_changed(tool):
    assert tool.changed() == []


def test_enough_is_pinned(tool):
    pinned = json.loads(tool.FILE.read_text(encoding="utf-8"))["items"]
    counts, drawn = Counter(), set()
    for id, rows in pinned.items():
        counts[tool.EXERCISES[id][0]] += len(rows)
        drawn.update(row[2] for row in rows)
    assert counts["interval-by-ear"] >= 200
    assert counts["scale-over-chord"] >= 200
    assert counts["section-marking"] >= 10
    assert len(drawn) > 0.8 * (counts["interval-by-ear"] + counts["scale-over-chord"])


@pytest.mark.parametrize(
    "surroundings",
    [
        {"PYTHONHASHSEED": "1", "LC_ALL": "C"},
        {"PYTHONHASHSEED": "4242", "LC_ALL": "tr_TR.UTF-8", "LANG": "tr_TR.UTF-8", "TZ": "Pacific/Chatham"},
        {"PYTHONHASHSEED": "0", "LC_ALL": "de_DE.ISO-8859-1", "PYTHONUTF8": "0", "PYTHONOPTIMIZE": "2"},
    ],
    ids=lambda each: each["LC_ALL"],
)
def test_items_are_the_same_in_other_surroundings(surroundings, tmp_path):
    done = subprocess.run(
        [sys.executable, str(TOOL)], env={**os.environ, **surroundings}, cwd=tmp_path, capture_output=True, text=True
    )
    assert (done.returncode, done.stdout.strip()) == (0, "golden items unchanged"), done.stderr


@pytest.mark.parametrize("id", ["by-ear", "modes", "form"])
def test_the_check_notices_a_changed_item(tool, tmp_path, id):
    pinned = json.loads(tool.FILE.read_text(encoding="utf-8"))
    pinned["items"][id][0][2] = "sha256:" + "0" * 64
    other = tmp_path / "golden_items.json"
    other.write_text(json.dumps(pinned), encoding="utf-8")
    (line,) = tool.changed(other)
    assert line.startswith(f"{id} seed 1 item 0: was ['sha256:000")
    with pytest.raises(SystemExit, match="Pinned items have changed"):
        tool.write(other)


def test_the_check_notices_an_exercise_that_is_gone_or_not_pinned(tool, tmp_path):
    pinned = json.loads(tool.FILE.read_text(encoding="utf-8"))
    pinned["items"]["gone"] = pinned["items"].pop("form")
    other = tmp_path / "golden_items.json"
    other.write_text(json.dumps(pinned), encoding="utf-8")
    assert tool.changed(other) == [
        "exercise 'gone' is pinned and no longer in EXERCISES",
        "exercise 'form' is not pinned; run with --write",
    ]
