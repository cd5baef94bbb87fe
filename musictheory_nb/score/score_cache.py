r"""Scores that were read once, kept in the user's cache folder and found again by their content.

Where: ``~/.cache/musictheory_nb`` (or ``$XDG_CACHE_HOME``) on Linux, ``~/Library/Caches/musictheory_nb`` on macOS,
``%LOCALAPPDATA%\musictheory_nb`` on Windows. The environment variable ``MUSICTHEORY_NB_CACHE`` names another folder,
or switches the cache off with ``off``.

A kept score is found by the SHA-256 of the file's bytes, so a changed file is read anew. It is used only if its
own checksum is right, and if it was written by this very version of the readers; else it is as if it were not there.
The oldest are removed when there are more than `MAX_KEPT`. A folder that cannot be written to is no error.
"""

import contextlib
import hashlib
import os
import sys
import tempfile
from dataclasses import replace
from functools import lru_cache
from pathlib import Path
from typing import Final

from musictheory_nb.errors import ScoreError
from musictheory_nb.score.piece import Piece
from musictheory_nb.score.plain_file import plain_content
from musictheory_nb.score.score import Score
from musictheory_nb.score.score_data import score_bytes, score_from_bytes

#: Environment variable that names the folder, or ``off``.
VARIABLE: Final = "MUSICTHEORY_NB_CACHE"
#: Most scores that are kept, and the largest of them in bytes.
MAX_KEPT: Final = 1_000
MAX_BYTES: Final = 50_000_000
_MAGIC: Final = b"musictheory_nb kept score 1\n"
_SUFFIX: Final = ".score"


def cache_folder() -> Path | None:
    """Return the folder in which scores are kept; None if the cache is switched off."""
    named = os.environ.get(VARIABLE, "").strip()
    if named.lower() in ("off", "no", "0", "false"):
        return None
    if named:
        return Path(named)
    try:
        if sys.platform == "win32":
            base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
        elif sys.platform == "darwin":
            base = Path.home() / "Library" / "Caches"
        else:
            base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    except RuntimeError:
        return None  # no home folder
    return base / "musictheory_nb"


@lru_cache(maxsize=1)
def _readers_version() -> bytes:
    """Return 32 bytes that differ whenever a file of the readers was changed or the package was installed anew."""
    seen = [sys.version]
    for folder in (Path(__file__).parent, Path(__file__).parent.parent / "theory"):
        for entry in os.scandir(folder):
            if entry.name.endswith(".py"):
                status = entry.stat()
                seen.append(f"{entry.name} {status.st_size} {status.st_mtime_ns}")
    return hashlib.sha256("\n".join(sorted(seen)).encode()).digest()


def cached_score(key: str, source: str) -> Piece | None:
    """Return the score kept under `key` with `source` as its file name; None if there is none that can be trusted."""
    folder = cache_folder()
    if folder is None:
        return None
    try:
        data = plain_content(os.path.join(folder, key + _SUFFIX), MAX_BYTES)
    except OSError:
        return None
    head = len(_MAGIC)
    if data[:head] != _MAGIC or len(data) > MAX_BYTES:
        return None
    stated, payload = data[head : head + 32], data[head + 32 :]
    if _checksum(key, payload) != stated:
        return None
    try:
        score = score_from_bytes(payload)
    except ScoreError:
        return None
    return score if score.source == source else replace(score, source=source)


def keep_score(key: str, score: Score) -> None:
    """Keep a score under `key`, whole or not at all; a folder that cannot be written to is passed over."""
    folder = cache_folder()
    if folder is None:
        return
    payload = score_bytes(score)
    data = _MAGIC + _checksum(key, payload) + payload
    if len(data) > MAX_BYTES:
        return
    with contextlib.suppress(OSError):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        _remove_oldest(folder)
        descriptor, temporary = tempfile.mkstemp(suffix=".part", dir=folder)
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(data)
            os.replace(temporary, folder / (key + _SUFFIX))
        except OSError:
            with contextlib.suppress(OSError):
                os.unlink(temporary)


def _checksum(key: str, payload: bytes) -> bytes:
    """Return the checksum over what is kept, for which content, and by which version of the readers."""
    return hashlib.sha256(_readers_version() + key.encode() + b"\0" + payload).digest()


def _remove_oldest(folder: Path) -> None:
    kept = [entry for entry in os.scandir(folder) if entry.name.endswith((_SUFFIX, ".part"))]
    if len(kept) < MAX_KEPT:
        return
    kept.sort(key=lambda entry: entry.stat(follow_symlinks=False).st_mtime)
    for entry in kept[: len(kept) - MAX_KEPT * 3 // 4]:
        with contextlib.suppress(OSError):
            os.unlink(entry.path)
