"""What the tests of this room share: their own cache folder."""

import sys
from pathlib import Path

import pytest

# The modules beside this file are for tests only, in no package; pytest's importlib mode adds no path by itself.
sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(autouse=True)
def own_cache_folder(tmp_path, monkeypatch):
    """No test touches the cache folder of whoever runs it."""
    monkeypatch.setenv("MUSICTHEORY_NB_CACHE", str(tmp_path / "kept scores"))
    return tmp_path / "kept scores"
