"""Kept scores: the same as what was read, never trusted when stale or damaged, and out of the way when unwanted."""

import os
import random
import sys
from pathlib import Path

import pytest
from music21 import corpus

from musictheory_nb.errors import ScoreError
from musictheory_nb.score import load, score_cache
from musictheory_nb.score.load import load_score
from musictheory_nb.score.score_cache import cache_folder
from musictheory_nb.score.score_data import score_bytes, score_from_bytes

CASES = Path(__file__).parent / "cases"
NAMES = [
    "pickup.musicxml",
    "dsvolta.musicxml",
    "midchord.musicxml",
    "midkey.musicxml",
    "gracetup.musicxml",
    "emptypart.musicxml",
]


def contents(score):
    fields = [f for f in score.__dataclass_fields__]
    return {name: getattr(score, name) for name in fields}


def readings(monkeypatch):
    """A list that grows whenever a file is really read."""
    seen = []
    real = load._draft
    monkeypatch.setattr(load, "_draft", lambda data, tune: seen.append(1) or real(data, tune))
    return seen


@pytest.mark.parametrize("name", NAMES)
def test_kept_score_is_the_score(name):
    fresh, kept = load_score(CASES / name), load_score(CASES / name)
    assert contents(fresh) == contents(kept)
    assert kept.play_order == fresh.play_order


def test_real_pieces_and_their_played_order(monkeypatch):
    seen = readings(monkeypatch)
    for name in ("joplin/maple_leaf_rag.mxl", "leadSheet/fosterBrownHair.mxl"):
        fresh, kept = load_score(corpus.getWork(name)), load_score(corpus.getWork(name))
        assert contents(fresh) == contents(kept)
        assert list(fresh.notes) == list(kept.notes)
        assert fresh.played().notes == kept.played().notes
    assert len(seen) == 2


def test_changed_file_is_read_anew(tmp_path, monkeypatch):
    seen = readings(monkeypatch)
    path = tmp_path / "a.musicxml"
    text = (CASES / "pickup.musicxml").read_text(encoding="utf-8")
    path.write_text(text, encoding="utf-8")
    stamp = path.stat()
    assert load_score(path).notes[0].written.name == "D4"
    path.write_text(text.replace("<step>D</step>", "<step>E</step>"), encoding="utf-8")
    os.utime(path, (stamp.st_atime, stamp.st_mtime))  # same name, size and time
    assert load_score(path).notes[0].written.name == "E4"
    assert len(seen) == 2


def test_same_content_under_another_name(tmp_path, monkeypatch):
    seen = readings(monkeypatch)
    load_score(CASES / "pickup.musicxml")
    other = tmp_path / "other name.musicxml"
    other.write_bytes((CASES / "pickup.musicxml").read_bytes())
    assert load_score(other).source == "other name.musicxml"
    assert len(seen) == 1


@pytest.mark.parametrize("seed", range(40))
def test_damaged_kept_score_is_read_anew(seed, monkeypatch):
    fresh = load_score(CASES / "dsvolta.musicxml")
    (kept,) = cache_folder().glob("*.score")
    data = bytearray(kept.read_bytes())
    draw = random.Random(seed)
    if seed % 4 == 0:
        data = data[: draw.randrange(len(data))]
    elif seed % 4 == 1:
        data += b"\0"
    else:
        data[draw.randrange(len(data))] ^= 1 << draw.randrange(8)
    kept.write_bytes(bytes(data))
    seen = readings(monkeypatch)
    again = load_score(CASES / "dsvolta.musicxml")
    assert len(seen) == 1
    assert contents(again) == contents(fresh)
    load_score(CASES / "dsvolta.musicxml")
    assert len(seen) == 1  # the damaged one was replaced


def test_kept_score_of_another_file_or_version_is_not_taken(monkeypatch):
    load_score(CASES / "pickup.musicxml")
    (kept,) = cache_folder().glob("*.score")
    data = kept.read_bytes()
    load_score(CASES / "midkey.musicxml")
    (other,) = [path for path in cache_folder().glob("*.score") if path != kept]
    other.write_bytes(data)
    assert load_score(CASES / "midkey.musicxml").measures[0].metre == "4/4"
    seen = readings(monkeypatch)
    score_cache._readers_version.cache_clear()
    monkeypatch.setattr(score_cache, "_readers_version", lambda: b"another version of the readers")
    load_score(CASES / "pickup.musicxml")
    assert len(seen) == 1


def test_off_switches(monkeypatch, tmp_path):
    monkeypatch.setenv("MUSICTHEORY_NB_CACHE", "off")
    assert cache_folder() is None
    load_score(CASES / "pickup.musicxml")
    monkeypatch.setenv("MUSICTHEORY_NB_CACHE", str(tmp_path / "here"))
    load_score(CASES / "pickup.musicxml", cache=False)
    assert not (tmp_path / "here").exists()
    load_score(CASES / "pickup.musicxml")
    assert len(list((tmp_path / "here").iterdir())) == 1


@pytest.mark.parametrize(
    ("platform", "variables", "expected"),  # the systems' own conventions: XDG base directories, Apple, Microsoft
    [
        ("linux", {"XDG_CACHE_HOME": "/x/cache"}, "/x/cache/musictheory_nb"),
        ("linux", {"HOME": "/home/a", "USERPROFILE": "/home/a"}, "/home/a/.cache/musictheory_nb"),
        ("darwin", {"HOME": "/Users/a", "USERPROFILE": "/Users/a"}, "/Users/a/Library/Caches/musictheory_nb"),
        ("win32", {"LOCALAPPDATA": "/Users/a/Local"}, "/Users/a/Local/musictheory_nb"),
    ],
)
def test_folder_of_each_system(monkeypatch, platform, variables, expected):
    for name in ("MUSICTHEORY_NB_CACHE", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(sys, "platform", platform)
    assert cache_folder() == Path(expected)


def test_folder_that_cannot_be_written_to(monkeypatch, tmp_path):
    (tmp_path / "file").write_bytes(b"")
    monkeypatch.setenv("MUSICTHEORY_NB_CACHE", str(tmp_path / "file" / "below"))
    assert len(load_score(CASES / "pickup.musicxml").notes) == 5


def test_oldest_are_removed(monkeypatch, own_cache_folder):
    monkeypatch.setattr(score_cache, "MAX_KEPT", 4)
    for number in range(8):
        load_score(f"X:{number}\nK:C\n{'C' * (number + 1)}8|\n".encode())
    assert len(list(own_cache_folder.iterdir())) <= 4


def test_nothing_but_numbers_and_text_is_kept():
    """No pickle, nothing that runs: the bytes begin with two lengths, then JSON, then plain columns."""
    score = load_score(CASES / "dsvolta.musicxml")
    data = score_bytes(score)
    assert data[8:9] == b"{"
    assert contents(score_from_bytes(data)) == contents(score)
    for bad in (b"", data[:20], data + b"\0", b"\xff" * 40, data.replace(b'"ticks":4', b'"ticks":0')):
        with pytest.raises(ScoreError, match="kept score"):
            score_from_bytes(bad)
