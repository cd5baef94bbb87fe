"""The browser's half of a widget, read from the files beside this one: no build step."""

from functools import cache
from importlib.resources import files


def _read(name: str) -> str:
    return (files(__package__) / name).read_text(encoding="utf-8")


@cache
def script(*concepts: str) -> str:
    """Return one JavaScript module: the files ``<concept>.js`` one after the other.

    All but the last only declare functions; the last one exports ``render``.

    Examples
    --------
    >>> "export default" in script("page", "feedback")
    True
    """
    return "\n".join(_read(f"{concept}.js") for concept in concepts)


@cache
def style(*concepts: str) -> str:
    """Return one style sheet: the files ``<concept>.css`` one after the other.

    Examples
    --------
    >>> ".mtnb" in style("page", "feedback")
    True
    """
    return "\n".join(_read(f"{concept}.css") for concept in concepts)
