"""Order of the tests: random, except that the cells of a notebook run in their order."""

import pytest


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put the cells of each notebook back into their order, after any shuffling."""
    places: dict[str, list[int]] = {}
    for at, item in enumerate(items):
        if hasattr(item, "cell_num"):
            places.setdefault(str(item.path), []).append(at)
    spots = [at for indices in places.values() for at in indices]
    cells = [
        items[at]
        for indices in places.values()
        for at in sorted(indices, key=lambda each: items[each].cell_num)  # type: ignore[attr-defined]
    ]
    for at, cell in zip(sorted(spots), cells, strict=True):
        items[at] = cell
