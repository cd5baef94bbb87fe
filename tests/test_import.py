"""Importing the package costs next to nothing, and what it promises is there."""

import subprocess
import sys

import pytest

import musictheory_nb as mt

HEAVY = ("numpy", "music21", "matplotlib", "ipywidgets", "anywidget", "verovio", "IPython", "nbformat", "typer")


def test_import_loads_nothing_heavy():
    code = f"import sys, musictheory_nb; print([name for name in {HEAVY!r} if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    "room", ["theory.chord", "theory.scale", "theory.key", "practice.exercise", "practice.marking"]
)
def test_theory_and_practice_load_the_standard_library_alone(room):
    code = (
        f"import sys, musictheory_nb.{room}\n"
        "own = sys.stdlib_module_names | set(sys.builtin_module_names) | {'musictheory_nb'}\n"
        "site = {name.split('.')[0] for name, module in sys.modules.items() if getattr(module, '__file__', None)"
        " and 'site-packages' in module.__file__}\n"
        "print(sorted(site - own - {name for name in site if name.startswith(('_', 'sitecustomize', 'distutils'))}))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_all_is_complete_and_every_name_loads():
    public = {name for name in vars(mt)["_WHERE"]} | {"__version__"}
    assert set(mt.__all__) == public
    for name in mt.__all__:
        assert getattr(mt, name) is not None
    assert set(mt.__all__) <= set(dir(mt))


def test_a_name_that_is_not_there_is_refused():
    with pytest.raises(AttributeError, match="no attribute 'Tritone'"):
        mt.Tritone  # noqa: B018
