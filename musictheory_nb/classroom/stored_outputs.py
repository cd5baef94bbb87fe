"""Run a lesson from top to bottom and store outputs that a reader without a kernel, and nbval, can use.

``python -m musictheory_nb.classroom.stored_outputs LESSON…`` does so in place.
"""

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import nbclient
import nbformat

from musictheory_nb.errors import LessonError

#: Live widgets are stored as their readable stand-ins only: without a kernel, the live form is an error message.
_LIVE = "application/vnd.jupyter.widget-view+json"
#: Seconds that one cell may take.
CELL_TIMEOUT_S = 120


def _tidy(notebook: Any) -> None:
    notebook.metadata.pop("widgets", None)
    for number, cell in enumerate((cell for cell in notebook.cells if cell.cell_type == "code"), start=1):
        cell.execution_count = number
        cell.metadata.pop("execution", None)
        for output in cell.outputs:
            if "data" in output and len(output.data) > 1:
                output.data.pop(_LIVE, None)
            output.pop("transient", None)


def store_outputs(path: Path) -> None:
    """Run the notebook at `path` as a preview and write it back with its outputs.

    Raises
    ------
    LessonError
        A cell fails or does not end in time; the file is left as it was.
    """
    notebook = nbformat.read(path, as_version=4)
    client = nbclient.NotebookClient(
        notebook,
        timeout=CELL_TIMEOUT_S,
        kernel_name="python3",
        resources={"metadata": {"path": str(path.resolve().parent)}},
    )
    try:
        client.execute()
    except (nbclient.exceptions.CellExecutionError, nbclient.exceptions.CellTimeoutError) as error:
        raise LessonError(f"lesson {path.name!r} did not run to its end: {error}") from None
    _tidy(notebook)
    path.write_text(nbformat.writes(notebook) + "\n", encoding="utf-8", newline="\n")


def main(paths: Sequence[str]) -> None:
    """Store the outputs of every notebook named on the command line."""
    if not paths:
        raise SystemExit("name at least one lesson, as lessons/02_hear_the_tritone.ipynb")
    for path in paths:
        store_outputs(Path(path))
        print(f"{path}: outputs stored")


if __name__ == "__main__":
    main(sys.argv[1:])
