"""A notebook that was handed in, read as data: its cells, and what its parameters cell claims."""

from collections.abc import Iterable
from typing import Final

from musictheory_nb.classroom.notebook_file import source_text, tags_of
from musictheory_nb.classroom.parameters_cell import TAG, claimed_parameters
from musictheory_nb.errors import SubmissionError
from musictheory_nb.practice.embedded_record import notebook_from_bytes
from musictheory_nb.practice.plain_data import JSON

#: Values (numbers, texts, lists …) of one notebook: what is read into memory stays bounded.
MAX_VALUES: Final = 2_000_000


def claims_of(cells: Iterable[JSON]) -> dict[str, str]:
    """Return what the first parameters cell of a notebook says, whether it still has its tag or not."""
    candidates = [cell for cell in cells if isinstance(cell, dict) and cell.get("cell_type") == "code"]
    for cell in sorted(candidates, key=lambda one: TAG not in tags_of(one)):
        claims = claimed_parameters(source_text(cell))
        if claims:
            return claims
    return {}


def parsed_notebook(data: bytes, name: str) -> JSON:
    """Return the notebook in `data`, with a list of cells.

    Raises
    ------
    SubmissionError
        It is none, or too much to read.
    """
    values = data.count(b",") + data.count(b"[") + data.count(b"{")
    if values > MAX_VALUES:
        raise SubmissionError(f"{name} holds {values} values; at most {MAX_VALUES} are read")
    try:
        return notebook_from_bytes(data)
    except ValueError as error:
        raise SubmissionError(f"{name}: {error}") from None
