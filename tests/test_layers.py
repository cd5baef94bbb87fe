"""Imports point one way: a room imports only from rooms above it, without cycles, and heavy libraries load late."""

import ast
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "musictheory_nb"
FILES = sorted(PACKAGE.rglob("*.py"))

#: Room -> the rooms it may import, and the libraries beside the standard one (the design's table).
ROOMS = {
    "errors": (set(), set()),
    "theory": ({"errors", "theory"}, set()),
    "score": ({"errors", "theory", "score"}, {"music21", "numpy"}),
    "instrument": ({"errors", "theory", "instrument"}, set()),
    "practice": ({"errors", "theory", "instrument", "practice"}, set()),
    "media": (
        {"errors", "theory", "score", "practice", "media"},
        {"numpy", "verovio", "matplotlib"},
    ),
    "widgets": (
        {"errors", "theory", "instrument", "practice", "media", "widgets"},
        {"anywidget", "ipywidgets", "traitlets", "IPython", "fsrs"},
    ),
    "classroom": (
        {"errors", "theory", "score", "instrument", "practice", "media", "classroom"},
        {"nbformat", "nbclient", "jupyter_client", "distributed"},
    ),
    "cli": (
        {"errors", "theory", "score", "instrument", "practice", "media", "widgets", "classroom"},
        {"typer", "rich"},
    ),
    "__main__": ({"cli"}, set()),
    "__init__": (
        {"errors", "theory", "score", "instrument", "practice", "media", "widgets", "classroom"},
        set(),
    ),
}
#: Rooms in which a heavy library may be imported inside a function.
LATE = {"score", "media", "widgets", "classroom", "cli"}
HEAVY = {
    "music21", "numpy", "verovio", "matplotlib", "nbformat", "nbclient", "jupyter_client", "anywidget", "ipywidgets",
    "IPython", "jupyterlab", "distributed",
}  # fmt: skip


def room_of(path: Path) -> str:
    inside = path.relative_to(PACKAGE)
    return inside.parts[0] if len(inside.parts) > 1 else inside.stem


def module_of(path: Path) -> str:
    parts = ("musictheory_nb", *path.relative_to(PACKAGE).with_suffix("").parts)
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(path: Path) -> list[tuple[str, bool]]:
    """(module, whether it stands inside a function) of every import in a file."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside = {
        id(child)
        for outer in ast.walk(tree)
        if isinstance(outer, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda)
        for child in ast.walk(outer)
    }
    found = []
    for node in ast.walk(tree):
        late = id(node) in inside
        if isinstance(node, ast.Import):
            found += [(alias.name, late) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: write imports in full"
            found.append((node.module, late))
            found += [(f"{node.module}.{alias.name}", late) for alias in node.names]
    return found


def test_there_are_files_to_look_at():
    assert len(FILES) > 30
    assert {room_of(path) for path in FILES} <= set(ROOMS)


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_file_imports_only_what_its_room_may(path):
    room = room_of(path)
    rooms, libraries = ROOMS[room]
    for module, late in imports_of(path):
        top = module.split(".")[0]
        if top == "musictheory_nb":
            other = [*module.split("."), "__init__"][1]
            if other in ROOMS:
                assert other in rooms or other == room, f"{path.name} ({room}) imports {module}"
            assert not late or room == "cli", f"{path.name} imports {module} inside a function"
        elif top not in sys.stdlib_module_names:
            assert top in libraries, f"{path.name} ({room}) imports {top}"
            assert not late or (room in LATE and top in HEAVY), f"{path.name} imports {top} inside a function"


def test_no_cycle():
    names = {module_of(path): path for path in FILES}
    graph = {
        name: {module for module, _ in imports_of(path) if module in names and module != name}
        for name, path in names.items()
        if path.name != "__init__.py" or path.parent != PACKAGE
    }
    done: set[str] = set()

    def visit(name: str, trail: tuple[str, ...]) -> None:
        assert name not in trail, " -> ".join((*trail, name))
        if name not in done:
            for other in sorted(graph.get(name, ())):
                visit(other, (*trail, name))
            done.add(name)

    for name in graph:
        visit(name, ())


def test_no_catch_all_module():
    assert not {path.stem for path in FILES} & {"utils", "util", "helpers", "common", "base", "globals", "misc"}
