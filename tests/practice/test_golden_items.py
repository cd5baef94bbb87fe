"""Items drawn for a student stay what they were, on every platform, hash seed and locale."""

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

#: Items pinned of a family, at least; fewer of one whose exercise is a single item.
MANY_PINNED, FEW_PINNED = 200, 10
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
    """Of each family, and nothing but families; where few items can be made, the pinned ones are all different."""
    for kind, version in tool.FAMILIES:
        pinned = tool.pinned_items(kind, version)
        rows = [row for items in pinned.values() for row in items]
        drawn = {row[2] for row in rows}
        module = tool.settings_of(kind)
        few = getattr(module, "MOST_ITEMS", MANY_PINNED) == 1 or getattr(module, "LISTED", False)
        least = FEW_PINNED if few else MANY_PINNED
        assert len(rows) >= least, kind
        assert len(drawn) > (0.8 * len(rows) if least == MANY_PINNED else 1), kind
    known = {tool.file_of(kind, version).name for kind, version in tool.FAMILIES}
    assert {path.name for path in tool.FOLDER.glob("*.json")} == known


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


@pytest.mark.parametrize(
    ("kind", "id"), [("interval-by-ear", "by-ear"), ("scale-over-chord", "modes"), ("section-marking", "form")]
)
def test_the_check_notices_a_changed_item(tool, tmp_path, kind, id):
    pinned = tool.pinned_items(kind, 1)
    pinned[id][0][2] = "sha256:" + "0" * 64
    tool.file_of(kind, 1, tmp_path).write_text(json.dumps(pinned), encoding="utf-8")
    (line,) = tool.changed_of(kind, 1, tmp_path)
    assert line.startswith(f"{id} seed 1 item 0: was ['sha256:000")
    with pytest.raises(SystemExit, match="Pinned items have changed"):
        tool.write(kind, 1, tmp_path)


def test_the_check_notices_an_exercise_that_is_gone_or_not_pinned(tool, tmp_path):
    pinned = tool.pinned_items("section-marking", 1)
    pinned["gone"] = pinned.pop("form")
    tool.file_of("section-marking", 1, tmp_path).write_text(json.dumps(pinned), encoding="utf-8")
    assert tool.changed_of("section-marking", 1, tmp_path) == [
        "exercise 'gone' of section-marking is pinned and no longer in GOLDEN",
        "exercise 'form' of section-marking is not pinned; run with --write section-marking",
    ]


def test_what_is_written_is_what_is_pinned(tool, tmp_path):
    tool.write("section-marking", 1, tmp_path)
    assert tool.pinned_items("section-marking", 1, tmp_path) == tool.pinned_items("section-marking", 1)
