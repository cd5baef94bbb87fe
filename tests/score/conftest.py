"""What the tests of this room share: their own cache folder, and the long runs only on request."""

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


def pytest_collection_modifyitems(config, items):
    """Leave out the long runs unless ``-m full`` asks for them."""
    if "full" in (config.option.markexpr or ""):
        return
    here = Path(__file__).parent
    long = [item for item in items if item.get_closest_marker("full") and here in Path(item.path).parents]
    if long:
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if item not in long]
