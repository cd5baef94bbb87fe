"""Which tests run, and in what order: long runs on request only; at random, but the cells of a notebook in their order."""

import pytest


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the long runs unless ``-m full`` asks for them; put the cells of each notebook back into their order."""
    if "full" not in (config.option.markexpr or ""):
        _leave_out_long_runs(config, items)
    _put_cells_in_order(items)


def _leave_out_long_runs(config: pytest.Config, items: list[pytest.Item]) -> None:
    long = [item for item in items if item.get_closest_marker("full")]
    if long:
        config.hook.pytest_deselected(items=long)
        items[:] = [item for item in items if not item.get_closest_marker("full")]


def _put_cells_in_order(items: list[pytest.Item]) -> None:
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
