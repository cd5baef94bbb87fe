"""A notebook file as plain data: read whatever its age, brought to one form, written as JupyterLab writes it."""

import hashlib
import json
import re
from dataclasses import dataclass
from typing import Any, Final

from musictheory_nb.errors import LessonError
from musictheory_nb.practice.plain_data import JSON, strict_json

#: The notebook format that is written (nbformat 4.5, the first in which cells have ids).
FORMAT: Final = (4, 5)
_CELL_ID: Final = re.compile(r"[a-zA-Z0-9_-]{1,64}")
_CELL_TYPES: Final = ("code", "markdown", "raw")


@dataclass(frozen=True)
class NotebookFile:
    """A notebook in one form, and what was put right to get there.

    Parameters
    ----------
    content : dict
        nbformat 4.5; the source of every cell is one string, every cell has an id of its own.
    remarks : tuple of str
        One line for each thing that was not in order.
    """

    content: dict[str, JSON]
    remarks: tuple[str, ...] = ()

    @property
    def cells(self) -> list[dict[str, JSON]]:
        """The cells in order."""
        found: list[dict[str, JSON]] = self.content["cells"]
        return found


def source_text(cell: Any) -> str:
    r"""Return the source of a cell as one string, whether the file holds a string or a list of lines.

    Examples
    --------
    >>> source_text({"source": ["a = 1\n", "b = 2"]})
    'a = 1\nb = 2'
    """
    source = cell.get("source", "") if isinstance(cell, dict) else ""
    if isinstance(source, list):
        source = "".join(part for part in source if isinstance(part, str))
    return source.replace("\r\n", "\n") if isinstance(source, str) else ""


def tags_of(cell: Any) -> tuple[str, ...]:
    """Return the tags of a cell."""
    metadata = cell.get("metadata") if isinstance(cell, dict) else None
    tags = metadata.get("tags") if isinstance(metadata, dict) else None
    return tuple(tag for tag in tags if isinstance(tag, str)) if isinstance(tags, list) else ()


def _own_id(place: int, source: str, taken: set[str]) -> str:
    """An id that is the same whenever the same file is read."""
    for turn in range(len(taken) + 1):
        text = hashlib.sha256(f"{place}\n{turn}\n{source}".encode("utf-8", "replace")).hexdigest()[:8]
        if text not in taken:
            return text
    raise AssertionError("unreachable: there are more turns than ids taken")


def read_notebook(data: bytes, name: str) -> NotebookFile:
    """Read a teacher's notebook.

    Cells without an id, or with the id of an earlier cell (a copied one), get one of their own; no cell is ever
    known by its id alone.

    Parameters
    ----------
    data : bytes
        The whole file, UTF-8 with or without byte order mark.
    name : str
        How errors call it.

    Raises
    ------
    LessonError
        Not a notebook of format 4.

    Examples
    --------
    >>> read_notebook(b"{}", "old.ipynb")
    Traceback (most recent call last):
    musictheory_nb.errors.LessonError: 'old.ipynb': not a notebook; open it in JupyterLab and save it again
    """
    try:
        content = strict_json(data.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise LessonError(
            f"{name!r}: not UTF-8 at byte {error.start}; open it in JupyterLab and save it again"
        ) from None
    except ValueError as error:
        raise LessonError(f"{name!r}: {error}") from None
    if not isinstance(content, dict) or not isinstance(content.get("nbformat"), int):
        raise LessonError(f"{name!r}: not a notebook; open it in JupyterLab and save it again")
    if content["nbformat"] != FORMAT[0]:
        raise LessonError(
            f"{name!r}: notebook format {content['nbformat']}; allowed: {FORMAT[0]}; open it in JupyterLab and save it again"
        )
    cells = content.get("cells")
    if not isinstance(cells, list) or not all(
        isinstance(cell, dict) and cell.get("cell_type") in _CELL_TYPES for cell in cells
    ):
        raise LessonError(f"{name!r}: its cells are damaged; open it in JupyterLab and save it again")
    taken: set[str] = set()
    remarks: list[str] = []
    for place, cell in enumerate(cells, start=1):
        cell["source"] = source_text(cell)
        cell["metadata"] = cell["metadata"] if isinstance(cell.get("metadata"), dict) else {}
        given = cell.get("id")
        if not isinstance(given, str) or not _CELL_ID.fullmatch(given) or given in taken:
            cell["id"] = _own_id(place, cell["source"], taken)
            why = (
                "has no id" if given is None else "has the id of an earlier cell" if given in taken else "has a bad id"
            )
            remarks.append(f"cell {place} {why}; it was given one of its own")
        taken.add(cell["id"])
    content["nbformat_minor"] = max(FORMAT[1], int(content.get("nbformat_minor") or 0))
    content["metadata"] = content["metadata"] if isinstance(content.get("metadata"), dict) else {}
    return NotebookFile(content, tuple(remarks))


def without_outputs(content: dict[str, JSON]) -> dict[str, JSON]:
    """Return a copy in which no cell has been run: no outputs, no counters, no saved widgets."""
    cells = [
        {**cell, "outputs": [], "execution_count": None} if cell["cell_type"] == "code" else dict(cell)
        for cell in content["cells"]
    ]
    metadata = {name: value for name, value in content["metadata"].items() if name != "widgets"}
    return {**content, "cells": cells, "metadata": metadata}


def notebook_bytes(content: dict[str, JSON]) -> bytes:
    """Return the file that JupyterLab would write: UTF-8, one space of indent, source by lines."""
    cells = [{**cell, "source": cell["source"].splitlines(keepends=True)} for cell in content["cells"]]
    text = json.dumps({**content, "cells": cells}, ensure_ascii=False, indent=1, sort_keys=True)
    return (text + "\n").encode("utf-8")


def notebook_name(lesson: str) -> str:
    """Return the file name of every student's copy.

    Examples
    --------
    >>> notebook_name("hear-the-tritone")
    'hear-the-tritone.ipynb'
    """
    return f"{lesson}.ipynb"
