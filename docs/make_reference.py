"""Write ``docs/reference/`` from the docstrings: exercises with their settings and marks, and what Python code may call.

``python docs/make_reference.py`` writes; a test compares.
"""

import inspect
import textwrap
from pathlib import Path

import musictheory_nb as mt
from musictheory_nb.practice.families import FAMILIES, KINDS

FOLDER = Path(__file__).parent / "reference"


def exercises() -> str:
    """Return the page of all kinds of exercise, the newest version of each."""
    opening = (
        "# Kinds of exercise\n\nMade from the docstrings by `docs/make_reference.py`. An exercise is one call in a cell: "
        '`lesson.exercise("id", "kind", count=8, points=8, settings={...})`.\n'
    )
    pages = [opening]
    for kind in KINDS:
        family = FAMILIES[kind, max(version for one, version in FAMILIES if one == kind)]
        pages.append(f"## {kind}\n\n*{family.title}*\n\n```text\n{inspect.cleandoc(type(family).__doc__ or '')}\n```\n")
    return "\n".join(pages)


def python() -> str:
    """Return the page of all public names of the package."""
    pages = [
        "# What Python code may call\n\nMade from the docstrings by `docs/make_reference.py`. `import musictheory_nb as mt` gives all of it.\n"
    ]
    for name in sorted(mt.__all__):
        what = getattr(mt, name)
        if not callable(what):
            continue
        try:
            signature = str(inspect.signature(what)).replace("musictheory_nb.", "")
        except ValueError:
            signature = "(…)"
        shown = textwrap.fill(f"mt.{name}{signature}", 110, subsequent_indent="    ")
        pages.append(f"## {name}\n\n```text\n{shown}\n\n{inspect.cleandoc(what.__doc__ or '')}\n```\n")
    return "\n".join(pages)


#: File and what makes it.
PAGES = {"exercises.md": exercises, "python.md": python}

if __name__ == "__main__":
    FOLDER.mkdir(exist_ok=True)
    for file, made in PAGES.items():
        (FOLDER / file).write_text(made(), encoding="utf-8")
