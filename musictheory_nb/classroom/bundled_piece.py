"""Finding a piece that a teacher names: a file, or a piece that is bundled with the score-reading library."""

from importlib.util import find_spec
from pathlib import Path
from typing import Final

#: Endings of bundled scores, in the order in which they are tried.
SUFFIXES: Final = ("", ".mxl", ".musicxml", ".xml", ".krn", ".abc")


def find_piece(given: Path) -> Path:
    """Return the file itself where there is one, else the bundled piece of that name, else `given` as it is.

    Parameters
    ----------
    given : Path
        A path; or the name of a bundled piece, such as ``bach/bwv66.6`` or ``mozart/k156/movement3.mxl``.

    Notes
    -----
    The bundled pieces are those of music21's corpus. Only names that stay inside it are looked up.

    Examples
    --------
    >>> find_piece(Path("bach/bwv66.6")).name, find_piece(Path("no/such/piece")).as_posix()
    ('bwv66.6.mxl', 'no/such/piece')
    """
    if given.exists() or given.is_absolute() or ".." in given.parts:
        return given
    spec = find_spec("music21")
    if spec is None or not spec.submodule_search_locations:
        return given
    corpus = Path(spec.submodule_search_locations[0], "corpus")
    for suffix in SUFFIXES:
        found = corpus / f"{given}{suffix}"
        if found.is_file():
            return found
    return given
